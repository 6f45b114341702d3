"""Numbers in a register that no entry of this program would have let in: infinite, or out of their column's range."""

from __future__ import annotations

from collections.abc import Iterator
from math import isinf

from sqlite_utils import Database

from register.columns import TABLES, Column, Table
from register.store.queries import key_text
from register.text import shown


def odd_values(db: Database) -> list[str]:
    """A sentence for each such number, with the place where it stands and the range that it lies outside of."""
    return [sentence for table in TABLES.values() for sentence in _of(db, table)]


def _of(db: Database, table: Table) -> Iterator[str]:
    numbers = [c for c in table.columns if c.is_number]
    if not numbers:
        return
    outside = " OR ".join(f"{c.name} NOT BETWEEN {_low(c)!r} AND {_high(c)!r}" for c in numbers)
    for row in db.query(f"SELECT * FROM {table.name} WHERE {outside}"):
        for column in numbers:
            value = row[column.name]
            if value is not None and not _low(column) <= value <= _high(column):
                belongs = f"{shown(_low(column), column.unit)} to {shown(_high(column), column.unit)}"
                yield f"{table.name} {key_text(table, row)}: {column.name} is {_said(value)}; it lies from {belongs}"


def _said(value: float) -> str:
    return "infinite" if isinf(value) else f"{value:g}"


def _low(column: Column) -> float:
    return -1e300 if column.low is None else column.low


def _high(column: Column) -> float:
    return 1e300 if column.high is None else column.high
