/* What a person does with the page: types, clicks, presses keys; and the start of it all. */

/* The squares of the map are one stop for the Tab key; arrows go from one to the next, and the line below tells it. */
const rove = (squares) => {
  const says = byId("map-says");
  const rest = says?.textContent;
  const all = [...squares];
  let now = 0;
  all.forEach((square, place) => {
    square.tabIndex = place ? -1 : 0;
    square.addEventListener("mouseenter", () => { says.textContent = square.ariaLabel; });
    square.addEventListener("mouseleave", () => { says.textContent = rest; });
    square.addEventListener("focus", () => {
      all[now].tabIndex = -1;
      now = place;
      square.tabIndex = 0;
      says.textContent = square.ariaLabel;
    });
    square.addEventListener("keydown", (event) => {
      const to = { ArrowRight: place + 1, ArrowLeft: place - 1, Home: 0, End: all.length - 1,
        ArrowDown: below(all, place, 1), ArrowUp: below(all, place, -1) }[event.key];
      if (to === undefined) return;
      event.preventDefault();
      all[Math.max(0, Math.min(all.length - 1, to))].focus();
    });
  });
};

/* The square under this one, or above it. */
const below = (all, place, way) => {
  const here = all[place].getBoundingClientRect();
  let best = place, least = Infinity;
  for (let other = place + way; other >= 0 && other < all.length; other += way) {
    const there = all[other].getBoundingClientRect();
    const down = (there.top - here.top) * way;
    if (down < 4) continue;
    const far = down * 4 + Math.abs(there.left - here.left);
    if (far >= least) break;
    [best, least] = [other, far];
  }
  return best;
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
    if (key === undefined) return;
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
  const unfold = () => {
    const within = location.hash.startsWith("#findings") ? null : byId(decodeURIComponent(location.hash.slice(1)));
    within?.querySelector("details")?.setAttribute("open", "");
  };
  addEventListener("hashchange", () => { unfold(); read(list); });
  unfold();
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
  if (event.key === "ArrowDown" && document.activeElement.id === "query") {
    event.preventDefault();
    list.go(0);
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
  for (const [id, names] of [["area", rows.areas], ["lineup", rows.buses], ["criticality", rows.criticalities], ["kind", rows.kinds]]) {
    const known = names.filter(Boolean);
    byId(id).append(...known.map((name) => el("option", { value: name }, visible(name))));
    byId(id).parentElement.hidden = known.length < 2;
  }
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
    byId("tally").hidden = false;
    byId("count").textContent = "This browser is too old to unpack the list; the workbook has the same findings.";
    return;
  }
  const rows = new Rows(await unpack(byId("index").textContent));
  fill(rows);
  const list = new List(rows);
  byId("controls").hidden = byId("tally").hidden = false;
  listen(list);
  rove(document.querySelectorAll(".sq"));
  ask(list);
  await read(list);
  performance.mark("ready");
  (window.requestIdleCallback ?? setTimeout)(() => rows.prepare());
})();
