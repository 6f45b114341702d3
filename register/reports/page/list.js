/* The list: its question, the rows in view, opening, printing. */

const byId = (id) => document.getElementById(id);
const BLOCK = 30;
const MOST_OPENED = 100;
const MOST_PRINTED = 3000;
// A browser lays no page out that is higher than some thirty million pixels.
const MOST_LISTED = 300000;

class List {
  constructor(rows) {
    this.rows = rows;
    this.table = byId("list");
    this.parts = [...document.querySelectorAll("script.part")];
    this.unpacked = new Map();
    this.open = new Set();
    this.top = this.table.appendChild(this.spacer());
    this.bottom = this.table.appendChild(this.spacer());
    this.drawn = new Map();
    this.sizes = new ResizeObserver((seen) => this.measure(seen));
  }

  spacer() {
    return el("tbody", { class: "space", "aria-hidden": "true" }, el("tr", {}, el("td", { colspan: "6" })));
  }

  async part(row) {
    const number = Math.floor(row / this.rows.part);
    if (!this.unpacked.has(number)) this.unpacked.set(number, unpack(this.parts[number].textContent));
    return (await this.unpacked.get(number))[row % this.rows.part];
  }

  show(found) {
    this.found = found;
    this.heights = new Float64Array(Math.ceil(found.length / BLOCK)).fill(BLOCK * (this.height ?? 76));
    this.table.setAttribute("aria-rowcount", found.length + 1);
    for (const block of this.drawn.values()) this.drop(block);
    this.drawn.clear();
    this.place();
  }

  drop(block) {
    this.sizes.unobserve(block);
    block.remove();
  }

  /* Draw the blocks near the view; placeholders of the right height take the place of the others. */
  place() {
    const start = this.top.getBoundingClientRect().top;
    const from = -start - innerHeight, to = -start + 2 * innerHeight;
    let first = 0, above = 0;
    const last = this.heights.length - 1;
    while (first < last && above + this.heights[first] < from) above += this.heights[first++];
    let end = first, depth = above + (this.heights[first] ?? 0);
    while (end < last && depth < to) depth += this.heights[++end];
    for (const [number, block] of this.drawn) {
      if (number < first || number > end) {
        if (block.contains(document.activeElement)) byId("findings-title").focus({ preventScroll: true });
        this.drop(block);
        this.drawn.delete(number);
      }
    }
    let after = this.top;
    for (let number = first; number <= end && number <= last; number += 1) {
      if (!this.drawn.has(number)) this.drawn.set(number, this.block(number, after));
      after = this.drawn.get(number);
    }
    const below = this.heights.reduce((sum, height) => sum + height, 0) - depth;
    this.top.firstChild.firstChild.style.height = `${above}px`;
    this.bottom.firstChild.firstChild.style.height = `${Math.max(0, below)}px`;
  }

  block(number, after) {
    const made = el("tbody", { role: "rowgroup" });
    made.number = number;
    const until = Math.min(this.found.length, (number + 1) * BLOCK);
    for (let place = number * BLOCK; place < until; place += 1) this.draw(made, this.found[place], place);
    after.after(made);
    this.sizes.observe(made);
    return made;
  }

  measure(seen) {
    let moved = false;
    for (const { target } of seen) {
      const { height } = target.getBoundingClientRect();
      if (!height || this.drawn.get(target.number) !== target) continue;
      moved ||= Math.abs(this.heights[target.number] - height) > 1;
      this.heights[target.number] = height;
      if (this.open.size === 0) this.height = height / target.children.length;
    }
    if (moved) this.place();
  }

  draw(parent, row, place) {
    const { rows } = this;
    const rule = rows.rules[rows.rule[row]], t = rows.tag[row];
    const grade = rows.grades[rule.grade], outcome = rows.outcomes[rows.outcome[row]];
    const isOpen = this.open.has(row);
    const button = el("button", { type: "button", "aria-expanded": String(isOpen), "aria-controls": `sheet-${row}` }, told(rows.tags[t]));
    const line = el("tr", { role: "row", class: `row ${outcome}`, "aria-rowindex": place + 2, "data-row": row },
      el("th", { role: "rowheader", scope: "row", class: "c-tag" }, button, el("span", { class: "what" }, told(rows.description[t]))),
      el("td", { role: "cell", class: `c-grade ${grade}` }, mark(grade), grade,
        outcome === "failed" ? null : el("span", { class: "what" }, outcome === "cant-tell" ? "can’t tell" : outcome),
        [null, el("span", { class: "what" }, "conceded"), el("span", { class: "what" }, "concession void")][rows.conceded[row]],
        rows.provisional[row] ? el("span", { class: "what" }, "provisional") : null),
      el("td", { role: "cell", class: "c-text" }, el("p", {}, told(rows.sentence(row))), el("span", { class: "what" }, told(rule.id))),
      el("td", { role: "cell", class: "c-area" }, told(rows.areas[rows.area[t]]), el("span", { class: "what" }, told(rows.buses[rows.bus[t]]))),
      el("td", { role: "cell", class: "c-margin n" }, rows.margin[row]?.replace(/^-/, "−") || el("span", { class: "none" }, "–")),
      el("td", { role: "cell", class: "c-weight n" }, rows.weight[row] ? String(Number(rows.weight[row].toPrecision(3))) : el("span", { class: "none" }, "–")));
    parent.append(line);
    if (isOpen) this.unfold(line, row);
  }

  async unfold(line, row) {
    const cell = el("td", { role: "cell", colspan: "6", class: "sheet-cell" });
    line.after(el("tr", { role: "row", class: "sheet", id: `sheet-${row}` }, cell));
    const failed = this.rows.outcomes[this.rows.outcome[row]] === "failed";
    cell.append(sheet(this.rows, row, failed ? await this.part(row) : null));
  }

  async toggle(row, wanted = !this.open.has(row)) {
    if (wanted) this.open.add(row); else this.open.delete(row);
    const line = this.table.querySelector(`tr[data-row="${row}"]`);
    if (!line) return;
    line.querySelector("button").setAttribute("aria-expanded", String(wanted));
    const old = byId(`sheet-${row}`);
    if (wanted && !old) await this.unfold(line, row);
    if (!wanted) old?.remove();
  }

  /* Bring a row into view by its place in the list, draw it, and put the focus on it. */
  go(place, block = "nearest") {
    if (place < 0 || place >= this.found.length) return;
    const button = () => this.table.querySelector(`tr[data-row="${this.found[place]}"] button`);
    if (!button()) {
      const above = this.heights.slice(0, Math.floor(place / BLOCK)).reduce((a, b) => a + b, 0);
      scrollTo(0, this.top.getBoundingClientRect().top + scrollY + above);
      this.place();
    }
    button()?.closest("tr").scrollIntoView({ block });
    button()?.focus({ preventScroll: true });
  }

  /* On paper there is no scrolling: all rows are shown, up to a limit that is said. */
  async print(on) {
    for (const block of this.drawn.values()) this.drop(block);
    this.drawn.clear();
    if (!on) { this.place(); return; }
    this.top.firstChild.firstChild.style.height = this.bottom.firstChild.firstChild.style.height = "0";
    const made = el("tbody", { role: "rowgroup" });
    this.found.slice(0, MOST_PRINTED).forEach((row, place) => this.draw(made, row, place));
    this.top.after(made);
    this.drawn.set(-1, made);
  }
}
