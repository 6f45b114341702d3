// The saved file: its canonical form (RFC 8785), its hash, what is wrong with one that is opened.
const FORM = 2;
const ENCODER = new TextEncoder();

function wellFormed(text) {
  return text.replace(/[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g, "\ufffd");
}

function canonical(value) {
  if (Array.isArray(value)) return "[" + value.map(canonical).join(",") + "]";
  if (value && typeof value === "object") {
    return "{" + Object.keys(value).sort().map((key) => JSON.stringify(key) + ":" + canonical(value[key])).join(",") + "}";
  }
  return JSON.stringify(value);
}

function fingerprint(saved) {
  const rest = Object.assign({}, saved);
  delete rest.sha256;
  return sha256(ENCODER.encode(canonical(rest)));
}

function savedText(head, answers) {
  const saved = Object.assign({ round: FORM }, head, { answers });
  saved.sha256 = fingerprint(saved);
  return JSON.stringify(saved, null, 1) + "\n";
}

// The saved round, or an Error that says in words why not.
function openedText(text, register) {
  let saved;
  try { saved = JSON.parse(text); } catch { throw new Error("this is no saved round, or a part of it is missing"); }
  if (!saved || typeof saved !== "object" || !Array.isArray(saved.answers)) throw new Error("this is no saved round");
  if (saved.round > FORM) throw new Error("it was saved by a later version");
  if (fingerprint(saved) !== saved.sha256) throw new Error("it was changed or damaged after it was saved");
  if (saved.register !== register) throw new Error("it is of another register");
  return saved;
}

function isoWithOffset(date) {
  const two = (n) => String(Math.floor(Math.abs(n))).padStart(2, "0"), off = -date.getTimezoneOffset();
  return date.getFullYear() + "-" + two(date.getMonth() + 1) + "-" + two(date.getDate()) + "T" + two(date.getHours()) + ":" +
    two(date.getMinutes()) + ":" + two(date.getSeconds()) + (off < 0 ? "-" : "+") + two(off / 60) + ":" + two(off % 60);
}
