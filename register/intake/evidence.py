"""What the cells under a heading say of its meaning: words of a closed list, days, numbers of a certain size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from register.columns import COLUMNS, Column
from register.columns.languages import bare, line_words
from register.intake.cells import Cell, Manner, as_text, read_column
from register.intake.heading_units import is_unit, unit_of
from register.intake.headings import PASSED_OVER, SURE, UNKNOWN, UNSURE, Header, Heading
from register.intake.sheet import Sheet
from register.intake.units import conversion
from register.intake.vocabulary import is_code

SAMPLE = 300
ENOUGH, POOR = 0.7, 0.3
# Columns that plants head alike, told apart by what stands under them.
SIBLINGS = {
    "relay_set_a": ("overload_place", "relay_trip_class"),
    "overload_place": ("relay_set_a", "relay_trip_class"),
    "relay_trip_class": ("relay_set_a", "overload_place"),
    "protection_rating_a": ("protection_kind", "fuse_class"),
    "protection_kind": ("protection_rating_a", "fuse_class"),
    "fuse_class": ("protection_kind", "protection_rating_a"),
    "lifecycle": ("motor_status", "device_status"),
    "motor_status": ("lifecycle",),
    "device_kind": ("model",),
    "motor_type": (),
    "bus": ("bus_voltage_v",),
    "cable_size": ("cable_length_m",),
    "locked_rotor_ratio": ("device_kind",),
}
SUGGESTED = (
    "device_kind",
    "protection_kind",
    "motor_status",
    "criticality",
    "load_kind",
    "coupling",
    "insulation_class",
    "overload_place",
)


def cells_of(sheet: Sheet, header: Header, index: int) -> list[object]:
    """The different filled cells under a heading, the first of many."""
    seen: dict[object, None] = {}
    for row in sheet.rows[header.row + 1 + header.below :]:
        if index < len(row) and row[index] not in (None, "") and row.count("") < len(row) - 1:
            seen.setdefault(row[index])
            if len(seen) >= SAMPLE:
                break
    return list(seen)


def fit(column: Column, cells: Sequence[object], practice: str = "iec") -> float:
    """The share of cells that can be what a column holds; for free text, that are no bare numbers."""
    texts = [c for c in cells if as_text(c)]
    if not texts:
        return 0.0
    if not column.choices and not column.is_number and column.kind != "date":
        worded = [t for t in texts if isinstance(t, str) and any(c.isalpha() for c in t)]
        return 0.8 * len(worded) / len(texts)
    read = read_column(texts, Manner(column, practice=practice))
    good = sum(v is not None or _is_such(column, read.special.get(i)) for i, v in enumerate(read.values))
    blank = sum(bool(c.blank) for c in read.special.values())
    return good / max(len(texts) - blank, 1)


def _with_units(sheet: Sheet, header: Header) -> Header:
    """A column of units beside a number gives the number's unit: it is nothing of its own."""
    made: dict[int, Heading] = {}
    by_index = {h.index: h for h in header.headings}
    for heading in header.headings:
        left = by_index.get(heading.index - 1)
        cells = [as_text(c) for c in cells_of(sheet, header, heading.index)]
        said = bare(heading.text) in line_words("unit")
        if heading.answer.column or not said or not cells or left is None or not is_unit(*cells):
            continue
        if left.state == SURE and left.meant.is_number and len(cells) == 1 and conversion(left.meant, cells[0]):
            made[left.index] = replace(left, unit=left.unit or cells[0])
            why = f"it gives the unit of {left.text!r}"
            made[heading.index] = Heading(heading.index, heading.text, PASSED_OVER, answer=heading.answer, why=why)
        else:
            made[heading.index] = Heading(heading.index, heading.text, answer=heading.answer)
    return replace(header, headings=tuple(made.get(h.index, h) for h in header.headings))


