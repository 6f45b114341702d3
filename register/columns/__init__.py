"""The data dictionary: every column there is. Nothing else declares one.

`TABLES` are the register's own tables; `DERIVED` the facts that calculations add; `FACTS` all
columns of one row of facts, in reading order; `SUBJECTS` what else a rule may be about, with the
columns known of it. A column has one name everywhere, so names are
unique across tables; a column that holds another table's key has the key's name.
"""

from __future__ import annotations

from difflib import get_close_matches

from register.columns.assets import DEVICE, MODEL, MOTOR
from register.columns.context import AROUND
from register.columns.derived import DERIVED
from register.columns.model import Column, Table
from register.columns.plant import BUS, POSITION, SITE
from register.columns.practice import (
    ACTION,
    BYPASS,
    CONCESSION,
    CONTROL,
    EVENT,
    PROTECTION,
    RECORD,
    RECORD_KINDS,
    SETTING,
)
from register.columns.subject import BUS_DERIVED, STORE_DERIVED, Subject

# fmt: off
__all__ = [
    "AROUND", "CHECKS", "COLUMNS", "DERIVED", "FACTS", "SUBJECTS", "TABLES", "Column", "Subject",
    "Table", "column", "nearest",
]
# fmt: on

TABLES: dict[str, Table] = {
    t.name: t
    for t in (
        SITE,
        BUS,
        POSITION,
        MOTOR,
        MODEL,
        DEVICE,
        SETTING,
        PROTECTION,
        BYPASS,
        CONTROL,
        RECORD,
        EVENT,
        CONCESSION,
        ACTION,
    )
}


def _checks() -> tuple[Column, ...]:
    """The latest record of each kind at a position, as facts: the day and the result."""
    pairs = []
    for kind in RECORD_KINDS.split("|"):
        stem = kind.replace(" ", "_")
        pairs.append(Column(f"{stem}_on", "date", f"day of the latest '{kind}' record", table="record"))
        pairs.append(
            Column(
                f"{stem}_result",
                "text",
                f"result of the latest '{kind}' record",
                choices=("passed", "failed", "not done"),
                table="record",
            )
        )
    return tuple(pairs)


CHECKS = _checks()

_ONE_ROW_A_POSITION = (POSITION, SITE, BUS, MOTOR, DEVICE, MODEL, SETTING, PROTECTION, BYPASS, CONTROL)


def _unique(columns: list[Column]) -> dict[str, Column]:
    """First bearer of each name wins: a key before the columns that refer to it."""
    found: dict[str, Column] = {}
    for column in columns:
        known = found.get(column.name)
        if known is None or (known.references and not column.references):
            found[column.name] = column
    return found


FACTS: dict[str, Column] = _unique(
    [c for t in _ONE_ROW_A_POSITION for c in t.columns] + list(CHECKS) + list(AROUND) + list(DERIVED)
)

COLUMNS: dict[str, Column] = _unique([c for t in TABLES.values() for c in t.columns]) | {
    c.name: c for c in (*CHECKS, *AROUND, *DERIVED, *BUS_DERIVED, *STORE_DERIVED)
}

_IN_STORE = [c for c in (*DEVICE.columns, *MODEL.columns, *SITE.columns) if c.name != "tag"]

SUBJECTS: dict[str, Subject] = {
    s.name: s
    for s in (
        Subject("position", "positions", "facts", "tag", FACTS),
        Subject("bus", "buses", "bus_facts", "bus", _unique([*BUS.columns, *SITE.columns, *BUS_DERIVED])),
        Subject("device in store", "devices in store", "store_facts", "device", _unique([*_IN_STORE, *STORE_DERIVED])),
    )
}


def column(name: str) -> Column:
    """The column of that name; KeyError, naming the nearest, when there is none."""
    try:
        return COLUMNS[name]
    except KeyError:
        raise KeyError(f"no column {name!r}; nearest: {nearest(name)}") from None


def nearest(name: str, among: dict[str, Column] | None = None) -> str | None:
    """The known column name most like `name`, or None when nothing is alike."""
    hits = get_close_matches(name, list(COLUMNS if among is None else among), n=1, cutoff=0.6)
    return hits[0] if hits else None
