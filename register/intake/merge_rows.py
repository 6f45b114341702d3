"""The rows of a sheet merged into the register's tables, each under its key."""

from __future__ import annotations

from collections.abc import Sequence
from math import isclose
from typing import Any

from register.columns import TABLES, Table
from register.intake import notes, records, stock
from register.intake.cells import Cell
from register.intake.homeless import CHECK_NAMES, only_checks
from register.intake.keys import OF_A_POSITION, Keys
from register.intake.match import ASSETS, Residents
from register.intake.plan import Key, Origin, Rows
from register.intake.records import NATURAL, SAYS, Keyed
from register.intake.taken import Taken

ALIKE = 2e-3

# A sheet of these is about nothing else.
OF_THEIR_OWN = {"event", "concession", "action"}
# A sheet is about the first of these that it says anything of.
MAIN = ("position", "motor", "device", "model", "bus", "site")


def touched(taken: Taken) -> list[str]:
    """The tables that a sheet fills, in the register's order."""
    names = set(taken.reads)
    filled = {
        t.name
        for t in TABLES.values()
        if any(c.name in names for c in t.columns if not c.references and c.name not in t.key)
    }
    if names & CHECK_NAMES:
        filled.add("record")
    for name in NATURAL:
        if name in filled and not names & SAYS[name] and not names & CHECK_NAMES:
            filled.discard(name)
    if filled & OF_THEIR_OWN:
        return [t for t in TABLES if t in filled & OF_THEIR_OWN]
    if only_checks(taken):
        return ["record"]
    if "tag" in names:
        if {"device", "model"} & (names | filled):
            filled.add("device")
        if "motor" in names:
            filled.add("motor")
        if {"motor", "device", "position", "bus"} & (names | filled) or names == {"tag"}:
            filled.add("position")
    for key in ("bus", "model", "site"):
        if key in names:
            filled.add(key)
    if names <= {"motor"} or names <= {"device", "model"}:
        filled |= names
    if "model" in names and ("device" in names or taken.in_store):
        filled.add("device")
    return [t for t in TABLES if t in filled]


def merge_rows(taken: Taken, rows: dict[str, Rows], residents: Residents) -> None:
    """Merge every row of a sheet into `rows`; what cannot be merged is refused in `taken`."""
    tables = touched(taken)
    good = _good_rows(taken, tables)
    for name in tables:
        table = TABLES[name]
        own = [c.name for c in table.columns if c.name in taken.reads and c.origin != "internal"]
        own = [n for n in own if not (name == "position" and n == "tag")]
        columns = [taken.reads[n].values for n in own]
        keyed = _keyed(table, taken, good, own, columns, residents)
        mine = rows.setdefault(name, Rows(verbatim=taken.header.verbatim))
        mine.verbatim &= taken.header.verbatim
        _merge(taken, table, own, keyed, mine)


def _good_rows(taken: Taken, tables: list[str]) -> Sequence[int]:
    """The rows that have a key of their own; the others are refused, with the cell to correct."""
    main = next((t for t in MAIN if t in tables and _fills(taken, t)), (tables or [""])[0])
    main = "model" if taken.in_store else main
    names = [n for n in _known_by(taken, main) if n in taken.reads]
    repeats = main in MAIN and not set(tables) & ({"record", "setting"} | OF_THEIR_OWN)
    lines = _lines_of_a_block(taken, names)
    good: list[int] = []
    seen: dict[Any, int] = {}
    left_out = taken.rows_asked | taken.rows_refused
    for index, parts in enumerate(zip(*(taken.reads[n].values for n in names), strict=True)):
        key = next((p for p in parts if p is not None), None)
        if index in taken.rows_aside or taken.body.rows[index] in left_out:
            continue
        if key is None:
            _refuse_keyless(taken, names, index, lines)
        elif repeats and seen.setdefault(key, index) != index and not _adds_to(taken, index, seen[key]):
            _refuse_double(taken, names, index, seen[key])
        else:
            good.append(index)
    return good


def _adds_to(taken: Taken, index: int, first: int) -> bool:
    """True for a type that lies in another place of the store as well."""
    rows, numbers = taken.sheet.rows, taken.body.rows
    return index in taken.in_store and rows[numbers[index]] != rows[numbers[first]]


def _known_by(taken: Taken, main: str) -> tuple[str, ...]:
    """The columns by which a row of this sheet is known, the first that is filled."""
    if main in ASSETS:
        return (main, "tag")
    if main and TABLES[main].one_of:
        return TABLES[main].one_of
    if "tag" in taken.reads or not main:
        return ("tag",)
    return TABLES[main].key


def _fills(taken: Taken, name: str) -> bool:
    table = TABLES[name]
    own = {c.name for c in table.columns if not c.references and c.name not in table.key}
    return bool(own & set(taken.reads)) or set(taken.reads) <= set(table.key)