def _is_such(column: Column, cell: Cell | None) -> bool:
    """True for a cell without a value yet that is one of its column all the same."""
    if cell is None:
        return False
    return (
        bool(cell.also or cell.options) or cell.question in ("unit", "decimal", "dates") or is_code(column, cell.text)
    )


def weighed(sheet: Sheet, header: Header, practice: str) -> Header:
    """The headings: doubts decided by their cells where these leave none, raised where the cells contradict."""
    if header.verbatim:
        return header
    header = _with_units(sheet, header)
    taken = {h.meant.name for h in header.sure()}
    out = []
    for heading in header.headings:
        if heading.answer.column or heading.exact:
            out.append(heading)
            continue
        cells = cells_of(sheet, header, heading.index)
        made = heading
        if cells and heading.state == UNSURE and len(heading.candidates) > 1 and heading.why in ("", "could be either"):
            made = _decided(heading, cells, taken)
        elif len(cells) >= 2 and heading.state == SURE:
            made = _contradicted(heading, cells, taken)
        elif cells and heading.state == UNKNOWN:
            made = replace(heading, candidates=suggestions(cells, taken))
        if made.state == SURE:
            taken.add(made.meant.name)
        out.append(made)
    return replace(header, headings=tuple(out))


def _sure(heading: Heading, name: str) -> Heading:
    unit = unit_of(heading.text, COLUMNS[name], heading.answer)
    return replace(heading, state=SURE, column=COLUMNS[name], unit=unit, why="")


def _closed(column: Column) -> bool:
    """True for a column whose cells can be told from others: words of a list, numbers, days."""
    return bool(column.choices) or column.is_number or column.kind == "date"


def _decided(heading: Heading, cells: list[object], taken: set[str]) -> Heading:
    ranked = sorted(heading.candidates, key=lambda n: -fit(COLUMNS[n], cells))
    first, second = (fit(COLUMNS[n], cells) for n in ranked[:2])
    free = [n for n in ranked if n not in taken]
    if len(free) == 1 and fit(COLUMNS[free[0]], cells) >= ENOUGH:
        return _sure(heading, free[0])
    told = [n for n in ranked if _closed(COLUMNS[n]) and fit(COLUMNS[n], cells) >= ENOUGH]
    if len(told) == 1 and told[0] not in taken:
        return _sure(heading, told[0])
    if first >= ENOUGH and second <= POOR and ranked[0] not in taken:
        return _sure(heading, ranked[0])
    return replace(heading, candidates=tuple(free + [n for n in ranked if n in taken]))


def _contradicted(heading: Heading, cells: list[object], taken: set[str]) -> Heading:
    """Where nearly no cell is what the heading says: what the cells are, taken where it heads alike, else asked."""
    name = heading.meant.name
    own = fit(heading.meant, cells)
    if own > POOR or not _closed(heading.meant):
        return heading
    for other in SIBLINGS.get(name, ()):
        if other not in taken and _closed(COLUMNS[other]) and fit(COLUMNS[other], cells) >= ENOUGH:
            return replace(heading, column=COLUMNS[other], unit="" if COLUMNS[other].choices else heading.unit)
    if own > 0 or len(cells) < 3:
        return heading
    why = f"none of its cells, such as {as_text(cells[0])!r}, is {heading.meant.sentence}"
    names = tuple(n for n in (*SIBLINGS.get(name, ()), name) if n not in taken or n == name)
    return replace(heading, state=UNSURE, column=None, candidates=("note", *names), why=why)


def suggestions(cells: Sequence[object], taken: set[str]) -> tuple[str, ...]:
    """Columns whose closed list, or whose days, the cells under an unknown heading are."""
    words = [c for c in cells if isinstance(c, str) and any(x.isalpha() for x in c)]
    if len(words) < 0.5 * len(cells) or len(words) < 2:
        return ()
    fits = {n: fit(COLUMNS[n], words) for n in SUGGESTED if n not in taken}
    return tuple(n for n, share in sorted(fits.items(), key=lambda pair: -pair[1]) if share >= 0.6)[:2]
