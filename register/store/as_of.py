"""The register as it stood: a copy with every later change undone, newest first."""

from __future__ import annotations

import json
import sqlite3
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlite_utils import Database

from register.columns.renamed import row_now
from register.store import clock
from register.store.origins import rename_cells
from register.store.taken_back import NOTES, places_shared
from register.store.triggers import KEPT

# What is worked out from the register, and would speak of the wrong day.
WORKED_OUT = ("VIEW gap", "TABLE gap_reason", "TABLE facts_state", "TABLE facts")
CONCLUDED = ("finding", "verdict", "audit")

# What was made elsewhere keeps its own time, and is here since it was taken back.
_SETS_CAME = (
    "SELECT own.change_set, coalesce(taker.made_on, own.made_on) AS came, taker.made_on AS taken"
    " FROM change_set AS own LEFT JOIN change_set AS taker ON taker.change_set = own.taken_in"
)
_CAME = f"SELECT change_id, coalesce(taken, at) AS came FROM change LEFT JOIN ({_SETS_CAME}) USING (change_set)"


@dataclass(frozen=True, slots=True)
class Point:
    """A place in the register's history: the last change, and the last change-set, that count."""

    change_id: int
    change_set: int


def as_of(db: Database, day: date) -> Database:
    """A copy in memory of the register as it stood at the end of a day on site.

    The history of later days is undone and then forgotten in the copy, and so is every audit
    that was kept; the register is untouched.
    """
    copy = _copied(db)
    end = clock.end_of(copy, day)
    change = copy.execute(f"SELECT min(change_id) FROM ({_CAME}) WHERE came >= ?", [end]).fetchone()[0]
    change_set = copy.execute(f"SELECT min(change_set) FROM ({_SETS_CAME}) WHERE came >= ?", [end]).fetchone()[0]
    none_later = 2**62
    return _undone(copy, Point((change or none_later) - 1, (change_set or none_later) - 1))


def as_at(db: Database, point: Point) -> Database:
    """A copy in memory of the register as it stood at a point of its history."""
    return _undone(_copied(db), point)


def _copied(db: Database) -> Database:
    copy = Database(memory=True)
    db.conn.backup(copy.conn)
    return copy


def _undone(copy: Database, point: Point) -> Database:
    conn = copy.conn
    conn.execute("PRAGMA foreign_keys = OFF")
    for relation in WORKED_OUT:
        conn.execute(f"DROP {relation.replace(' ', ' IF EXISTS ')}")
    for table in CONCLUDED:
        conn.execute(f"DELETE FROM {table}")
    triggers = conn.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in triggers:
        conn.execute(f"DROP TRIGGER {name}")
    _forget_cells(conn, point.change_set)
    later = conn.execute(
        "SELECT table_name, row_key, action, before, after FROM change WHERE change_id > ? ORDER BY change_id DESC",
        [point.change_id],
    ).fetchall()
    with places_shared(conn):
        for table, key, action, before, after in later:
            _undo(copy, table, key, action, *(row_now(json.loads(row or "{}")) for row in (before, after)))
    conn.execute("DELETE FROM change WHERE change_id > ?", [point.change_id])
    conn.execute("DELETE FROM change_set WHERE change_set > ?", [point.change_set])
    for _, sql in triggers:
        conn.execute(sql)
    conn.commit()
    conn.execute("PRAGMA foreign_keys = ON")
    return copy


def _forget_cells(conn: sqlite3.Connection, change_set: int) -> None:
    """Forget which cells of later sheets the values came from."""
    later = "SELECT source FROM source WHERE change_set > ?"
    conn.execute(f"DELETE FROM source_row WHERE source IN ({later})", [change_set])
    for table in ("source", "found", "answer"):
        conn.execute(f"DELETE FROM {table} WHERE change_set > ?", [change_set])


def _undo(db: Database, table: str, key: str, action: str, before: dict[str, Any], after: dict[str, Any]) -> None:
    if action == "delete":
        db.table(table).insert(before)
        return
    parts = KEPT[table].key
    where = " || ' | ' || ".join(parts)
    if action == "insert":
        db.conn.execute(f"DELETE FROM {table} WHERE {where} = ?", [key])
    elif before and action not in NOTES:
        sets = ", ".join(f"{name} = ?" for name in before)
        db.conn.execute(f"UPDATE {table} SET {sets} WHERE {where} = ?", [*before.values(), key])
        if len(parts) == 1 and parts[0] in before:
            rename_cells(db, table, after[parts[0]], before[parts[0]])
