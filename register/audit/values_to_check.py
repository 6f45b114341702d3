"""The values of the register that a person holds to what is on site: drawn, so that nobody chose them."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from sqlite_utils import Database

from register.audit.report import read_at
from register.columns import TABLES
from register.columns.model import Column
from register.store.origins import OF_POSITION

# The smallest sample of which none is wrong, that shows with 95 % confidence that 95 % are right: 0.95^59 < 0.05.
MOST = 59
READ_ON_SITE = ("motor", "device", "setting", "protection", "bypass", "control")
# Of the register and of the books, not of the plant: nothing to be read on site.
_OF_THE_BOOKS = ("tag", "motor_status", "device_status", "stored_since", "last_powered_on", "maker_curve")


@dataclass(frozen=True, slots=True)
class ValueToCheck:
    """One value as the register has it: at which position, of which motor, device or record, and its field."""

    tag: str
    key: str
    column: Column
    value: Any


@dataclass(frozen=True, slots=True)
class ValuesToCheck:
    """The values drawn, by position, and the number of those that they were drawn from.

    `seed` is the hash of the register's tables: the same register gives the same draw, and another value anywhere
    gives another.
    """

    drawn: tuple[ValueToCheck, ...] = ()
    of: int = 0
    seed: str = ""


def values_to_check(db: Database, tables: Mapping[str, bytes], *, most: int = MOST) -> ValuesToCheck:
    """Draw values at random by the hash of the register, each as likely as any other."""
    whole = hashlib.sha256()
    for name, data in sorted(tables.items()):
        whole.update(f"{name}:{len(data)}:".encode() + data)
    seed = whole.hexdigest()

    def lot(one: ValueToCheck) -> str:
        return hashlib.sha256(repr((seed, one.tag, one.key, one.column.name)).encode()).hexdigest()

    every = list(_on_file(db))
    drawn = sorted(every, key=lot)[:most]
    return ValuesToCheck(tuple(sorted(drawn, key=lambda v: (v.tag, v.key, v.column.name))), len(every), seed)


def _on_file(db: Database) -> Iterator[ValueToCheck]:
    """Every entered value at a position that can be read on site, of settings the last recorded."""
    for name in READ_ON_SITE:
        table = TABLES[name]
        clause, tag = OF_POSITION[name]
        columns = [c for c in table.columns if _is_read(c, table.key)]
        key = " || ', ' || ".join(f"{name}.{part}" for part in table.key)
        chosen = ", ".join(f"{name}.{c.name}" for c in columns)
        for at, ident, *values in db.execute(f"SELECT {tag}, {key}, {chosen} {clause} IS NOT NULL"):
            for column, value in zip(columns, values, strict=True):
                if value is not None:
                    yield ValueToCheck(at, str(ident), column, value)


def _is_read(column: Column, key: tuple[str, ...]) -> bool:
    return (
        column.origin == "entered"
        and column.name not in (*key, *_OF_THE_BOOKS)
        and not column.name.endswith(("_on", "_by", "_notes"))
        and "papers" not in read_at(column.name)
    )
