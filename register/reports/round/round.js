// The round as a whole: where one stands, search, progress, saving, opening again.
const at = (id) => document.getElementById(id);
let here = D.stations.findIndex((_, n) => cells.some((cell) => cell.station === n));

function tally() {
  const counts = D.stations.map(() => [0, 0]), left = unsaved();
  for (const cell of cells) if (isShown(cell)) { counts[cell.station][1]++; if (isAnswered(cell)) counts[cell.station][0]++; }
  const [done, all] = counts[here];
  at("count").textContent = done + " of " + all;
  at("progress").firstElementChild.style.width = (all ? 100 * done / all : 0) + "%";
  at("progress").setAttribute("aria-valuenow", done);
  at("progress").setAttribute("aria-valuemax", all);
  const badge = at("badge"), told = left ? left + " not saved" : answers.size ? "All saved" : "Nothing entered yet";
  badge.className = left ? "un" : answers.size ? "ok" : "";
  if (badge.textContent !== told) badge.textContent = told;
  document.title = (left ? "● " : "") + D.title;
  at("remind").hidden = left < 10 && !(left && Date.now() - lastSaved > 600000);
  counts.forEach(([n, of], station) => {
    const tab = at("tabs").children[station];
    tab.setAttribute("aria-pressed", station === here && !wanted());
    tab.lastChild.textContent = D.stations[station].needs + " " + n + "/" + of;
    tab.hidden = !of;
  });
  for (const stop of D.stops) if (stop.mark) stop.mark();
}
let lastSaved = Date.now();

function answered(cell) {
  for (const other of cell.stop.cells) if (other.show && (other === cell || other.c.needs)) other.show();
  tally();
}

function wanted() { return at("find").value.trim().toLowerCase(); }

function draw() {
  const words = wanted(), list = at("list"), jump = at("jump");
  cells.forEach((cell) => { cell.show = cell.element = null; });
  list.replaceChildren();
  jump.replaceChildren();
  at("safe").replaceChildren(...(words ? [] : [safety(here)]));
  let place = null, found = 0;
  for (const stop of D.stops) {
    stop.mark = null;
    const text = [stop.at, stop.description, stop.bus, stop.cubicle, stop.area].join(" ").toLowerCase();
    const own = stop.cells.filter((cell) => words || cell.station === here);
    if (!own.length || words && !text.includes(words)) continue;
    const where = [stop.bus, stop.area].filter(Boolean).join(", ");
    if (where !== place) { list.append(el("h2", "place", where || "No lineup named")); jump.append(el("li", "place", where)); place = where; }
    list.append(section(stop, own, !!words, jump));
    found++;
  }
  if (!found) list.append(el("p", "none", words ? "No position is named “" + at("find").value.trim() + "” in this round." : "No question here."));
  tally();
}

function section(stop, own, all, jump) {
  const made = el("section", "pos"), heading = el("h3"), count = el("small"), link = el("a", "", stop.at), item = el("li");
  const name = el("bdi", "", stop.at);
  made.id = "s" + stop.number;
  heading.id = stop.headingId;
  heading.append(name, count);
  made.append(heading);
  made.setAttribute("aria-labelledby", heading.id);
  const line = [stop.cubicle && "bucket " + stop.cubicle, stop.description, stop.told].filter(Boolean).join(" · ");
  if (line) made.append(el("p", "m", line));
  const parts = [];
  D.stations.forEach((station, n) => {
    const cellsHere = own.filter((cell) => cell.station === n), part = el("div", "part-of-stop");
    if (!cellsHere.length) return;
    if (all) part.append(el("p", "wl", station.place + ", " + station.needs), safety(n));
    if (station.walked) part.append(photoField(stop, n));
    cellsHere.forEach((cell) => part.append(question(cell)));
    parts.push(() => { part.hidden = !cellsHere.some(isShown); });
    made.append(part);
  });
  link.href = "#" + made.id;
  item.append(link);
  jump.append(item);
  stop.mark = () => {
    parts.forEach((part) => part());
    const shown = own.filter(isShown), done = shown.filter(isAnswered).length;
    count.textContent = (stop.critical ? "critical · " : "") + done + " of " + shown.length;
    made.hidden = !shown.length;
    item.hidden = !shown.length;
    item.className = shown.length && done === shown.length ? "done" : "";
  };
  return made;
}

function safety(station) {
  const made = el("p", D.stations[station].lead ? "safe" : "safe calm"), { lead, safety: text } = D.stations[station];
  if (lead) made.append(el("b", "", lead), " ");
  made.append(text);
  return made;
}

