"""The register as it stood on a day: a copy with every later change undone, newest first."""

from __future__ import annotations

import json
import sqlite3
from datetime import date
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from register.store.database import opened
from register.store.history import KEPT

# What is worked out from the register, and would speak of the wrong day.
WORKED_OUT = ("VIEW gap", "TABLE gap_reason", "TABLE facts_state", "TABLE facts")


def as_of(path: Path, day: date) -> Database:
    """A copy in memory of the register as it stood at the end of a day (UTC).

    The history of later days is undone and then forgotten in the copy; the file is untouched.
    """
    copy = Database(memory=True)
    with opened(path) as db:
        db.conn.backup(copy.conn)
    conn = copy.conn
    conn.execute("PRAGMA foreign_keys = OFF")
    for relation in WORKED_OUT:
        conn.execute(f"DROP {relation.replace(' ', ' IF EXISTS ')}")
    triggers = conn.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in triggers:
        conn.execute(f"DROP TRIGGER {name}")
    later = conn.execute(
        "SELECT change_id, table_name, row_key, action, before, after FROM change"
        " WHERE at >= ? ORDER BY change_id DESC",
        [f"{date.fromordinal(day.toordinal() + 1).isoformat()}"],
    ).fetchall()
    for number, table, key, action, before, after in later:
        _undo(conn, table, key, action, json.loads(before or "{}"), json.loads(after or "{}"))
        conn.execute("DELETE FROM change WHERE change_id = ?", [number])
    for _, sql in triggers:
        conn.execute(sql)
    conn.commit()
    conn.execute("PRAGMA foreign_keys = ON")
    return copy


def _undo(
    conn: sqlite3.Connection, table: str, key: str, action: str, before: dict[str, Any],
    after: dict[str, Any],
) -> None:  # fmt: skip
    if action == "delete":
        names = ", ".join(before)
        marks = ", ".join("?" * len(before))
        conn.execute(f"INSERT INTO {table} ({names}) VALUES ({marks})", list(before.values()))
        return
    parts = KEPT[table].key
    where = " || ' | ' || ".join(parts)
    if action == "insert":
        conn.execute(f"DELETE FROM {table} WHERE {where} = ?", [key])
    elif before:
        sets = ", ".join(f"{name} = ?" for name in before)
        conn.execute(f"UPDATE {table} SET {sets} WHERE {where} = ?", [*before.values(), key])
