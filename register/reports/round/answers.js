// What was answered: one record a cell, kept on the device at every keystroke, and saved to a file by hand.
const D = JSON.parse(document.getElementById("data").textContent);
const VALUE = "value", IN_PHOTO = "in the photo";
const STORE = "startroll round " + D.page + " ";
const answers = new Map(), photos = new Map();
let keeps = true, gone = 0;

const cells = [];
D.cols = D.cols.map(([name, table, title, kind, station, unit = "", low = null, high = null, list = null, needs = null, at = ""]) => ({
  name, table, title, kind, station, unit, low, high, at, choices: list === null ? [] : D.lists[list],
  needs: needs && { column: needs[0], words: D.lists[needs[1]], more: needs[2] },
}));
D.stops = D.stops.map(([at, area, bus, questions, rows, description, told, cubicle, critical, jobs], number) => {
  const stop = { at, area: D.names[area], bus: D.names[bus], description, told, cubicle, critical, number, headingId: "h" + number };
  stop.cells = [...jobCells(stop, number, jobs || []), ...questions.map((given, n) => {
    const [col, onFile, origin, doubt, follows, also, target, where] = Array.isArray(given) ? given : [given], c = D.cols[col];
    const row = rows[c.table] === 1 ? at : rows[c.table] ?? null;
    const cell = { id: number + "." + n, stop, c, job: null, station: where ?? c.station, target: target ?? null, onFile: onFile ?? null, origin: origin || "", doubt: doubt || "", follows: !!follows, also: also || "", row };
    return cell;
  })];
  cells.push(...stop.cells);
  return stop;
});
const cellById = new Map(cells.map((cell) => [cell.id, cell]));

