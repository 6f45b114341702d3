"""A change-set taken back as one, a position retired and brought back, a wrongly made one removed.

All of them belong inside `database.writing`: what is taken back is a change like any other, and the history keeps both.
"""

from __future__ import annotations

import json
import sqlite3
from typing import Any

from sqlite_utils import Database

from register.columns import TABLES
from register.errors import Problem, StartrollError
from register.store import origins
from register.store.queries import STANDING, rows_at
from register.store.taken_back import NOTES, broken_references, open_set, places_shared, sets_of
from register.store.triggers import KEPT
from register.text import counted

SHOWN = 5  # later changes that a refusal names
OWNED = ("action", "concession", "event", "record", "control", "bypass", "protection")


def undo(db: Database, number: int) -> str:
    """Take back every change of a change-set; what was taken back is said.

    Raises StartrollError when there is no such change-set, or when later changes are based on it.
    """
    changes = _changes(db, number)
    if later := _later(db, number, changes):
        raise StartrollError(later)
    _reverse(db, number, changes)
    return f"change-set {number} is taken back: {counted(len(changes), 'change')}"


def _changes(db: Database, number: int) -> list[dict[str, Any]]:
    """The changes of a change-set, the last first."""
    sql = "SELECT * FROM change WHERE change_set IN (SELECT value FROM json_each(?)) ORDER BY change_id DESC"
    found = list(db.query(sql, [json.dumps(sets_of(db, number))]))
    if not found:
        last = db.execute("SELECT max(change_set) FROM change").fetchone()[0]
        hint = (
            f"the last one is {last}; startroll history TAG shows what was changed"
            if last
            else "nothing was changed yet"
        )
        raise StartrollError(Problem(f"there is no change-set {number} that changed anything", hint))
    return found


def _later(db: Database, number: int, changes: list[dict[str, Any]]) -> list[Problem]:
    """What was changed since in the rows that a change-set touched."""
    rows = [[c["table_name"], c["row_key"]] for c in changes if c["action"] not in NOTES]
    found = db.execute(
        "SELECT c.table_name, c.row_key, c.change_set, s.reason, min(c.at) FROM change c"
        " LEFT JOIN change_set s USING (change_set) WHERE c.change_id > ? AND c.change_set IS NOT ?"
        " AND s.taken_in IS NOT ? AND c.action IN ('insert', 'update', 'delete')"
        " AND EXISTS (SELECT 1 FROM json_each(?) WHERE json_extract(value, '$[0]') = c.table_name"
        " AND json_extract(value, '$[1]') = c.row_key) GROUP BY 1, 2, 3 ORDER BY min(c.change_id)",
        [changes[0]["change_id"], number, number, json.dumps(rows)],
    ).fetchall()
    problems = [
        Problem(
            f"{table} {key} was changed later, {at[:10]}: {reason or 'by another program'}",
            f"take that back first: startroll undo {later}" if later else "correct it by hand",
            f"change-set {number}",
        )
        for table, key, later, reason, at in found[:SHOWN]
    ]
    if len(found) > SHOWN:
        problems.append(
            Problem(f"{len(found) - SHOWN} more rows were changed later", "the same", f"change-set {number}")
        )
    return problems


def _reverse(db: Database, number: int, changes: list[dict[str, Any]]) -> None:
    db.conn.execute("PRAGMA defer_foreign_keys = ON")
    with places_shared(db.conn):
        for change in changes:
            if change["action"] not in NOTES:
                _one(db, change)
    for sql in (
        "DELETE FROM source_row WHERE source IN (SELECT source FROM source WHERE change_set = ?)",
        "DELETE FROM source WHERE change_set = ?",
        "DELETE FROM found WHERE change_set = ?",
        "DELETE FROM answer WHERE change_set = ?",
    ):
        db.conn.executemany(sql, [(one,) for one in sets_of(db, number)])
    db.conn.execute("UPDATE change_set SET undoes = ? WHERE change_set = ?", [number, open_set(db)])
    broken = broken_references(db.conn)
    if broken:
        cause = f"what it made is referred to since: {', '.join(broken)}"
        raise StartrollError(Problem(cause, "take back what refers to it first", f"change-set {number}"))


