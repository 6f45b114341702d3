"""What was taken back from a round or a copy: marked in the history, so that it is known again.

Every row of `change` that was taken back has an `origin`: the name of the change that was made elsewhere. A change that
altered nothing here is kept as a note: `confirmed`, it is so here too; `kept`, the value here stays. All of it
belongs inside `database.writing`.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from sqlite_utils import Database

from register.errors import Problem, StartrollError
from register.store.rows import add as add_row

CONFIRMED, KEPT_HERE = "confirmed", "kept"
NOTES = (CONFIRMED, KEPT_HERE)
# One motor and one device a position: not so in between, while moves are entered or undone one by one.
_PLACES = ("one_motor_a_position", "one_device_a_position")


def open_set(db: Database) -> int:
    """The change-set under which changes are recorded now."""
    return int(db.execute("SELECT change_set FROM open_change_set").fetchone()[0])


def carry(db: Database, head: Mapping[str, Any], taken_in: int) -> int:
    """Enter a change-set that was made elsewhere; its number. `taken_in` is the one that takes it back."""
    return add_row(db, "change_set", {**head, "taken_in": taken_in})


def record_under(db: Database, change_set: int) -> None:
    """Record what follows under another change-set."""
    db.conn.execute("UPDATE open_change_set SET change_set = ?", [change_set])


def last_change(db: Database) -> int:
    """The number of the last change."""
    return int(db.execute("SELECT coalesce(max(change_id), 0) FROM change").fetchone()[0])


def mark(db: Database, after: int, origin: str, at: str | None = None) -> bool:
    """Mark the changes made after one as taken back, and when they were made elsewhere; whether there were any."""
    sql = "UPDATE change SET origin = ?, at = coalesce(?, at) WHERE change_id > ?"
    done = db.conn.execute(sql, [origin, at, after])
    return done.rowcount > 0


def note(
    db: Database, action: str, table: str, key: str, here: Mapping[str, Any], there: Mapping[str, Any], tag: str | None
) -> None:
    """Note that a change made elsewhere altered nothing: what is here, and what was said there."""
    db.conn.execute(
        "INSERT INTO change (change_set, at, table_name, row_key, tag, action, before, after)"
        " SELECT change_set, strftime('%Y-%m-%dT%H:%M:%fZ', 'now'), ?, ?, ?, ?, ?, ? FROM open_change_set",
        [table, key, tag, action, json.dumps(dict(here)), json.dumps(dict(there))],
    )


def undone(db: Database) -> set[int]:
    """The change-sets that `undo` has taken back and none has entered again, with those that they took in."""
    undoes = dict(db.execute("SELECT undoes, change_set FROM change_set WHERE undoes IS NOT NULL ORDER BY change_set"))
    gone: set[int] = set()
    # One that is undone undoes nothing: the later ones are looked at first.
    for number, by in sorted(undoes.items(), key=lambda pair: -pair[1]):
        if by not in gone:
            gone.add(number)
    return gone | {n for n, head in db.execute("SELECT change_set, taken_in FROM change_set") if head in gone}


def sets_of(db: Database, number: int) -> list[int]:
    """A change-set, and those that it took in from elsewhere."""
    return [number, *(row[0] for row in db.execute("SELECT change_set FROM change_set WHERE taken_in = ?", [number]))]


@contextmanager
def places_shared(conn: sqlite3.Connection) -> Iterator[None]:
    """Let two motors or devices be at one position for as long as this is open; StartrollError if they stay there."""
    marks = ", ".join("?" * len(_PLACES))
    made = conn.execute(f"SELECT name, sql FROM sqlite_schema WHERE name IN ({marks})", _PLACES).fetchall()
    for name, _ in made:
        conn.execute(f"DROP INDEX {name}")
    yield
    if double := [problem for name, _ in made for problem in _double(conn, name.split("_")[1])]:
        raise StartrollError(double)
    for _, sql in made:
        conn.execute(sql)


def _double(conn: sqlite3.Connection, table: str) -> Iterator[Problem]:
    """The positions where two motors, or two devices, would be installed."""
    sql = (
        f"SELECT tag, group_concat({table}, ', ') FROM (SELECT * FROM {table} ORDER BY 1)"
        f" WHERE tag IS NOT NULL AND {table}_status IS NOT 'scrapped' GROUP BY tag HAVING count(*) > 1"
    )
    for tag, both in conn.execute(sql):
        cause = f"two {table}s would be installed at {tag}: {both}"
        yield Problem(cause, f"move one of them away first: startroll move {table} …", tag)


def broken_references(conn: sqlite3.Connection) -> Iterable[str]:
    """Which tables have a row that refers to nothing, in words."""
    return sorted({f"{row[0]} refers to {row[2]}" for row in conn.execute("PRAGMA foreign_key_check")})