function next(after) {
  const open = cells.filter((cell) => cell.element && !cell.element.hidden && !isAnswered(cell));
  const top = at("bar").offsetHeight + 8;
  const cell = after ? open.find((one) => cells.indexOf(one) > cells.indexOf(after))
    : open.find((one) => one.element.getBoundingClientRect().top > top + 30);
  const to = cell || open[0];
  if (!to) return;
  scrollTo(0, scrollY + to.element.getBoundingClientRect().top - top - 60);
  const first = to.element.querySelector("input,button");
  first.focus({ preventScroll: true });
}

function save() {
  const now = new Date(), who = at("who").value.trim();
  const records = cells.map(recordOf).filter(Boolean);
  const head = { register: D.register, page: D.page, site: D.site, title: D.title, made_on: D.made_on, who: wellFormed(who), saved_at: isoWithOffset(now) };
  const name = fileName(...(D.crew ? [] : ["round"]), D.title, who, isoWithOffset(now).slice(0, 19)) + ".json";
  download(savedText(head, records), "application/json", name);
  allSaved();
  lastSaved = Date.now();
  at("told").textContent = name + " is in your downloads. That file is the record: startroll take-round takes it back.";
  tally();
}

// A saved file opened again: the later of two answers counts, and nothing that is here is dropped unsaid.
async function reopen(file) {
  try {
    const saved = openedText(await file.text(), D.register);
    let taken = 0, older = 0, other = 0;
    for (const record of saved.answers) {
      const cell = cells.find((one) => one.c.name === record.column && one.stop.at === record.at && one.c.table === record.table);
      if (!cell) { other++; continue; }
      const mine = answers.get(cell.id);
      if (record.photo && !photoOf(cell)) {
        const photo = Object.assign({ at: record.answered_at, saved: 1 }, record.photo), name = cell.stop.number + " " + cell.c.station;
        photos.set(name, photo);
        keep("photo " + name, photo);
      }
      if (record.note === IN_PHOTO && record.state === "not known") continue;
      if (mine && Date.parse(mine.at) > Date.parse(record.answered_at)) { older++; continue; }
      const a = { state: record.state, typed: record.as_typed, unit: record.unit, note: record.note, found: record.found_typed || "", at: record.answered_at, saved: 1, inFile: 1 };
      answers.set(cell.id, a);
      keep(cell.id, a);
      taken++;
    }
    if (!at("who").value) at("who").value = saved.who;
    at("told").textContent = file.name + ": " + taken + " answers taken" + (older ? ", " + older + " are newer here" : "") +
      (other ? ", " + other + " are of no question here: they stay in that file" : "") + ".";
  } catch (error) {
    at("told").textContent = file.name + ": " + error.message + ".";
  }
  draw();
}

let looked = false;
async function begin() {
  at("who").value = recall();
  at("who").addEventListener("input", () => keep("who", at("who").value));
  D.stations.forEach((station, n) => {
    const tab = button("", "", () => { here = n; at("find").value = ""; draw(); scrollTo(0, 0); });
    tab.append(el("b", "", station.place), el("span"));
    at("tabs").append(tab);
  });
  at("find").addEventListener("input", draw);
  at("next").addEventListener("click", () => next());
  for (const id of ["save", "save-now"]) at(id).addEventListener("click", save);
  at("open").addEventListener("change", (event) => { const file = event.target.files[0]; event.target.value = ""; if (file) reopen(file); });
  at("print").addEventListener("click", () => print());
  addEventListener("beforeunload", (event) => { if (unsaved()) { event.preventDefault(); event.returnValue = ""; } });
  addEventListener("beforeprint", paper);
  addEventListener("keydown", (event) => {
    if (event.key === "/" && !/^(INPUT|TEXTAREA|SELECT)$/.test(event.target.tagName)) { event.preventDefault(); at("find").focus(); }
  });
  setInterval(tally, 60000);
  offerScan();
  // A disk that does not answer must not keep anyone from walking; what it says late counts too.
  const looking = recallFromDisk().then(() => { looked = true; });
  await Promise.race([looking, new Promise((resolve) => setTimeout(resolve, 2000))]);
  draw();
  if (!looked) {
    at("told").textContent = "Still looking for what was answered here before.";
    looking.then(() => { at("told").textContent = ""; draw(); });
  }
  if (!keeps) at("told").textContent = "This browser keeps nothing for this page: save often.";
  performance.mark("ready");
}
begin();
