"""Facts, built and kept fresh: base → assumed values → calculations → a table, and what is missing.

The table `facts` has one row per position. `gap` tells, for each calculated fact without a value,
which entered fields are missing behind it. Both lie in the register, or beside it (as temporary
tables of the same names) when it cannot be written or when the assumed values are left out.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from math import ceil
from typing import TYPE_CHECKING

from sqlite_utils import Database

from register import columns
from register.facts import changes
from register.facts.assumptions import Assumption
from register.facts.base import TOUCHED, base_sql, believed
from register.facts.chunks import CHUNK, Chunk, chunks
from register.facts.method import Method, method_hash

if TYPE_CHECKING:
    from register.calc.standard_table import Table

SQL_TYPE = {"text": "TEXT", "date": "TEXT", "real": "REAL", "integer": "INTEGER"}
Progress = Callable[[int, int], None]
RELATIONS = ("VIEW gap", "TABLE gap_reason", "TABLE facts_state", "TABLE facts")


@dataclass(frozen=True)
class Facts:
    """The facts as they now stand: how many rows, how many of them anew, and what is assumed."""

    rows: int
    rebuilt: int
    change_id: int
    method_hash: str
    relation: str


@dataclass(frozen=True)
class _State:
    """The point of the register's history, and the method, at which facts were built."""

    change_id: int
    method_hash: str
    not_applicable: dict[str, frozenset[str]]

    def marked_otherwise(self, other: _State) -> list[tuple[str, str]]:
        """Table and key of the rows where an assumed value applies in one of the two states only."""
        return [
            (columns.FACTS[name].table, key)
            for name, keys in self.not_applicable.items()
            for key in keys ^ other.not_applicable[name]
        ]


def refresh(
    db: Database,
    *,
    tables: Mapping[str, Table],
    assumptions: Iterable[Assumption],
    measured_only: bool = False,
    progress: Progress | None = None,
) -> Facts:
    """Bring the facts up to date with the register; only what an edit touched is computed again.

    Parameters
    ----------
    db : an open register.
    tables : the tables of standards that calculations read, by name.
    assumptions : the assumed values in force.
    measured_only : leave every assumed value out.
    progress : told how many rows are done, of how many, as often as some more are.
    """
    conn = db.conn
    for relation in RELATIONS:
        conn.execute(f"DROP {relation.replace(' ', ' IF EXISTS temp.')}")
    told = progress or (lambda done, of: None)
    used = () if measured_only else tuple(assumptions)
    method = Method(tables, used, method_hash(tables, used))
    now = _State(changes.latest_change(conn), method.hash, changes.not_applicable(conn, used))
    if not measured_only:
        if _state(conn) == now:
            return _facts(conn, now, 0, "main")
        if conn.in_transaction:
            return _renewed(conn, method, told)
        if _locked(conn):
            with conn:
                return _renewed(conn, method, told)
    rebuilt = _rebuilt(conn, method, now, "temp", told)
    return _facts(conn, now, rebuilt, "temp")


def every_gap(db: Database) -> Callable[[str, str], tuple[str, ...]]:
    """A look-up (tag, column) → the entered fields to read, over all positions in two queries."""
    held = dict(db.conn.execute("SELECT tag, gap_reasons FROM facts").fetchall())
    reasons = {
        number: (name, tuple(field for field in fields.split(", ") if field))
        for number, name, fields in db.conn.execute("SELECT gap_reason, column_name, fields FROM gap_reason")
    }

    @cache
    def behind(numbers: str) -> dict[str, tuple[str, ...]]:
        return dict(reasons[number] for number in json.loads(numbers))

    def look_up(tag: str, name: str) -> tuple[str, ...]:
        return behind(held.get(tag, "[]")).get(name, ()) if columns.FACTS[name].origin == "derived" else (name,)

    return look_up


def gaps(db: Database, tag: str, names: Iterable[str]) -> list[str]:
    """The entered fields to read at a position so that these columns get a value, each once."""
    names = list(names)
    fields: dict[str, None] = {}
    behind = dict(
        db.conn.execute(
            "SELECT column_name, fields FROM gap WHERE tag = ? AND column_name IN (SELECT value FROM json_each(?))",
            (tag, json.dumps(names)),
        ).fetchall()
    )
    for name in names:
        found = behind.get(name, "") if columns.FACTS[name].origin == "derived" else name
        fields |= dict.fromkeys(field for field in found.split(", ") if field)
    return list(fields)


def _facts(conn: sqlite3.Connection, state: _State, rebuilt: int, schema: str) -> Facts:
    rows = conn.execute(f"SELECT count(*) FROM {schema}.facts").fetchone()[0]
    return Facts(rows, rebuilt, state.change_id, state.method_hash, f"{schema}.facts")


def _locked(conn: sqlite3.Connection) -> bool:
    """Whether the register could be taken for writing; False when it is read-only or held."""
    try:
        conn.execute("BEGIN IMMEDIATE")
        # A read-only file lets a transaction begin; it refuses the first write, even of no row.
        conn.execute("DELETE FROM main.open_change_set WHERE 0")
    except sqlite3.OperationalError:
        if conn.in_transaction:
            conn.execute("ROLLBACK")
        return False
    return True