def _lines_of_a_block(taken: Taken, names: list[str]) -> int:
    """How many lines each key has, where rows come in blocks of the same height; else 0."""
    keys = [any(v is not None for v in parts) for parts in zip(*(taken.reads[n].values for n in names), strict=True)]
    first = [i for i, there in enumerate(keys) if there]
    if len(first) < 2 or first[0] != 0:
        return 0
    heights = {b - a for a, b in zip(first, [*first[1:], len(keys)], strict=True)}
    return heights.pop() if len(heights) == 1 and 1 not in heights else 0


def _refuse_keyless(taken: Taken, names: list[str], index: int, lines: int) -> None:
    name = next(n for n in names if n in taken.reads)
    cell = taken.reads[name].special.get(index) or Cell()
    cause, remedy = f"the row has no {name}", f"write the {name} in {taken.address(name, index)}"
    if cell.cause:
        cause, remedy = cell.cause, cell.remedy
    elif lines:
        cause = f"line {index % lines + 1} of a block of {lines} lines for one {name}; only the first line is read"
        remedy = f"put each {name} in one row, what stands in its further lines in columns of their own"
    taken.refuse("", index, cell.text, cause, remedy)


def _refuse_double(taken: Taken, names: list[str], index: int, first: int) -> None:
    sheet, numbers = taken.sheet, taken.body.rows
    if sheet.rows[numbers[index]] == sheet.rows[numbers[first]]:
        taken.body.skipped["repeated row"] += 1
        taken.repeats.add(numbers[index])
        return
    name = next(n for n in names if taken.reads[n].values[index] is not None)
    key = taken.reads[name].values[index]
    taken.refuse(
        "",
        index,
        key,
        f"{name} {key!r} stands twice, in {taken.address(name, first)} and in"
        f" {taken.address(name, index)}; the first is taken",
        "correct the one that is wrong",
        beside=first,
    )


def _keyed(
    table: Table, taken: Taken, good: Sequence[int], own: list[str], columns: list[list[Any]], residents: Residents
) -> Keyed:
    """(row, key, values known) of a table, for each row that says anything about it."""
    if table.name in NATURAL:
        yield from records.keyed(table, taken, good, own, columns)
        return
    if table.name == "device" and taken.in_store:
        yield from stock.devices(taken, good, own, columns, residents)
        return
    key_of = Keys(table.name, taken, residents).of
    beside = [n not in table.key and n != "tag" for n in own]
    explained: set[int] = set()
    if table.name in OF_A_POSITION:
        explained = {i for n in own for i, c in taken.reads[n].special.items() if c.blank}
    for index in good:
        values = {n: v for n, c in zip(own, columns, strict=True) if (v := c[index]) is not None}
        says = index in explained or any(n in values for n, counts in zip(own, beside, strict=True) if counts)
        key = key_of(index, says, values)
        if key is not None:
            yield index, key, values


def _merge(taken: Taken, table: Table, own: list[str], keyed: Keyed, rows: Rows) -> None:
    specials = [(n, taken.reads[n].special) for n in own if taken.reads[n].special]
    cache: dict[tuple[str, ...], dict[str, str]] = {}
    numbers, letters = taken.body.rows, taken.letters
    for index, key, values in keyed:
        names = tuple(values)
        where = cache.get(names)
        if where is None:
            where = cache[names] = {n: letters[n] for n in names if n in letters}
        origin = Origin(taken.number, numbers[index], where)
        mine = rows.values.get(key)
        if mine is None:
            rows.values[key], rows.origins[key] = values, [origin]
        else:
            _add_to(mine, values, taken, table, index, key)
            rows.origins[key].append(origin)
        for name, special in specials:
            cell = special.get(index)
            if cell is None:
                continue
            if cell.value is not None:
                rows.found[key, name] = (cell.text, cell.unit or "", taken.address(name, index))
            elif cell.blank and name not in table.key:
                rows.blanks[key, name] = cell.blank


def _add_to(mine: dict[str, Any], values: dict[str, Any], taken: Taken, table: Table, index: int, key: Key) -> None:
    for name, value in values.items():
        before = mine.setdefault(name, value)
        if before == value or alike(before, value, ALIKE):
            continue
        if name == "position_notes":
            mine[name] = notes.joined(before, value)
            continue
        taken.refuse(
            name,
            index,
            value,
            f"{name} of {table.name} {key[0]} is {before!r} in another place of these sheets, and {value!r} here",
            "correct the one that is wrong",
        )


def alike(one: Any, other: Any, tolerance: float) -> bool:
    """True for two numbers that differ by no more than `tolerance`, of the larger."""
    return isinstance(one, (int, float)) and isinstance(other, (int, float)) and isclose(one, other, rel_tol=tolerance)
