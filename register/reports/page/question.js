/* What is asked of the list: chosen, told in words, written to the address and read from it. */

/* What is chosen from a list, or led to by a link. */
const CHOSEN = ["at", "lineup", "area", "rule", "harm", "criticality", "kind", "firm"];
const question = () => {
  const checked = (name) => new Set([...document.querySelectorAll(`input[name=${name}]:checked`)].map((box) => box.value));
  const chosen = Object.fromEntries(CHOSEN.map((name) => [name, byId(name).value]));
  return { query: byId("query").value, ...chosen,
    grades: checked("grade"), outcomes: checked("outcome"), conceded: byId("conceded")?.checked ?? true, sort: byId("sort").value, down: byId("sort").dataset.down === "yes" };
};

const number = (value) => String(value).replace(/\B(?=(\d{3})+$)/g, "\u202f");

const counted = (count, words, where) => {
  if (!words) return "0 verdicts: no outcome is chosen.";
  const many = count ? `${number(count)} ${count === 1 ? "verdict" : "verdicts"}: ${words}` : `0 verdicts ${words}`;
  return `${many}${where && `, ${where}`}.`;
};
const HURT = { people: "people", fire: "by fire", machine: "the machine", production: "production", records: "records" };

const ask = (list) => {
  const asked = question();
  performance.mark("asked");
  const found = list.rows.answer(asked);
  list.show(found.slice(0, MOST_LISTED));
  performance.measure("filter", "asked");
  const words = [...asked.outcomes].map((word) => (word === "cant-tell" ? "can’t tell" : word)).join(", ");
  const where = [asked.at && `at ${asked.at}`, asked.lineup && `of ${asked.lineup}`, asked.area && `in ${asked.area}`,
    asked.rule && `by ${asked.rule}`, asked.harm && `that can hurt ${HURT[asked.harm]}`, asked.criticality, asked.kind,
    asked.firm && `based on ${asked.firm === "firm" ? "measured" : "assumed"} values`, asked.query && `with “${asked.query}”`,
    !asked.conceded && "not conceded", asked.grades.size < list.rows.grades.length && `graded ${[...asked.grades].join(", ") || "nothing"}`].filter(Boolean).join(", ");
  byId("count").textContent = visible(counted(found.length, words, where))
    + (found.length > MOST_LISTED ? ` The first ${number(MOST_LISTED)} are listed.` : "");
  const most = found.length > MOST_PRINTED ? ` Of these the first ${number(MOST_PRINTED)} are printed.` : "";
  byId("printed").textContent = byId("count").textContent + most;
  byId("open-all").hidden = !found.length || found.length > MOST_OPENED;
  byId("close-all").hidden = !list.open.size;
  byId("clear").hidden = !where && words === "failed";
  list.table.hidden = !found.length;
  for (const head of list.table.querySelectorAll("th[data-sort]")) {
    const on = head.dataset.sort === asked.sort;
    const rising = (head.dataset.sort === "") === asked.down;
    head.setAttribute("aria-sort", on ? (rising ? "ascending" : "descending") : "none");
  }
};

/* The question stands in the address, so that a link leads to what it asks. */
const written = (asked, list) => {
  const parts = new URLSearchParams();
  if (asked.query) parts.set("q", asked.query);
  for (const name of CHOSEN) if (asked[name]) parts.set(name, asked[name]);
  if (asked.grades.size < list.rows.grades.length) parts.set("grade", [...asked.grades].join(" "));
  if ([...asked.outcomes].join() !== "failed") parts.set("outcome", [...asked.outcomes].join(" "));
  if (!asked.conceded) parts.set("conceded", "no");
  if (asked.sort || asked.down) parts.set("sort", asked.sort + (asked.down ? " down" : ""));
  return String(parts);
};

const read = async (list) => {
  const [place, text] = decodeURI(location.hash.slice(1)).startsWith("findings?")
    ? ["findings", location.hash.slice(location.hash.indexOf("?") + 1)] : ["", null];
  if (text === null) return;
  const parts = new URLSearchParams(text);
  const row = parts.has("open") ? list.rows.find(parts.get("open")) : -1;
  byId("query").value = parts.get("q") ?? "";
  for (const name of CHOSEN) byId(name).value = parts.get(name) ?? "";
  const [sort, down] = (parts.get("sort") ?? "").split(" ");
  byId("sort").value = sort;
  byId("sort").dataset.down = down ? "yes" : "no";
  const tick = (name, words) => document.querySelectorAll(`input[name=${name}]`).forEach((box) => {
    box.checked = words.includes(box.value) && !box.disabled;
  });
  tick("grade", (parts.get("grade") ?? list.rows.grades.join(" ")).split(" "));
  tick("outcome", (parts.get("outcome") ?? (row >= 0 ? list.rows.outcomes[list.rows.outcome[row]] : "failed")).split(" "));
  if (byId("conceded")) byId("conceded").checked = parts.get("conceded") !== "no";
  ask(list);
  if (row >= 0) {
    list.open.add(row);
    ask(list);
    list.go(list.found.indexOf(row), "start");
    // What is opened is drawn late: then the row stands at the top again.
    requestAnimationFrame(() => setTimeout(() => list.go(list.found.indexOf(row), "start"), 60));
  } else {
    byId(place).scrollIntoView();
    byId("findings-title").focus({ preventScroll: true });
  }
};
