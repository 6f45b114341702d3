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
  go(place) {
    if (place < 0 || place >= this.found.length) return;
    const button = () => this.table.querySelector(`tr[data-row="${this.found[place]}"] button`);
    if (!button()) {
      const above = this.heights.slice(0, Math.floor(place / BLOCK)).reduce((a, b) => a + b, 0);
      scrollTo(0, this.top.getBoundingClientRect().top + scrollY + above);
      this.place();
    }
    button()?.closest("tr").scrollIntoView({ block: "nearest" });
    button()?.focus();
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

const question = () => {
  const checked = (name) => new Set([...document.querySelectorAll(`input[name=${name}]:checked`)].map((box) => box.value));
  return { query: byId("query").value, area: byId("area").value, rule: byId("rule").value,
    grades: checked("grade"), outcomes: checked("outcome"), conceded: byId("conceded")?.checked ?? true, sort: byId("sort").value, down: byId("sort").dataset.down === "yes" };
};

const number = (value) => String(value).replace(/\B(?=(\d{3})+$)/g, "\u202f");

const ask = (list) => {
  const asked = question();
  performance.mark("asked");
  const found = list.rows.answer(asked);
  list.show(found.slice(0, MOST_LISTED));
  performance.measure("filter", "asked");
  const words = [...asked.outcomes].map((word) => (word === "cant-tell" ? "can’t tell" : word)).join(", ");
  const where = [asked.area && `in ${asked.area}`, asked.rule && `by ${asked.rule}`, asked.query && `with “${asked.query}”`,
    !asked.conceded && "not conceded", asked.grades.size < list.rows.grades.length && `graded ${[...asked.grades].join(", ") || "nothing"}`].filter(Boolean).join(", ");
  byId("count").textContent = visible(`${number(found.length)} ${found.length === 1 ? "verdict" : "verdicts"}: ${words || "no outcome chosen"}${where && `, ${where}`}.`)
    + (found.length > MOST_LISTED ? ` The first ${number(MOST_LISTED)} are listed.` : "");
  const most = found.length > MOST_PRINTED ? ` Of these the first ${number(MOST_PRINTED)} are printed.` : "";
  byId("printed").textContent = byId("count").textContent + most;
  byId("open-all").hidden = !found.length || found.length > MOST_OPENED;
  byId("close-all").hidden = !list.open.size;
  byId("clear").hidden = !where && words === "failed";
  list.table.hidden = !found.length;
  for (const head of list.table.querySelectorAll("th[data-sort]")) {
    const on = head.dataset.sort === asked.sort;
    const rising = (head.dataset.sort === "weight") === asked.down;
    head.setAttribute("aria-sort", on ? (rising ? "ascending" : "descending") : "none");
  }
};

/* The question stands in the address, so that a link leads to what it asks. */
const written = (asked, list) => {
  const parts = new URLSearchParams();
  if (asked.query) parts.set("q", asked.query);
  for (const name of ["area", "rule"]) if (asked[name]) parts.set(name, asked[name]);
  if (asked.grades.size < list.rows.grades.length) parts.set("grade", [...asked.grades].join(" "));
  if ([...asked.outcomes].join() !== "failed") parts.set("outcome", [...asked.outcomes].join(" "));
  if (!asked.conceded) parts.set("conceded", "no");
  if (asked.sort !== "weight" || asked.down) parts.set("sort", asked.sort + (asked.down ? " down" : ""));
  return String(parts);
};

const read = async (list) => {
  const [place, text] = decodeURI(location.hash.slice(1)).startsWith("findings?")
    ? ["findings", location.hash.slice(location.hash.indexOf("?") + 1)] : ["", null];
  if (text === null) return;
  const parts = new URLSearchParams(text);
  const row = parts.has("open") ? list.rows.find(parts.get("open")) : -1;
  byId("query").value = parts.get("q") ?? "";
  byId("area").value = parts.get("area") ?? "";
  byId("rule").value = parts.get("rule") ?? "";
  const [sort, down] = (parts.get("sort") ?? "weight").split(" ");
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
    list.go(list.found.indexOf(row));
  } else {
    byId(place).scrollIntoView();
    byId("findings-title").focus({ preventScroll: true });
  }
};