// Two shelves: one that answers at once, and one that is on the disk when it says so. Either may come back empty.
const shelf = new Promise((resolve) => {
  try {
    const opening = indexedDB.open("startroll round", 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore("kept");
    opening.onsuccess = () => resolve(opening.result);
    opening.onerror = opening.onblocked = () => resolve(null);
  } catch { resolve(null); }
});

function keep(name, record) {
  // Two changes within a second are told apart; one of the shelves may come back with the first of them.
  if (record instanceof Object) record.kept = stamp = Math.max(stamp + 1, Date.now());
  try {
    if (record === undefined) localStorage.removeItem(STORE + name);
    else localStorage.setItem(STORE + name, JSON.stringify(record));
  } catch { keeps = false; }
  if (!toDisk.size) shelf.then(putDown).catch(() => { keeps = false; });
  toDisk.set(STORE + name, record);
}
const toDisk = new Map(), taken = new Map();
let stamp = 0;

// One transaction, handed over whole: it is carried out also where the page is gone by then.
function putDown(db) {
  if (!db) return;
  const writing = db.transaction("kept", "readwrite", { durability: "strict" }), kept = writing.objectStore("kept");
  for (const [key, record] of toDisk) if (record === undefined) kept.delete(key); else kept.put(record, key);
  toDisk.clear();
  if (writing.commit) writing.commit();
}

// What was kept comes back; of two that differ the later, and neither is dropped.
function recalled(name, record) {
  const there = answers.get(name) || photos.get(name.slice(6)) || taken.get(name), age = (one) => one.kept || Date.parse(one.at);
  if (name === "who") return;
  if (name === "gone") gone = record;
  else if (there && age(there) >= age(record)) return;
  else if (record.taken) { taken.set(name, record); answers.delete(name); }
  else if (cellById.has(name)) answers.set(name, record);
  else if (name.startsWith("photo ")) photos.set(name.slice(6), record);
}

function recall() {
  try {
    for (const key of Object.keys(localStorage)) {
      if (key.startsWith(STORE)) recalled(key.slice(STORE.length), JSON.parse(localStorage.getItem(key)));
    }
    return JSON.parse(localStorage.getItem(STORE + "who")) || "";
  } catch { keeps = false; return ""; }
}

async function recallFromDisk() {
  const db = await shelf;
  if (!db) return;
  const range = IDBKeyRange.bound(STORE, STORE + "\uffff"), onDisk = new Set();
  await new Promise((resolve) => {
    const asking = db.transaction("kept").objectStore("kept").openCursor(range);
    asking.onerror = resolve;
    asking.onsuccess = () => {
      const found = asking.result;
      if (!found) { resolve(); return; }
      onDisk.add(found.key);
      recalled(found.key.slice(STORE.length), found.value);
      found.continue();
    };
  });
  // What only the other shelf has comes onto the disk too.
  for (const [name, record] of answers) if (!onDisk.has(STORE + name)) keep(name, record);
  for (const [name, record] of photos) if (!onDisk.has(STORE + "photo " + name)) keep("photo " + name, record);
}

function isAnswered(cell) {
  const a = answers.get(cell.id);
  return !!a && (a.state !== VALUE || a.typed !== "");
}

function change(cell, part) {
  const before = answers.get(cell.id);
  const a = Object.assign({ state: VALUE, typed: "", unit: "", note: "", found: "" }, before, part, { at: isoWithOffset(new Date()), saved: 0 });
  if (a.state !== VALUE) a.typed = "";
  if (a.state === VALUE && a.typed === "" && a.note === "" && a.found === "") {
    answers.delete(cell.id);
    keep(cell.id, { taken: true }); // that it was taken away is kept too: an older answer must not come back
    // A file that has it still says otherwise: that is not saved either.
    if (before && before.inFile) keep("gone", ++gone);
  } else {
    answers.set(cell.id, a);
    keep(cell.id, a);
  }
}

// What a text means in the unit of the register: {value}, or {wrong} in words.
function understood(cell, typed, unit) {
  const c = cell.c, text = typed.trim();
  if (text === "") return { value: null };
  if (c.kind === "d") return dayOf(text);
  if (c.kind !== "n" && c.kind !== "i") return { value: wellFormed(text) };
  const found = /^([+-]?\d+(?:[ \u00a0\u202f]\d{3})*(?:[.,]\d+)?(?:e[+-]?\d+)?)\s*(\S*)$/i.exec(text);
  const units = D.units[c.unit] || [[c.unit, 1, 0]];
  const own = found && found[2] ? units.find(([name]) => name.toLowerCase() === found[2].toLowerCase()) : units.find(([name]) => name === unit) || units[0];
  if (!found || !own) return { value: null, wrong: "Not a number" + (c.unit ? " in " + units.map(([name]) => name).join(" or ") : "") };
  if (/^[+-]?[1-9]\d{0,2},\d{3}$/.test(found[1])) return { value: null, wrong: "Write it without the comma: it can mean two numbers" };
  const number = Number(found[1].replace(/[ \u00a0\u202f]/g, "").replace(",", "."));
  const value = own[1] === 1 && !own[2] ? number : Number(((number - own[2]) * own[1]).toPrecision(12));
  if (c.kind === "i" && !Number.isInteger(value)) return { value, wrong: "Not a whole number" };
  if (c.low !== null && value < c.low || c.high !== null && value > c.high) return { value, wrong: "Outside " + rangeOf(c) };
  return { value };
}

function dayOf(text) {
  const found = /^(\d{4})-(\d\d)-(\d\d)$/.exec(text), day = found && new Date(text + "T00:00:00Z");
  if (!found || isNaN(day) || day.toISOString().slice(0, 10) !== text) return { value: null, wrong: "Write the day as 2026-03-01" };
  return { value: text };
}

function plain(x) { return x !== 0 && (Math.abs(x) >= 1e6 || Math.abs(x) < 1e-3) ? x.toExponential() : String(x); }
function rangeOf(c) {
  if (c.low === null && c.high === null) return "";
  return (c.low === null ? "up to " + plain(c.high) : c.high === null ? "from " + plain(c.low) : plain(c.low) + " to " + plain(c.high)) + (c.unit ? " " + c.unit : "");
}

// Whether a question applies, by the answer to the one that it depends on.
function applies(cell) {
  const on = cell.c.needs;
  if (!on) return true;
  const other = cell.stop.cells.find((one) => one.c.name === on.column);
  if (!other) return true;
  const a = answers.get(other.id);
  if (!isAnswered(other)) return false;
  if (a.state !== VALUE) return !cell.follows && (a.state === "illegible" || a.state === "not known");
  const value = understood(other, a.typed, a.unit).value;
  return on.more === null ? on.words.includes(value) : value > on.more;
}
function isShown(cell) { return applies(cell) || isAnswered(cell); }

function photoOf(cell) { return photos.get(cell.stop.number + " " + cell.station) || null; }

function recordOf(cell) {
  const a = answers.get(cell.id), photo = photoOf(cell);
  const base = { table: cell.c.table, at: cell.stop.at, column: cell.c.name, row: cell.row, base: cell.onFile };
  if (!a && (!photo || cell.job)) return null;
  const found = a && isAnswered(cell) ? a : { state: "not known", typed: "", unit: "", found: a && a.found || "", note: a && a.note || (photo ? IN_PHOTO : ""), at: (a || photo).at };
  const wasFound = asksFound(cell) ? found.found || "" : "";
  const value = found.state === VALUE ? understood(cell, found.typed, found.unit).value : null;
  return Object.assign(base, {
    state: found.state, value, as_typed: wellFormed(found.typed), unit: found.typed && /[ni]/.test(cell.c.kind) ? found.unit || unitOf(cell.c) : "",
    note: wellFormed(found.note), answered_at: found.at, photo: photo && { file: photo.file, sha256: photo.sha256 },
    found: wasFound ? foundValue(cell, wasFound).value : null, found_typed: wellFormed(wasFound), found_unit: wasFound && foundUnit(cell),
  });
}

function unitOf(c) { return D.units[c.unit] ? D.units[c.unit][0][0] : c.unit; }

function unsaved() {
  let count = gone;
  for (const a of answers.values()) if (!a.saved) count++;
  for (const photo of photos.values()) if (!photo.saved) count++;
  return count;
}

function allSaved() {
  for (const [id, a] of answers) { a.saved = a.inFile = 1; keep(id, a); }
  for (const [name, photo] of photos) { photo.saved = 1; keep("photo " + name, photo); }
  gone = 0;
  keep("gone");
}
