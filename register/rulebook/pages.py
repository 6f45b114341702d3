"""A page for each rule, and an index, in Markdown, made from the rules themselves."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from pathlib import Path
from typing import Any

from register import columns
from register.rulebook.model import Grade, Harm, Pack, Rule
from register.rulebook.run import wording

HARMED = {
    Harm.PEOPLE: "people",
    Harm.FIRE: "by fire",
    Harm.MACHINE: "the machine",
    Harm.PRODUCTION: "production",
    Harm.RECORDS: "records only",
}
NOTE = "<!-- Generated from the rules; edit the rule and not this page. -->\n"


def pages(pack: Pack) -> dict[str, str]:
    """Path below docs/ → text: `rules/index.md` and a page for each rule."""
    made = {"rules/index.md": index(pack)}
    return made | {f"rules/{rule.id}.md": page(rule, pack) for rule in pack.rules}


def write_pages(pack: Pack, folder: Path) -> int:
    """Write every page below a folder; how many there are."""
    made = pages(pack)
    for name, text in made.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return len(made)


def index(pack: Pack) -> str:
    """All rules by theme, and all limits."""
    parts = [NOTE, f"# {pack.name} {pack.version}\n\n{_sentence(pack.sentence)}\n"]
    graded = ", ".join(f"{sum(rule.grade is grade for rule in pack.rules)} {grade}" for grade in Grade)
    parts.append(f"\n{len(pack.rules)} rules: {graded}.\n")
    for theme, rules in groupby(pack.rules, key=lambda rule: rule.id.split("/")[0]):
        parts.append(f"\n## {theme}\n\n")
        rows = [(f"[{r.id}]({r.id}.md)", r.grade, r.harm, r.practice, r.title) for r in rules]
        parts.append(_table(("rule", "grade", "harm", "practice", "asks that"), rows))
    parts.append("\n## Limits\n\nA site may override each, with a reason.\n\n")
    limits = [
        (f"`{limit.name}`", wording.shown(limit.value, limit.unit), limit.sentence, str(limit.basis))
        for limit in pack.limits.values()
    ]
    parts.append(_table(("limit", "value", "meaning", "basis"), limits))
    return "".join(parts)


def page(rule: Rule, pack: Pack) -> str:
    """One rule whole."""
    practice = "" if rule.practice == "any" else f", where the practice is {rule.practice}"
    about = "" if rule.subject == "position" else f", judged of each {rule.subject}"
    parts = [
        NOTE,
        f"# {rule.title}\n\n`{rule.id}`, {rule.grade}{practice}{about}; not met, it harms {HARMED[rule.harm]}."
        f" When it fails: **{rule.title_failed}**.{_takes(rule)}\n",
    ]
    if rule.outside:
        parts.append("\n## Outside\n\n" + "".join(f"- `{o.when}`: {o.says}\n" for o in rule.outside))
    for title, sql in (("Applies where", rule.applies), ("Requires", rule.requires), ("Margin", rule.margin)):
        if sql:
            parts.append(f"\n## {title}\n\n```sql\n{sql}\n```\n")
    if rule.unknown_is_deliberate:
        parts.append(f"\nUnknown counts here, on purpose: {rule.unknown_is_deliberate}.\n")
    if rule.measured_only:
        parts.append("\nJudged on what was entered; an assumed value leaves it open.\n")
    parts.append(f"\n## Finding\n\n> {rule.finding}\n")
    for title, text in (("Why", rule.why), ("Action", rule.action), ("Caution", rule.caution)):
        if text:
            parts.append(f"\n## {title}\n\n{text}\n")
    parts.append("\n## Basis\n\n" + "".join(f"- {source}\n" for source in rule.basis))
    if rule.limits:
        rows = [(f"`:{n}`", _limit(pack, n), pack.limits[n].sentence) for n in rule.limits]
        parts.append("\n## Limits\n\n" + _table(("limit", "value", "meaning"), rows))
    parts.append("\n## Reads\n\n" + _table(("column", "meaning", "unit", "origin"), _read(rule)))
    parts.append("\n## Examples\n\n" + _examples(rule))
    return "".join(parts)


def _takes(rule: Rule) -> str:
    return f" Setting it right takes: {', '.join(rule.takes)}." if rule.takes else ""


def _limit(pack: Pack, name: str) -> str:
    return wording.shown(pack.limits[name].value, pack.limits[name].unit)


def _read(rule: Rule) -> Iterable[tuple[str, ...]]:
    for name in rule.shown_columns:
        column = columns.COLUMNS[name]
        yield f"`{name}`", column.sentence, column.unit, column.origin


def _examples(rule: Rule) -> str:
    named = list(dict.fromkeys(name for example in rule.examples for name in example.row))
    rows = [(example.outcome.word, *(_given(example.row.get(name)) for name in named)) for example in rule.examples]
    return _table(("outcome", *(f"`{name}`" for name in named)), rows)


def _given(value: Any) -> str:
    if value is None:
        return wording.UNKNOWN
    return value if isinstance(value, str) else f"{value:.12g}"


def _table(headings: Iterable[str], rows: Iterable[tuple[str, ...]]) -> str:
    headings = tuple(headings)
    lines = [headings, ("---",) * len(headings), *rows]
    return "".join(f"| {' | '.join(_cell(cell) for cell in line)} |\n" for line in lines)


def _cell(text: str) -> str:
    return str(text).replace("|", "\\|").replace("\n", " ")


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:].rstrip(".") + "."
