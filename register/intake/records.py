"""Checks, events, concessions and actions of a sheet: rows without a key of their own.

Such a row is known by what it is about, and by being the first, second, … of its like.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from register.columns import RECORD_KINDS, TABLES, Table
from register.intake.homeless import CHECK_NAMES, only_checks
from register.intake.plan import Key
from register.intake.taken import Taken

Keyed = Iterator[tuple[int, Key, dict[str, Any]]]
NATURAL = {
    "record": ("tag", "bus", "record_kind", "done_on"),
    "event": ("tag", "happened_on", "failure_mode"),
    "concession": ("tag", "bus", "device", "rule", "asked_on"),
    "action": ("tag", "bus", "device", "against_rule", "assigned_on"),
}
# Those of the parts that belong to no other table: a list without any of them has no such rows.
SAYS = {name: {n for n in parts if not TABLES[name].column(n).references} for name, parts in NATURAL.items()}


def keyed(table: Table, taken: Taken, good: Sequence[int], own: list[str], columns: list[list[Any]]) -> Keyed:
    """(row, key, values known) of each row; what lacks a part that it needs is refused."""
    if table.name == "record" and set(taken.reads) & CHECK_NAMES:
        yield from _wide(taken, good)
    yield from _by_row(table, taken, good, own, columns)


def _by_row(table: Table, taken: Taken, good: Sequence[int], own: list[str], columns: list[list[Any]]) -> Keyed:
    parts = NATURAL[table.name]
    if not SAYS[table.name] & set(own):
        return
    count: dict[Key, int] = {}
    needed = [c.name for c in table.columns if c.required]
    feeds = table.name == "record" and not only_checks(taken)
    for index in good:
        values = {n: v for n, c in zip(own, columns, strict=True) if (v := c[index]) is not None}
        if feeds:
            values.pop("bus", None)  # it says what feeds the position
        lacking = [n for n in needed if n not in values]
        if lacking:
            special = taken.reads[lacking[0]].special.get(index) if lacking[0] in taken.reads else None
            if special is None or not special.cause:
                taken.refuse("", index, "", f"a {table.name} without {', '.join(lacking)}", f"add {lacking[0]}")
            continue
        if table.one_of and len([n for n in table.one_of if n in values]) != 1:
            each = ", ".join(table.one_of)
            taken.refuse("", index, "", f"a {table.name} is about one thing", f"fill one of {each}, and only that")
            continue
        stem = tuple(values.get(n) for n in parts)
        count[stem] = count.get(stem, 0) + 1
        yield index, (*stem, count[stem]), values


def _wide(taken: Taken, good: Sequence[int]) -> Keyed:
    tags = taken.reads["tag"].values if "tag" in taken.reads else []
    for kind in RECORD_KINDS.split("|"):
        stem = kind.replace(" ", "_")
        days, results = (taken.reads.get(f"{stem}_{part}") for part in ("on", "result"))
        if days is None and results is None:
            continue
        for index in good:
            day = days.values[index] if days else None
            result = results.values[index] if results else None
            if day is not None and result is not None:
                values = {"tag": tags[index], "record_kind": kind, "done_on": day, "result": result}
                yield index, (tags[index], None, kind, day, 1), values
            elif day is not None or result is not None:
                lacks = f"{stem}_result" if result is None else f"{stem}_on"
                taken.refuse("", index, day or result, f"a {kind} without {lacks}", f"add {lacks}")
