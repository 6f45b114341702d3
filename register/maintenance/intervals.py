"""The table of intervals: the one that comes along, with a site's own rows over it."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from difflib import get_close_matches
from pathlib import Path

from register.columns import RECORD_KINDS
from register.columns.source import SEEN
from register.errors import Problem, RuleError
from register.maintenance.model import NEEDS, Interval
from register.resources import rules_folder
from register.text import whole

FILE = Path("tables", "maintenance-intervals.csv")
SPARE = "spare inspection"
TASKS = (*RECORD_KINDS.split("|"), SPARE)
ABOUT = (
    "starting device",
    "contactors",
    "electronic device",
    "overload",
    "breaker",
    "motor",
    "bypass",
    "emergency stop",
    "hazardous area",
    "device in store",
    "lineup",
    "main breaker",
)
PROTECTS = ("people", "fire", "machine", "production", "records")
MONTHS = ("condition_1_months", "condition_2_months", "condition_3_months")
HEADINGS = ("task", "about", "needs", "protects", *MONTHS, "source", "seen", "where")
MOST_MONTHS = 240


def intervals(site_rules: Path | None = None) -> tuple[Interval, ...]:
    """Every task of the programme, in the order of the table; a site's row replaces that of its task and `about`.

    Parameters
    ----------
    site_rules : the site's folder of rules; its `tables/maintenance-intervals.csv`, where there is one, goes over.

    Raises RuleError with everything that is wrong in either table.
    """
    problems = list(_misnamed(site_rules))
    found: dict[tuple[str, str], Interval] = {}
    for layer, folder in (("shipped", rules_folder()), ("site", site_rules)):
        if folder is not None and (folder / FILE).exists():
            rows = list(_rows(folder / FILE, layer, problems))
            problems += _twice(folder / FILE, rows)
            found |= {(row.task, row.about): row for _, row in rows}
    if problems:
        raise RuleError(problems)
    return tuple(found.values())


def _misnamed(site_rules: Path | None) -> Iterator[Problem]:
    """A table of almost that name would be left out in silence."""
    folder = site_rules / FILE.parent if site_rules is not None else None
    for path in sorted(folder.iterdir()) if folder is not None and folder.is_dir() else ():
        if path.name != FILE.name and get_close_matches(path.name.lower(), [FILE.name], cutoff=0.8):
            yield Problem("this table is not read", f"call it {FILE.name}", str(path))


def _rows(path: Path, layer: str, problems: list[Problem]) -> Iterator[tuple[int, Interval]]:
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        problems.append(Problem(f"cannot be read: {error}", "save it as UTF-8", str(path)))
        return
    numbered = [(n, line) for n, line in enumerate(lines, 1) if line.strip() and not line.startswith("#")]
    cells = list(csv.reader(line for _, line in numbered))
    if not cells or [c.strip() for c in cells[0]] != list(HEADINGS):
        place = f"{path}:{numbered[0][0]}" if numbered else str(path)
        problems.append(Problem("these are not the headings of the table", ",".join(HEADINGS), place))
        return
    for (number, line), row in zip(numbered[1:], cells[1:], strict=True):
        place = f"{path}:{number}"
        if len(row) != len(HEADINGS):
            cause = f"{len(row)} cells under {len(HEADINGS)} headings"
            problems.append(Problem(cause, "put a cell that holds a comma in quotes", place, line, line=number))
            continue
        told = dict(zip(HEADINGS, (cell.strip() for cell in row), strict=True))
        wrong = [Problem(cause, remedy, place, line, line=number) for cause, remedy in _wrong(told, layer)]
        problems += wrong
        if not wrong:
            one, two, three = (int(told[name]) if told[name] else None for name in MONTHS)
            words = {name: told[name] for name in HEADINGS if name not in MONTHS}
            yield number, Interval(**words, months=(one, two, three), layer=layer)


def _wrong(told: dict[str, str], layer: str) -> Iterator[tuple[str, str]]:
    for name, words in (("task", TASKS), ("about", ABOUT), ("needs", NEEDS), ("protects", PROTECTS)):
        if told[name] not in words:
            yield f"{name}: {told[name]!r} is none that is known", f"one of: {', '.join(words)}"
    months = [told[name] for name in MONTHS]
    odd = [m for m in months if m and not (m.isascii() and 1 <= whole(m) <= MOST_MONTHS)]
    if odd:
        yield f"{odd[0]!r} is not a number of months", f"whole months, 1 to {MOST_MONTHS}; blank where it is not known"
        return
    known = [int(m) for m in months if m]
    if known != sorted(known, reverse=True):
        yield "a worse condition has a longer interval", "condition 3 is looked at as often as 1 and 2, or more often"
    if known and not told["source"]:
        yield "an interval without its source", "name the standard, the maker's manual or the site's own decision"
    if known and (told["seen"] or layer == "shipped") and told["seen"] not in SEEN:
        yield f"seen: {told['seen']!r} is no way of seeing a source", f"one of: {', '.join(SEEN)}"


def _twice(path: Path, rows: list[tuple[int, Interval]]) -> Iterator[Problem]:
    met: dict[tuple[str, str], int] = {}
    for number, row in rows:
        first = met.setdefault((row.task, row.about), number)
        if first != number:
            cause = f"{row.task} of the {row.about} stands here twice, first on line {first}"
            yield Problem(cause, "keep one of them", f"{path}:{number}", line=number)