def _renewed(conn: sqlite3.Connection, method: Method, told: Progress) -> Facts:
    """Rebuild in the register what was touched since, or all of it, inside a transaction."""
    old = _state(conn)
    now = _State(changes.latest_change(conn), method.hash, changes.not_applicable(conn, method.assumptions))
    touched = None
    if old and old.method_hash == now.method_hash and old.change_id <= now.change_id:
        touched = changes.touched_since(conn, old.change_id, old.marked_otherwise(now))
    if touched is None:
        return _facts(conn, now, _rebuilt(conn, method, now, "main", told), "main")
    changes.hold(conn, touched)
    conn.execute(f"DELETE FROM main.facts WHERE tag IN (SELECT tag FROM {TOUCHED})")
    rebuilt = _filled(conn, method, now, "main", told, touched_only=True)
    _remember(conn, now, "main")
    return _facts(conn, now, rebuilt, "main")


def _rebuilt(conn: sqlite3.Connection, method: Method, now: _State, schema: str, told: Progress) -> int:
    for relation in RELATIONS:
        conn.execute(f"DROP {relation.replace(' ', f' IF EXISTS {schema}.')}")
    types = ", ".join(f"{c.name} {SQL_TYPE[c.kind]}" for c in columns.FACTS.values())
    types = types.replace("tag TEXT", "tag TEXT PRIMARY KEY", 1)
    for sql in (
        f"TABLE {schema}.facts ({types}, stand_ins INTEGER NOT NULL, gap_reasons TEXT NOT NULL,"
        " input_hash TEXT NOT NULL) STRICT",
        f"TABLE {schema}.gap_reason (gap_reason INTEGER PRIMARY KEY, column_name TEXT NOT NULL,"
        " fields TEXT NOT NULL, note TEXT NOT NULL, UNIQUE (column_name, fields, note)) STRICT",
        f"TABLE {schema}.facts_state (only_one INTEGER PRIMARY KEY CHECK (only_one = 1),"
        " change_id INTEGER NOT NULL, method_hash TEXT NOT NULL, not_applicable TEXT NOT NULL)"
        " STRICT",
        f"VIEW {schema}.gap AS SELECT tag, column_name, fields, note FROM facts,"
        " json_each(facts.gap_reasons) AS each JOIN gap_reason ON gap_reason = each.value",
    ):
        conn.execute(f"CREATE {sql}")
    rebuilt = _filled(conn, method, now, schema, told)
    _remember(conn, now, schema)
    return rebuilt


def _filled(
    conn: sqlite3.Connection, method: Method, now: _State, schema: str, told: Progress, *, touched_only: bool = False
) -> int:
    """Insert the rows of facts, a chunk at a time, so that memory stays small."""
    marks = ", ".join("?" * (len(columns.FACTS) + 3))
    names = ", ".join((*columns.FACTS, "stand_ins", "gap_reasons", "input_hash"))
    numbers = _numbers(conn, schema)
    known = len(numbers)
    only = f"WHERE tag IN (SELECT tag FROM {TOUCHED})" if touched_only else ""
    total = conn.execute(f"SELECT count(*) FROM position {only}").fetchone()[0]
    base = conn.execute(base_sql(touched_only=touched_only))
    count = 0
    for chunk in chunks(
        iter(lambda: believed(base.fetchmany(CHUNK)), []), method, now.not_applicable, many=ceil(total / CHUNK)
    ):
        facts = _numbered(chunk, numbers)
        conn.executemany(f"INSERT INTO {schema}.facts ({names}) VALUES ({marks})", facts)
        count += len(chunk.rows)
        told(count, total)
    conn.executemany(
        f"INSERT INTO {schema}.gap_reason VALUES (?, ?, ?, ?)",
        [(number, *reason) for reason, number in list(numbers.items())[known:]],
    )
    return count


def _numbered(chunk: Chunk, numbers: dict[tuple[str, str, str], int]) -> Iterator[tuple]:
    """The rows of a chunk with the register's own numbers for the reasons of their gaps."""
    place = [0, *(numbers.setdefault(reason, len(numbers) + 1) for reason in chunk.reasons)]

    @cache
    def in_register(own: str) -> str:
        return str([place[number] for number in json.loads(own)])

    for row in chunk.rows:
        yield (*row[:-2], in_register(row[-2]), row[-1])


def _numbers(conn: sqlite3.Connection, schema: str) -> dict[tuple[str, str, str], int]:
    """The reasons for missing values that are known already, with their numbers."""
    rows = conn.execute(f"SELECT column_name, fields, note, gap_reason FROM {schema}.gap_reason ORDER BY gap_reason")
    return {tuple(reason): number for *reason, number in rows}


def _state(conn: sqlite3.Connection) -> _State | None:
    there = conn.execute("SELECT 1 FROM main.sqlite_schema WHERE name = 'facts_state'").fetchone()
    row = there and conn.execute("SELECT change_id, method_hash, not_applicable FROM main.facts_state").fetchone()
    if not row:
        return None
    exempt = {name: frozenset(keys) for name, keys in json.loads(row[2]).items()}
    return _State(row[0], row[1], exempt)


def _remember(conn: sqlite3.Connection, now: _State, schema: str) -> None:
    exempt = json.dumps({name: sorted(keys) for name, keys in now.not_applicable.items()})
    conn.execute(
        f"INSERT OR REPLACE INTO {schema}.facts_state VALUES (1, ?, ?, ?)", (now.change_id, now.method_hash, exempt)
    )
