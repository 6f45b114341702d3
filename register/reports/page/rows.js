"use strict";
/* The rows: unpacked, looked up, filtered, sorted. Knows nothing of the page's elements. */

const unpack = async (letters) => {
  const bytes = Uint8Array.from(atob(letters), (c) => c.charCodeAt(0));
  const plain = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(plain).json();
};

class Rows {
  constructor(index) {
    Object.assign(this, index);
    const { rows } = index;
    this.text = rows.text;
    this.margin = rows.margin;
    this.tag = Int32Array.from(rows.tag);
    this.rule = Int32Array.from(rows.rule);
    this.outcome = Uint8Array.from(rows.outcome);
    this.weight = Float32Array.from(rows.weight);
    this.provisional = Uint8Array.from(rows.provisional);
    this.conceded = Uint8Array.from(rows.conceded);
    this.depth = Int16Array.from(rows.depth);
    this.listed = this.tag.length;
    this.whole = !this.letters.some(Boolean);
    this.ruleNumber = new Map(this.rules.map((rule, number) => [rule.id, number]));
    this.tagNumber = new Map(this.tags.map((tag, number) => [tag, number]));
    this.tagWords = this.tags.map((tag, t) =>
      [tag, this.description[t], this.areas[this.area[t]], this.buses[this.bus[t]],
        this.criticalities[this.criticality[t]]].join("\n").toLowerCase());
    this.ruleWords = this.rules.map((rule) => `${rule.id}\n${rule.title}\n${rule.title_failed}`.toLowerCase());
    this.fieldWords = this.fields.map((names) =>
      names.map((name) => `${name} ${this.columns[name][0]}`).join("\n").toLowerCase());
  }

  /* Passed and inapplicable verdicts become rows when they are first asked for. */
  complete() {
    if (this.whole) return;
    this.whole = true;
    const codes = { P: this.outcomes.indexOf("passed"), "-": this.outcomes.indexOf("inapplicable") };
    const tag = [], rule = [], outcome = [];
    this.letters.forEach((word, t) => {
      for (let r = 0; r < word.length; r += 1) {
        const code = codes[word[r]];
        if (code !== undefined) { tag.push(t); rule.push(r); outcome.push(code); }
      }
    });
    const longer = (old, more) => {
      const made = new old.constructor(this.listed + tag.length);
      made.set(old);
      made.set(more, this.listed);
      return made;
    };
    this.tag = longer(this.tag, tag);
    this.rule = longer(this.rule, rule);
    this.outcome = longer(this.outcome, outcome);
    this.weight = longer(this.weight, []);
    this.provisional = longer(this.provisional, []);
    this.conceded = longer(this.conceded, []);
    this.depth = longer(this.depth, []);
  }

  /* All texts as one, in small letters: one search through it finds every row that has a word. */
  prepare() {
    if (this.joined !== undefined) return;
    const lowered = this.text.map((text) => (typeof text === "string" ? text.toLowerCase() : ""));
    this.ends = new Int32Array(lowered.length);
    let end = 0;
    lowered.forEach((text, row) => { end += text.length + 1; this.ends[row] = end; });
    this.joined = lowered.join("\n");
  }

  canList(outcome) {
    return ["failed", "cant-tell"].includes(outcome) || this.letters.some(Boolean);
  }

  sentence(row) {
    const text = this.text[row];
    if (typeof text === "string") return text;
    if (text === undefined) return this.rules[this.rule[row]].title;
    const names = this.fields[text].map((name) => this.columns[name][0]);
    return names.length ? `Unknown until it is read: ${names.join("; ")}.` : "Unknown.";
  }

  name(row) {
    return `${this.rules[this.rule[row]].id}@${this.tags[this.tag[row]]}`;
  }

  find(name) {
    const at = name.indexOf("@");
    const rule = this.ruleNumber.get(name.slice(0, at));
    const tag = this.tagNumber.get(name.slice(at + 1));
    for (let row = 0; row < this.tag.length; row += 1) {
      if (this.tag[row] === tag && this.rule[row] === rule) return row;
    }
    return -1;
  }

  /* The rows that a question asks for, in its order. */
  answer({ query, at, area, lineup, criticality, kind, harm, firm, rule, grades, outcomes, conceded, sort, down }) {
    if (outcomes.has("passed") || outcomes.has("inapplicable")) this.complete();
    const grade = this.grades.map((name) => grades.has(name));
    const outcome = this.outcomes.map((name) => outcomes.has(name));
    const rightRule = this.rules.map((r) => grade[r.grade] && (!harm || r.harm === harm)
      && (!rule || r.id === rule || r.id.startsWith(`${rule}/`)));
    const rightPlace = this.#placesThat({ at, area, lineup, criticality, kind });
    if (query) this.prepare();
    const words = query.toLowerCase().split(/\s+/).filter(Boolean).map((word) => this.#wordIn(word));
    const found = [];
    rows: for (let row = 0; row < this.tag.length; row += 1) {
      const t = this.tag[row], r = this.rule[row];
      if (!outcome[this.outcome[row]] || !rightRule[r]) continue;
      if (rightPlace && !rightPlace[t]) continue;
      if (!conceded && this.conceded[row] === 1) continue;
      if (firm && (this.provisional[row] === 1) !== (firm === "provisional")) continue;
      for (const has of words) if (!has(t, r, row)) continue rows;
      found.push(row);
    }
    return this.#sorted(found, sort, down);
  }

  /* One yes or no a place; null where every place is asked for. */
  #placesThat({ at, area, lineup, criticality, kind }) {
    const asked = [[area, this.areas, this.area], [lineup, this.buses, this.bus],
      [criticality, this.criticalities, this.criticality], [kind, this.kinds, this.kind]].filter(([wanted]) => wanted);
    if (!at && !asked.length) return null;
    const wanted = asked.map(([word, words, column]) => [words.indexOf(word), column]);
    const only = at ? this.tagNumber.get(at) ?? -1 : null;
    return this.tags.map((_, t) => (only === null || t === only) && wanted.every(([number, column]) => column[t] === number));
  }

  #wordIn(word) {
    const inTag = this.tagWords.map((text) => text.includes(word));
    const inRule = this.ruleWords.map((text) => text.includes(word));
    const inField = this.fieldWords.map((text) => text.includes(word));
    const inText = new Uint8Array(this.listed);
    let row = 0;
    for (let at = this.joined.indexOf(word); at >= 0; at = this.joined.indexOf(word, this.ends[row])) {
      while (this.ends[row] <= at) row += 1;
      inText[row] = 1;
    }
    return (t, r, row) => inTag[t] || inRule[r] || inText[row] === 1 || inField[this.text[row]] === true;
  }

  #sorted(found, sort, down) {
    const keys = {
      "": null,
      tag: (row) => this.tag[row],
      rule: (row) => this.rule[row],
      area: (row) => this.area[this.tag[row]],
      margin: (row) => 1000 - this.depth[row],
      grade: (row) => this.rules[this.rule[row]].grade,
    };
    const key = keys[sort];
    if (key) {
      const keyed = new Float64Array(found.length);
      found.forEach((row, place) => { keyed[place] = key(row) * 2 ** 24 + row; });
      keyed.sort();
      keyed.forEach((value, place) => { found[place] = value % 2 ** 24; });
    }
    return down ? found.reverse() : found;
  }
}