def _one(db: Database, change: dict[str, Any]) -> None:
    table = KEPT[change["table_name"]]
    where = " || ' | ' || ".join(table.key) + " = ?"
    before = json.loads(change["before"] or "{}")
    try:
        if change["action"] == "insert":
            db.conn.execute(f"DELETE FROM {table.name} WHERE {where}", [change["row_key"]])
        elif change["action"] == "delete":
            names = ", ".join(before)
            marks = ", ".join("?" * len(before))
            db.conn.execute(f"INSERT INTO {table.name} ({names}) VALUES ({marks})", list(before.values()))
        else:
            sets = ", ".join(f"{name} = ?" for name in before)
            db.conn.execute(f"UPDATE {table.name} SET {sets} WHERE {where}", [*before.values(), change["row_key"]])
            if len(table.key) == 1 and table.key[0] in before:
                origins.rename(db, table.name, change["row_key"], str(before[table.key[0]]))
    except sqlite3.IntegrityError as error:
        cause = f"{table.name} {change['row_key']} cannot be as it was: {error}"
        raise StartrollError(Problem(cause, "another row has its place now: move that one first")) from None


def retire(db: Database, tag: str) -> str:
    """Take a position out of service: its motor and device go into store, its rows into the history."""
    rows = rows_at(db, tag)
    moved = [f"{asset} {rows[asset][asset]}" for asset in STANDING if asset in rows]
    for asset, status in STANDING.items():
        db.conn.execute(f"UPDATE {asset} SET tag = NULL, {status} = 'in store' WHERE tag = ?", [tag])
    for table in (*OWNED, "position"):
        db.conn.execute(f"DELETE FROM {table} WHERE tag = ?", [tag])
    went = f"; into store: {', '.join(moved)}" if moved else ""
    return f"{tag} is retired{went}. startroll bring-back {tag} returns it, startroll history {tag} shows it"


def bring_back(db: Database, tag: str) -> str:
    """Return a retired position with all that it had; a motor or device that has gone elsewhere since stays there."""
    if db.execute("SELECT 1 FROM position WHERE tag = ?", [tag]).fetchone():
        raise StartrollError(Problem(f"{tag} is in service", "only a retired position is brought back"))
    found = db.execute(
        "SELECT change_set, change_id FROM change WHERE table_name = 'position' AND row_key = ? AND action = 'delete'"
        " ORDER BY change_id DESC LIMIT 1",
        [tag],
    ).fetchone()
    if found is None or found[0] is None:
        raise StartrollError(Problem(f"no position {tag!r} was retired", "startroll positions lists those in service"))
    changes = [c for c in _changes(db, found[0]) if tag in (c["tag"], c["tag_before"], c["row_key"])]
    stay = [c for c in changes if c["table_name"] in STANDING and _changed_since(db, c)]
    db.conn.execute("PRAGMA defer_foreign_keys = ON")
    for change in changes:
        if change not in stay:
            _one(db, change)
    away = f"; elsewhere now: {', '.join(c['table_name'] + ' ' + c['row_key'] for c in stay)}" if stay else ""
    return f"{tag} is back in service as it was{away}"


def _changed_since(db: Database, change: dict[str, Any]) -> bool:
    asked = [change["table_name"], change["row_key"], change["change_id"]]
    return bool(
        db.execute("SELECT 1 FROM change WHERE table_name = ? AND row_key = ? AND change_id > ?", asked).fetchone()
    )


def remove(db: Database, tag: str) -> str:
    """Remove a position that was made by mistake and that nothing refers to; the history keeps that it was."""
    rows_at(db, tag)
    holders = [t for t in (*OWNED, *STANDING) if db.execute(f"SELECT 1 FROM {t} WHERE tag = ?", [tag]).fetchone()]
    if holders:
        words = ", ".join(TABLES[t].sentence for t in holders)
        cause = f"{tag} cannot be removed: it has {words}"
        raise StartrollError(Problem(cause, f"startroll retire {tag} takes it out of service and keeps its history"))
    db.conn.execute("DELETE FROM position WHERE tag = ?", [tag])
    return f"{tag} is removed; startroll history {tag} shows that it was"
