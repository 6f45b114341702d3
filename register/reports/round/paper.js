// The round on paper: every part with its words of safety, a box for each choice, a line for each value.
function paper() {
  const made = at("paper");
  made.replaceChildren();
  D.stations.forEach((station, n) => {
    const stops = D.stops.filter((stop) => stop.cells.some((cell) => cell.station === n));
    if (!stops.length) return;
    const part = el("section", "part");
    part.append(el("h2", "", station.place + ", " + station.needs), safety(n));
    for (const stop of stops) part.append(onPaper(stop, n));
    made.append(part);
  });
}

function onPaper(stop, station) {
  const made = el("table"), caption = el("caption"), name = el("b", "", stop.at), body = el("tbody");
  const line = [stop.bus !== stop.at && stop.bus, stop.cubicle && "bucket " + stop.cubicle, stop.description, stop.told].filter(Boolean).join(" · ");
  caption.append(name, " ", el("span", "", line + (stop.critical ? " · critical" : "")));
  made.append(caption, body);
  for (const cell of stop.cells) {
    if (cell.station !== station) continue;
    const row = el("tr"), what = el("th", "", cell.c.title), value = el("td"), no = el("td", "no"), a = answers.get(cell.id) || {};
    what.scope = "row";
    if (cell.job) jobOnPaper(cell, what);
    else if (cell.target !== null) what.append(el("span", "target", targetLine(cell)), el("span", "", onFile(cell)));
    else what.append(el("span", "", [onFile(cell), cell.doubt && cell.doubt + ": look again", conditionOf(cell)].filter(Boolean).join(". ")));
    if (cell.c.kind === "c") cell.c.choices.forEach((word) => value.append(el("span", "box", (a.typed === word ? "☒ " : "☐ ") + word), " "));
    else value.append(el("span", "line", a.typed || ""), " ", el("span", "u", [a.typed && a.unit || unitOf(cell.c), a.typed || unitOf(cell.c) !== cell.c.unit ? "" : rangeOf(Object.assign({}, cell.c, { unit: "" }))].filter(Boolean).join("   ")));
    if (cell.target !== null) value.prepend(foundOnPaper(cell), el("span", "u", "as left "));
    else if (asksFound(cell)) value.append(foundOnPaper(cell));
    statesOf(cell).forEach((state) => no.append(el("span", "box", (a.state === state ? "☒ " : "☐ ") + state), " "));
    if (D.crew) { const kept = el("span", "box", "note "); kept.append(el("span", "line", a.note || "")); no.append(kept); }
    else if (a.note) no.append(el("span", "", " " + a.note));
    row.append(what, value, no);
    body.append(row);
  }
  return made;
}

function conditionOf(cell) {
  const on = cell.c.needs, other = on && cell.stop.cells.find((one) => one.c.name === on.column);
  if (!other) return "";
  return "Only where “" + other.c.title + "” is " + (on.more === null ? on.words.join(" or ") : "more than " + on.more);
}
