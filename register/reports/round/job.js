// Work: a task or an action with its steps and cautions, its result and what is measured; a setting as found and as left.
function jobCells(stop, number, jobs) {
  return jobs.map(([table, name, title, station, choices, told = null, steps = null, caution = null, ask = null, unit = null, isBus = 0], n) => ({
    id: number + ".j" + n, stop, station, onFile: null, origin: "", doubt: "", follows: false, also: "", target: null, row: isBus ? "bus" : "position",
    c: { name, table, title, kind: "c", station, unit: "", low: null, high: null, at: "", choices: D.lists[choices], needs: null },
    job: { told: told || [], steps: steps === null ? [] : D.lists[steps], caution: caution || "", ask: ask || "", unit: unit || "" },
  }));
}

function aboutJob(cell) {
  const { told, steps, caution } = cell.job, made = [];
  told.forEach((line) => made.push(el("p", "file", line)));
  if (steps.length) {
    const list = el("ul", "steps");
    steps.forEach((step) => list.append(el("li", "", step)));
    made.push(list);
  }
  if (caution) {
    const care = el("p", "safe");
    care.append(el("b", "", "Caution."), " ", caution);
    made.push(care);
  }
  return made;
}

function asksFound(cell) { return cell.target !== null || cell.job && cell.job.ask; }
function foundLabel(cell) { return cell.target !== null ? "as found" : cell.job.ask; }
function foundUnit(cell) { return cell.target !== null ? unitOf(cell.c) : cell.job.unit; }

// What was found or measured: a number in its one unit, else words of the column.
function foundValue(cell, typed) {
  if (typed.trim() === "") return { value: null };
  if (cell.target !== null) return understood(cell, typed, unitOf(cell.c));
  const found = /^([+-]?\d+(?:[.,]\d+)?(?:e[+-]?\d+)?)$/i.exec(typed.trim());
  return found ? { value: Number(found[1].replace(",", ".")) } : { value: null, wrong: "Not a number of " + cell.job.unit };
}

function foundField(cell, set, marks) {
  const made = el("div", "nu"), input = el("input"), wrong = el("p", "bad"), both = el("div");
  input.type = "text";
  input.autocomplete = "off";
  input.className = "found";
  input.setAttribute("aria-label", cell.stop.at + ", " + cell.c.title + ", " + foundLabel(cell));
  input.addEventListener("input", () => set({ found: input.value }));
  marks.push(() => {
    const a = answers.get(cell.id), typed = a && a.found || "";
    if (input.value !== typed) input.value = typed;
    const read = foundValue(cell, typed);
    wrong.textContent = read.wrong ? "! " + read.wrong + ". Kept; check it." : "";
  });
  made.append(el("span", "r", foundLabel(cell)), input, el("span", "u", foundUnit(cell)));
  both.append(made, wrong);
  return both;
}

function targetLine(cell) { return "Set " + (cell.onFile === null ? "" : "from " + cell.onFile + " ") + "to " + cell.target + (cell.c.unit ? " " + cell.c.unit : ""); }

// On paper: what is to be done, with its steps; then boxes, and a line for what is measured.
function jobOnPaper(cell, what) {
  for (const line of cell.job.told) what.append(el("span", "", line));
  cell.job.steps.forEach((step) => what.append(el("span", "step", step)));
  if (cell.job.caution) what.append(el("span", "care", "Caution: " + cell.job.caution));
}

function foundOnPaper(cell) {
  const a = answers.get(cell.id) || {}, made = el("div", "found");
  made.append(el("span", "u", foundLabel(cell) + " "), el("span", "line", a.found || ""), " ", el("span", "u", foundUnit(cell)));
  return made;
}