const listen = (list) => {
  const asking = () => {
    ask(list);
    const text = written(question(), list);
    history.replaceState(null, "", text ? `#findings?${text}` : "#findings");
  };
  byId("controls").addEventListener("submit", (event) => event.preventDefault());
  byId("query").addEventListener("input", asking);
  byId("controls").addEventListener("change", (event) => {
    if (event.target.id === "sort") event.target.dataset.down = "no";
    if (event.target.id !== "query") asking();
  });
  list.table.tHead.addEventListener("click", (event) => {
    const key = event.target.closest("th")?.dataset.sort;
    if (!key) return;
    const sort = byId("sort");
    sort.dataset.down = sort.value === key && sort.dataset.down !== "yes" ? "yes" : "no";
    sort.value = key;
    asking();
  });
  list.table.addEventListener("click", async (event) => {
    const line = event.target.closest("tr.row");
    if (!line || getSelection().toString()) return;
    await list.toggle(Number(line.dataset.row));
    byId("close-all").hidden = !list.open.size;
  });
  byId("open-all").addEventListener("click", () => {
    list.found.forEach((row) => list.open.add(row));
    ask(list);
  });
  byId("close-all").addEventListener("click", () => { list.open.clear(); ask(list); });
  byId("clear").addEventListener("click", () => {
    location.hash = "findings?";
    byId("query").focus();
  });
  addEventListener("hashchange", () => read(list));
  let waiting = 0;
  const follow = () => { waiting ||= requestAnimationFrame(() => { waiting = 0; list.place(); }); };
  addEventListener("scroll", follow, { passive: true });
  addEventListener("resize", follow);
  addEventListener("beforeprint", () => list.print(true));
  addEventListener("afterprint", () => list.print(false));
  addEventListener("keydown", (event) => keys(event, list));
};

const keys = (event, list) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const typing = /^(INPUT|SELECT|TEXTAREA)$/.test(document.activeElement.tagName);
  if (event.key === "/" && !typing) {
    event.preventDefault();
    byId("query").focus();
    return;
  }
  const line = document.activeElement.closest?.("tr.row");
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  if (line && step) {
    event.preventDefault();
    list.go(Number(line.getAttribute("aria-rowindex")) - 2 + step);
  }
};

const fill = (rows) => {
  byId("area").append(...rows.areas.map((name) => el("option", { value: name }, visible(name))));
  const themes = new Map();
  for (const rule of rows.rules) {
    const theme = rule.id.split("/")[0];
    if (!themes.has(theme)) themes.set(theme, []);
    themes.get(theme).push(rule);
  }
  for (const [theme, rules] of themes) {
    byId("rule").append(el("optgroup", { label: theme }, el("option", { value: theme }, `${theme}: all`),
      rules.map((rule) => el("option", { value: rule.id }, rule.title))));
  }
  for (const box of document.querySelectorAll("input[name=outcome]")) {
    box.disabled = !rows.canList(box.value);
    if (box.disabled) box.parentElement.title = "there are too many of these for a page; the JSON report has them";
  }
};

(async () => {
  if (typeof DecompressionStream === "undefined") {
    byId("count").textContent = "This browser is too old to unpack the list; the workbook has the same findings.";
    return;
  }
  const rows = new Rows(await unpack(byId("index").textContent));
  fill(rows);
  const list = new List(rows);
  byId("controls").hidden = false;
  listen(list);
  ask(list);
  await read(list);
  performance.mark("ready");
  (window.requestIdleCallback ?? setTimeout)(() => rows.prepare());
})();
