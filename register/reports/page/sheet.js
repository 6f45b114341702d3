/* What an opened row shows, and the chart of a start. */

/* Control characters are seen and not obeyed; the same as figures.visible. */
const STEERING = /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u2028-\u202e\u2066-\u2069\ud800-\udfff]/gu;
const visible = (text) => text.replace(STEERING, (one) => {
  const code = one.codePointAt(0);
  if (code < 32) return String.fromCodePoint(0x2400 + code);
  return code === 127 ? "␡" : `\\u${code.toString(16).padStart(4, "0")}`;
});

/* Text of the register: whatever its direction, it turns nothing around it. */
const told = (text) => {
  const made = document.createElement("bdi");
  made.textContent = visible(String(text));
  return made;
};

const el = (name, attributes = {}, ...children) => {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value !== false && value !== null) made.setAttribute(key, value === true ? "" : value);
  }
  made.append(...children.flat().filter((child) => child !== null));
  return made;
};

const mark = (grade) => el("i", { class: `mark ${grade}`, "aria-hidden": "true" });

/* A rule's text: flowing paragraphs, numbered steps as a list. */
const prose = (text) => {
  const steps = text.split(/^\s*(?=\d+\.\s)/m).map((step) => step.replace(/\s+/g, " ").trim()).filter(Boolean);
  if (steps.length < 2) return el("p", {}, told(steps.join(" ")));
  return el("ol", {}, steps.map((step) => el("li", {}, told(step.replace(/^\d+\.\s/, "")))));
};

const HOLDS = { 1: "yes", 0: "no", "-1": "can’t tell" };

const small = (caption, headings, lines) => el("table", { class: `small ${caption.toLowerCase()}` },
  el("caption", {}, caption),
  el("thead", {}, el("tr", {}, headings.map((text) => el("th", { scope: "col" }, text)))),
  el("tbody", {}, lines.map((cells) => el("tr", {}, cells))));

const section = (title, ...body) => el("div", { class: "part" }, el("h4", {}, title), ...body);

const requirement = (rule, clauses) => (clauses
  ? small("Requirement", ["clause", "with the values", "holds"], clauses.map(([text, valued, truth]) => [
    el("td", {}, el("code", {}, told(text))), el("td", {}, told(valued)),
    el("td", { class: `holds t${truth}` }, HOLDS[truth])]))
  : section("Requirement", el("p", {}, el("code", {}, told(rule.requires)))));

const valuesTable = (rows, values, limits) => small("Values", ["value", "is", "comes from"], [
  ...values.map(([name, is, origin]) => [
    el("th", { scope: "row" }, rows.columns[name][0], " ", el("code", {}, name)),
    el("td", { class: "is" }, told(is)), el("td", {}, told(origin))]),
  ...limits.map(([name, is, layer, reason]) => [
    el("th", { scope: "row" }, "limit ", el("code", {}, name)),
    el("td", { class: "is" }, is), el("td", {}, told(`${layer}: ${reason}`))])]);

const toRead = (rows, row) => section("Data to collect", el("ul", {}, rows.fields[rows.text[row]].map((name) => {
  const [sentence, unit, place] = rows.columns[name];
  return el("li", {}, `${sentence}${unit ? `, ${unit}` : ""} `, el("code", {}, name), `: ${place}`);
})));

