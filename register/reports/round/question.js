// One question: what is on file, what can be answered, a note.
function el(tag, name, text) {
  const made = document.createElement(tag);
  if (name) made.className = name;
  if (text !== undefined) made.textContent = seen(text);
  return made;
}

// Control characters and what turns a line round are seen, and not obeyed.
function seen(text) {
  return String(text).replace(/[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u2028-\u202e\u2066-\u2069]/g, (c) => {
    const code = c.charCodeAt(0);
    return code < 32 ? String.fromCharCode(0x2400 + code) : code === 127 ? "\u2421" : "\\u" + code.toString(16).padStart(4, "0");
  });
}

function button(name, text, act) {
  const made = el("button", name, text);
  made.type = "button";
  made.addEventListener("click", act);
  return made;
}

function onFile(cell) {
  if (cell.onFile === null) return cell.origin ? "On file: " + cell.origin : "Nothing on file";
  return "On file: " + cell.onFile + (cell.c.unit ? " " + cell.c.unit : "") + (cell.origin ? ", from " + cell.origin : "");
}

function statesOf(cell) {
  if (cell.job || cell.target !== null) return [];
  return D.stations[cell.station].walked ? ["illegible", "not there", "not applicable"] : ["not known", "not applicable"];
}

function question(cell) {
  const { c } = cell, made = el("div", "q"), title = el("h4", "lg", c.title), input = el("div", "in"), marks = [];
  title.id = "t" + cell.id;
  made.id = "q" + cell.id;
  made.setAttribute("role", "group");
  made.setAttribute("aria-labelledby", cell.stop.headingId + " " + title.id);
  made.append(title);
  if (cell.job) made.append(...aboutJob(cell));
  if (cell.target !== null) made.append(el("p", "target", targetLine(cell)));
  const file = el("p", "file", onFile(cell));
  file.hidden = !!cell.job;
  if (cell.doubt) file.append(". ", el("b", "doubt", cell.doubt + ": look again"));
  made.append(file);
  if (c.at) file.append(". Read at " + c.at);
  if (cell.also) made.append(el("p", "file", "The same type is at " + cell.also + ": this answers for all of them."));
  const set = (part) => { change(cell, part); answered(cell); };
  if (asksFound(cell)) input.append(foundField(cell, set, marks));
  if (cell.target !== null) input.append(el("p", "file", "As left:"));
  if (c.kind === "c") input.append(choices(cell, set, marks));
  else input.append(field(cell, set, marks));
  if (cell.target !== null) {
    const asked = button("same", "As asked: " + cell.target + (c.unit ? " " + c.unit : ""), () => set({ state: VALUE, typed: String(cell.target), unit: c.unit }));
    marks.push(() => asked.setAttribute("aria-pressed", (answers.get(cell.id) || {}).typed === String(cell.target)));
    input.append(asked);
  }
  if (cell.onFile !== null) {
    const same = button("same", "As on file", () => set({ state: VALUE, typed: String(cell.onFile), unit: c.unit }));
    marks.push(() => same.setAttribute("aria-pressed", (answers.get(cell.id) || {}).typed === String(cell.onFile)));
    input.append(same);
  }
  made.append(input, states(cell, set, marks), noteOf(cell, set));
  const show = () => {
    marks.forEach((mark) => mark());
    const a = answers.get(cell.id), wrong = a && a.state === VALUE ? understood(cell, a.typed, a.unit).wrong : "";
    made.hidden = !isShown(cell);
    made.classList.toggle("done", isAnswered(cell) && !wrong);
    made.classList.toggle("check", !!wrong);
    made.classList.toggle("odd", isAnswered(cell) && !applies(cell));
  };
  cell.show = show;
  cell.element = made;
  show();
  return made;
}

function choices(cell, set, marks) {
  const made = el("div", "ch" + (cell.c.choices.every((word) => word.length < 4) ? " s" : ""));
  for (const word of cell.c.choices) {
    const one = button("", word, () => set({ state: VALUE, typed: (answers.get(cell.id) || {}).typed === word ? "" : word }));
    marks.push(() => one.setAttribute("aria-pressed", (answers.get(cell.id) || {}).typed === word));
    made.append(one);
  }
  return made;
}

function field(cell, set, marks) {
  const { c } = cell, made = el("div", "nu"), input = el("input"), wrong = el("p", "bad"), meant = el("span", "r");
  const units = D.units[c.unit];
  input.type = "text";
  input.autocomplete = "off";
  input.setAttribute("autocapitalize", "off");
  input.spellcheck = false;
  if (c.kind === "t") input.className = "t";
  if (c.kind === "n" || c.kind === "i") input.inputMode = "decimal";
  if (c.kind === "d") input.placeholder = "2026-03-01";
  wrong.id = "w" + cell.id;
  input.setAttribute("aria-label", cell.stop.at + ", " + c.title + (c.unit ? ", " + c.unit : ""));
  input.setAttribute("aria-describedby", wrong.id);
  input.addEventListener("input", () => set({ state: VALUE, typed: input.value, unit: unit ? unit.value : c.unit }));
  input.addEventListener("keydown", (event) => { if (event.key === "Enter") next(cell); });
  made.append(input);
  let unit = null;
  if (units) {
    unit = el("select");
    unit.setAttribute("aria-label", "Unit, " + cell.stop.at + ", " + c.title);
    units.forEach(([name]) => unit.append(new Option(name, name)));
    unit.addEventListener("change", () => { if (input.value) set({ unit: unit.value }); });
    made.append(unit);
  } else if (c.unit) made.append(el("span", "u", c.unit));
  if (c.kind === "d") made.append(button("today", "Today", () => set({ state: VALUE, typed: isoWithOffset(new Date()).slice(0, 10) })));
  made.append(meant);
  marks.push(() => {
    const a = answers.get(cell.id), typed = a ? a.typed : "", read = understood(cell, typed, a && a.unit);
    if (input.value !== typed) input.value = typed;
    if (unit && a && a.unit) unit.value = a.unit;
    wrong.textContent = read.wrong ? "! " + read.wrong + ". Kept; check it." : "";
    input.setAttribute("aria-invalid", !!read.wrong);
    const differs = typeof read.value === "number" && String(read.value) !== typed.trim();
    meant.textContent = differs ? "= " + Number(read.value.toPrecision(5)) + " " + c.unit : rangeOf(c);
  });
  const both = el("div");
  both.append(made, wrong);
  return both;
}

function states(cell, set, marks) {
  const made = el("div", "no");
  for (const state of statesOf(cell)) {
    const one = button("", state, () => set({ state: (answers.get(cell.id) || {}).state === state ? VALUE : state }));
    marks.push(() => one.setAttribute("aria-pressed", (answers.get(cell.id) || {}).state === state));
    made.append(one);
  }
  return made;
}

function noteOf(cell, set) {
  const made = el("div", "ex"), a = answers.get(cell.id);
  const write = () => {
    const text = el("textarea");
    text.setAttribute("aria-label", "Note, " + cell.stop.at + ", " + cell.c.title);
    text.value = (answers.get(cell.id) || {}).note || "";
    text.addEventListener("input", () => set({ note: text.value }));
    made.replaceChildren(text);
    return text;
  };
  if (a && a.note) write();
  else made.append(button("link", "Add a note", () => write().focus()));
  return made;
}
