"""The facts that positions would have with other values: computed as all facts are, nothing kept."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import nan
from typing import TYPE_CHECKING, Any

import numpy as np
from sqlite_utils import Database

from register import columns
from register.facts import changes
from register.facts.assumptions import Assumption
from register.facts.base import BASE, base_sql
from register.facts.derived import entered_behind
from register.facts.entered_rows import EnteredRows, OfRegister
from register.facts.fact_rows import completed, made
from register.facts.method import Method, method_hash

if TYPE_CHECKING:
    from register.calc.standard_table import Table

_TABLE_OF = {name: column.table for name, column in BASE.items()}
_KEYS = tuple(
    (key, table.name)
    for table in columns.TABLES.values()
    for key in table.key
    if key in BASE and table.name in _TABLE_OF.values()
)
NOT_YET = "9999-12-31"
SEEN = frozenset({"measured_start_on", "load_test_on"})  # days of starts, which a trial may bring itself
_TYPES = {"text": "TEXT", "date": "TEXT", "real": "REAL", "integer": "INTEGER"}


@dataclass(frozen=True)
class Variant:
    """A position, and base columns with the values that they would have there."""

    tag: str
    changes: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Trial:
    """The facts of one variant: values by column, assumed values used, fields behind what is missing."""

    tag: str
    values: Mapping[str, Any]
    tried: Mapping[str, Any]
    assumed: Mapping[str, Assumption]
    gaps: Mapping[str, tuple[str, ...]]

    def to_read(self, names: Iterable[str]) -> tuple[str, ...]:
        """The entered fields to read so that these columns get a value, each once."""
        fields: dict[str, None] = {}
        for name in names:
            if self.values[name] is None:
                derived = columns.FACTS[name].origin == "derived"
                fields |= dict.fromkeys(self.gaps.get(name, ()) if derived else (name,))
        return tuple(fields)


def entered(db: Database, tags: Iterable[str]) -> dict[str, dict[str, Any]]:
    """What is entered at some positions, in order of tag: nothing assumed, and also what cannot be believed."""
    changes.hold(db.conn, tags)
    found = db.conn.execute(base_sql(touched_only=True)).fetchall()
    return {row["tag"]: row for row in (dict(zip(BASE, own, strict=True)) for own in found)}


class WhatIf:
    """Some positions of an open register, to be seen with other values; the register is only read.

    Parameters
    ----------
    db : the register; `base` then holds the row of each position, in order of tag.
    tags : the positions.
    tables, assumptions, measured_only : as for `build.refresh`.
    entered : where the rows of the base come from; by default the register.
    read : the columns of the base that are needed; others may be blank, but for the keys.
    """

    def __init__(
        self,
        db: Database,
        tags: Iterable[str],
        *,
        tables: Mapping[str, Table],
        assumptions: Iterable[Assumption],
        measured_only: bool = False,
        entered: EnteredRows | None = None,
        read: Iterable[str] = BASE,
    ) -> None:
        self.assumptions = () if measured_only else tuple(assumptions)
        self.method = Method(tables, self.assumptions, method_hash(tables, self.assumptions))
        source: EnteredRows = entered or OfRegister(db, self.assumptions)
        self.exempt = source.exempt
        self.base = source.rows(tags, read={*read, *(key for key, _ in _KEYS)})

    def facts(
        self, variants: Sequence[Variant], *, only: frozenset[str] | None = None
    ) -> tuple[dict[str, Sequence[Any]], np.ndarray]:
        """The facts of some variants, column by column, and the assumed values used in each, as bits.

        `only` leaves out the calculations that do not lead to these columns.
        """
        rows = [self._row(variant) for variant in variants]
        lists: dict[str, Any] = dict(zip(BASE, zip(*rows, strict=True), strict=True))
        assumed, _ = completed(lists, self.method, self.exempt, only=only, alike=True)
        return lists, assumed

    def trials(self, variants: Sequence[Variant]) -> list[Trial]:
        """The facts of some variants, one by one, each with the fields behind what is missing."""
        numbers: dict[tuple[str, str, str], int] = {}
        rows = [self._row(variant) for variant in variants]
        facts = list(made(rows, self.method, self.exempt, numbers)) if rows else []
        behind = {
            number: (name, tuple(filter(None, names.split(", ")))) for (name, names, _), number in numbers.items()
        }
        return [self._trial(variant, row, behind) for variant, row in zip(variants, facts, strict=True)]

    def _row(self, variant: Variant) -> tuple:
        """A row of the base with values tried; the rows that they belong to are there, if only for the trial."""
        values = {**self.base[variant.tag], **variant.changes}
        if values["settings_since_on"] != NOT_YET and self._starts_otherwise(variant):
            # A start that was seen was another one.
            values["settings_since_on"] = NOT_YET
        blank = [(key, table) for key, table in _KEYS if values[key] is None]
        if blank:
            there = {_TABLE_OF[name] for name, value in variant.changes.items() if value is not None}
            values |= {key: f"tried at {variant.tag}" for key, table in blank if table in there}
        return tuple(values.values())

    def _starts_otherwise(self, variant: Variant) -> bool:
        """True where a start is another than before: what was blank is read and not changed, settings apart."""
        changed = entered_behind("start_outcome").intersection(variant.changes)
        known = (self.base[variant.tag][name] is not None or _TABLE_OF[name] == "setting" for name in changed)
        return SEEN.isdisjoint(variant.changes) and any(known)

    def _trial(self, variant: Variant, row: tuple, behind: Mapping[int, tuple[str, tuple[str, ...]]]) -> Trial:
        *known, bits, reasons, _ = row
        return Trial(
            tag=variant.tag,
            values={n: None if v != v else v for n, v in zip(columns.FACTS, known, strict=True)},
            tried=variant.changes,
            assumed={a.column: a for a in self.assumptions if bits >> a.bit & 1},
            gaps=dict(behind[number] for number in json.loads(reasons)),
        )


def facts_table(names: tuple[str, ...], facts: Mapping[str, Sequence[Any]], assumed: np.ndarray) -> sqlite3.Connection:
    """A table `facts` in memory, as rules are evaluated on; the column `variant` numbers its rows.

    What is the same in every row is kept once.
    """
    bound = {name: [nan if v is None or v != v else v for v in facts[name]] for name in names}
    same = {name: values[:1] for name, values in bound.items() if _alike(values)}
    differ = {"variant": range(len(assumed)), "stand_ins": assumed.tolist()} | {
        name: values for name, values in bound.items() if name not in same
    }
    conn = sqlite3.connect(":memory:", isolation_level=None)
    conn.execute("BEGIN")
    for table, held in (("same", same or {"sole": [nan]}), ("differ", differ)):
        typed = ", ".join(f"{name} {_type(name)}" for name in held)
        conn.execute(f"CREATE TABLE {table} ({typed})")
        marks = ", ".join("?" * len(held))
        conn.executemany(f"INSERT INTO {table} VALUES ({marks})", zip(*held.values(), strict=True))
    conn.execute("CREATE VIEW facts AS SELECT * FROM same, differ")
    conn.execute("COMMIT")
    return conn


def _alike(values: list[Any]) -> bool:
    """True where all are the same; NaN counts as the same where it is one and the same object."""
    return len(values) > 1 and values.count(values[0]) == len(values)


def _type(name: str) -> str:
    return _TYPES[columns.FACTS[name].kind] if name in columns.FACTS else "INTEGER"