/* Everything about one row; `opened` is null for one that did not fail. */
const sheet = (rows, row, opened) => {
  const rule = rows.rules[rows.rule[row]];
  const outcome = rows.outcomes[rows.outcome[row]];
  const [clauses, values, limits, standIns, weight, concession] = opened ?? [null, [], [], [], "", ""];
  const facts = [], acts = [];
  facts.push(requirement(rule, clauses));
  if (values.length || limits.length) facts.push(valuesTable(rows, values, limits));
  if (outcome === "cant-tell") facts.push(toRead(rows, row));
  if (standIns.length) facts.push(section("Provisional: it assumes", el("ul", {}, standIns.map((s) => el("li", {}, told(s))))));
  if (concession) facts.push(section(rows.conceded[row] === 1 ? "Conceded" : "Concession, void", el("p", {}, told(concession))));
  const course = rows.courses[rows.tag[row]];
  if (course) facts.push(section("The start", chart(course)));
  if (rule.action && outcome !== "passed" && outcome !== "inapplicable") acts.push(section("What to do", prose(rule.action)));
  if (rule.caution) acts.push(el("div", { class: "caution" }, el("strong", {}, "Caution. "), told(rule.caution.replace(/\s+/g, " "))));
  if (rule.why) acts.push(section("Why", prose(rule.why)));
  if (rule.basis.length) acts.push(section("Basis", el("ul", { class: "basis" }, rule.basis.map((b) => el("li", {}, told(b))))));
  const foot = el("p", { class: "foot" }, el("a", { href: `#rule-${rule.id}` }, "this rule at all positions"), " · ",
    el("a", { href: `#findings?open=${encodeURIComponent(rows.name(row))}` }, "link to this row"),
    weight ? ` · priority ${weight}` : "", opened || outcome === "cant-tell" ? "" : ` · values: startroll explain ${rows.tags[rows.tag[row]]} ${rule.id}`);
  return el("div", { class: "opened" }, el("h3", {}, told(outcome === "failed" ? rule.title_failed : rule.title)),
    el("div", { class: "facts" }, facts), el("div", { class: "acts" }, acts), foot);
};

/* One panel of a chart: a frame, a scale, lines with their names at their ends. */
const SVG = "http://www.w3.org/2000/svg";
const W = 560, H = 150, LEFT = 44, RIGHT = 110;
const draw = (name, attributes, text) => {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text !== undefined) made.textContent = text;
  return made;
};

const panel = (top, time, unit, lines, levels) => {
  const made = draw("g", { transform: `translate(0 ${top})` });
  const most = Math.max(...lines.flatMap(([, values]) => values), ...levels.map(([, value]) => value));
  const step = [0.5, 1, 2, 5, 10, 25, 50].find((s) => most / s <= 5) ?? most / 4;
  const high = Math.ceil(most / step) * step;
  const x = (t) => LEFT + (t / time.at(-1)) * (W - LEFT - RIGHT);
  const y = (v) => H - 16 - (v / high) * (H - 32);
  for (let v = 0; v <= high; v += step) {
    made.append(draw("path", { class: "grid", d: `M${LEFT} ${y(v)}H${W - RIGHT}` }));
    made.append(draw("text", { x: LEFT - 6, y: y(v) + 4, "text-anchor": "end" }, v));
  }
  made.append(draw("text", { x: 0, y: 10, class: "unit" }, unit));
  const names = [];
  for (const [text, value] of levels) {
    made.append(draw("path", { class: "level", d: `M${LEFT} ${y(value)}H${W - RIGHT}` }));
    names.push([y(value), "level", text]);
  }
  for (const [text, values, kind] of lines) {
    const points = values.map((v, i) => `${x(time[i]).toFixed(1)} ${y(v).toFixed(1)}`);
    made.append(draw("path", { class: kind, d: `M${points.join("L")}` }));
    names.push([y(values.at(-1)), kind, text]);
  }
  let free = 0;
  for (const [at, kind, text] of names.sort((a, b) => a[0] - b[0])) {
    free = Math.max(at, free) + 13;
    made.append(draw("text", { x: W - RIGHT + 6, y: free - 9, class: kind }, text));
  }
  return made;
};

const chart = (course) => {
  const time = course.time_s;
  const peak = Math.max(...course.current_xfla).toFixed(2), dip = Math.min(...course.voltage_pct).toFixed(1);
  const made = draw("svg", { viewBox: `0 0 ${W} ${2 * H + 20}`, role: "img", class: "chart",
    "aria-label": `${course.outcome}. Highest current ${peak} × FLA, lowest bus voltage ${dip} %, over ${time.at(-1)} s.` });
  made.append(panel(0, time, "× FLA", [["current", course.current_xfla, "current"]],
    course.limit_xfla === null ? [] : [["current limit", course.limit_xfla]]));
  made.append(panel(H, time, "%", [["speed", course.speed_pct, "speed"], ["bus voltage", course.voltage_pct, "voltage"]],
    course.dip_limit_pct === null ? [] : [["dip limit", 100 - course.dip_limit_pct]]));
  made.append(draw("text", { x: LEFT, y: 2 * H + 10 }, "0"));
  made.append(draw("text", { x: W - RIGHT, y: 2 * H + 10, "text-anchor": "end" }, `${time.at(-1)} s`));
  return el("figure", {}, made, el("figcaption", {}, told(course.outcome)));
};
