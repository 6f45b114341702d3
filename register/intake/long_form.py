"""A list with a row for each value (tag, characteristic, value, unit) turned into one with a row for each tag."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import replace
from typing import Any

from register.columns.languages import bare, line_words
from register.intake.cells import as_text
from register.intake.sheet import Sheet

LOOK_DOWN = 40
FEWEST = 2  # values of one tag, on the average, for it to be such a list


def _filled(cell: Any) -> bool:
    return cell is not None and cell != "" and bool(str(cell).strip())


def turned(sheet: Sheet) -> Sheet:
    """The sheet with a row for each tag; as it is where it is no such list."""
    found = _headings(sheet)
    if found is None:
        return sheet
    head, name_at, value_at, unit_at = found
    key_at = _key(sheet, head, {name_at, value_at, unit_at})
    if key_at is None:
        return sheet
    wide = max(map(len, sheet.rows))
    lines = [(n, [*sheet.rows[n], *[""] * (wide - len(sheet.rows[n]))]) for n in range(head + 1, len(sheet.rows))]
    lines = [(n, r) for n, r in lines if any(map(_filled, r))]
    if len(lines) < FEWEST * len({as_text(r[key_at]) for _, r in lines}) or not lines:
        return sheet
    return _turned(sheet, head, (key_at, name_at, value_at, unit_at), lines)


def _headings(sheet: Sheet) -> tuple[int, int, int, int | None] | None:
    """Row of the headings, and the columns of characteristic, value and unit."""
    for number, row in enumerate(sheet.rows[:LOOK_DOWN]):
        texts = {i: bare(c) for i, c in enumerate(row) if isinstance(c, str) and c.strip()}
        kinds = {k: [i for i, t in texts.items() if t in line_words(k)] for k in ("attribute", "value", "unit")}
        if len(texts) <= 8 and len(kinds["attribute"]) == len(kinds["value"]) == 1:
            return number, kinds["attribute"][0], kinds["value"][0], next(iter(kinds["unit"]), None)
    return None


def _key(sheet: Sheet, head: int, others: set[int | None]) -> int | None:
    """The column whose cells name what the values are of: the one that repeats, the first of several."""
    rows = sheet.rows[head + 1 :]
    for index, cell in enumerate(sheet.rows[head]):
        if index in others or not _filled(cell):
            continue
        cells = [as_text(r[index]) for r in rows if index < len(r) and _filled(r[index])]
        if (cells and 1 < len(set(cells)) <= len(cells) / FEWEST) or (len(cells) > 1 and len(set(cells)) == 1):
            return index
    return None


def _turned(sheet: Sheet, head: int, at: tuple[int, int, int, int | None], lines: list[tuple[int, Any]]) -> Sheet:
    key_at, name_at, value_at, unit_at = at
    units = _units(lines, name_at, unit_at)
    names = list(dict.fromkeys(_name(r[name_at]) for _, r in lines if _filled(r[value_at])))
    others = [i for i, c in enumerate(lines[0][1]) if i not in at and any(_filled(r[i]) for _, r in lines)]
    titles = sheet.rows[head]
    made = _Table([titles[key_at], *(f"{n} ({units[n]})" if units[n] else n for n in names)], (head, key_at))
    made.rows[0] += [titles[i] if i < len(titles) else "" for i in others]
    for number, line in lines:
        for index, place in enumerate(others, 1 + len(names)):
            made.put(number, line[key_at], key_at, index, line[place], place)
        if not _filled(line[value_at]):
            continue
        name, value = _name(line[name_at]), line[value_at]
        unit = line[unit_at] if unit_at is not None else None
        if not units[name] and _filled(unit):
            value = f"{as_text(value)} {as_text(unit)}"
        col = names.index(name) + 1
        made.put(number, line[key_at], key_at, col, value, value_at)
        made.where.setdefault((0, col), (number, name_at))
    folded = _count(sheet.rows) - _count(made.rows)
    note = f"sheet {sheet.name!r}: a row for each value, read as one row for each {as_text(titles[key_at])}"
    notes = (*sheet.notes, note)
    return replace(sheet, rows=made.rows, turned=made.where, folded=folded, notes=notes, struck=frozenset())


def _name(cell: Any) -> str:
    return as_text(cell) if _filled(cell) else "?"


def _count(rows: list[list[Any]]) -> int:
    return sum(_filled(c) for row in rows for c in row)


class _Table:
    """The rows of the turned sheet as they grow, and where each cell stood."""

    def __init__(self, top: list[Any], place: tuple[int, int]) -> None:
        self.rows: list[list[Any]] = [top]
        self.where: dict[tuple[int, int], tuple[int, int]] = {(0, 0): place}
        self._of: dict[str, list[int]] = defaultdict(list)

    def put(self, number: int, key: Any, key_at: int, col: int, value: Any, value_at: int) -> None:
        """Put a value into its tag's row; another value of the same kind opens a further row for that tag."""
        mine = self._of[as_text(key) if _filled(key) else f"row {number}"]
        if not _filled(value) or any(self.rows[r][col] == value for r in mine):
            return
        row = next((r for r in mine if not _filled(self.rows[r][col])), None)
        if row is None:
            row = len(self.rows)
            self.rows.append([key, *[""] * (len(self.rows[0]) - 1)])
            mine.append(row)
            self.where[row, 0] = (number, key_at)
        self.rows[row][col] = value
        self.where[row, col] = (number, value_at)


def _units(lines: list[tuple[int, Any]], name_at: int, unit_at: int | None) -> dict[str, str]:
    """The one unit of each characteristic; none where it has several, or none."""
    found: dict[str, Counter[str]] = defaultdict(Counter)
    for _, line in lines:
        unit = line[unit_at] if unit_at is not None and unit_at < len(line) else None
        found[_name(line[name_at])][as_text(unit) if _filled(unit) else ""] += 1
    return {name: next(iter(units)) if len(units) == 1 else "" for name, units in found.items()}
