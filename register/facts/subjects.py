"""What is known of a bus, and of a device in store: one row each, in tables beside the facts.

Both are few and quickly made, so they are temporary tables, made anew from the facts each time.
"""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from math import nan

import numpy as np

from register import columns
from register.facts.assumptions import Assumption, mask_for
from register.facts.derived import OF_MOTORS, OF_THE_BUS, parameters

MOTOR_COLUMNS = parameters(OF_MOTORS[0])

_TYPES = {"text": "TEXT", "date": "TEXT", "real": "REAL", "integer": "INTEGER"}
_UNIDENTIFIED = "unidentified model at %"

Behind = Callable[[str, str], tuple[str, ...]]


def lay(conn: sqlite3.Connection, assumptions: Iterable[Assumption]) -> None:
    """Make the tables `bus_facts` and `store_facts` from the register and its facts.

    A bus's `stand_ins` are those behind its motors' columns; its own columns have none.
    """
    _fill(conn, columns.SUBJECTS["bus"], _buses(conn, mask_for(MOTOR_COLUMNS, assumptions)))
    _fill(conn, columns.SUBJECTS["device in store"], _stored(conn))


def _fill(conn: sqlite3.Connection, subject: columns.Subject, rows: Iterable[dict]) -> None:
    typed = ", ".join(f"{c.name} {_TYPES[c.kind]}" for c in subject.columns.values())
    conn.execute(f"DROP TABLE IF EXISTS temp.{subject.relation}")
    conn.execute(f"CREATE TEMP TABLE {subject.relation} ({typed}, stand_ins INTEGER NOT NULL) STRICT")
    names = (*subject.columns, "stand_ins")
    conn.executemany(
        f"INSERT INTO temp.{subject.relation} VALUES ({', '.join('?' * len(names))})",
        ([row[name] for name in names] for row in rows),
    )


def _rows(conn: sqlite3.Connection, sql: str) -> list[dict]:
    cursor = conn.execute(sql)
    names = [described[0] for described in cursor.description]
    return [dict(zip(names, row, strict=True)) for row in cursor]


def _buses(conn: sqlite3.Connection, relevant: int) -> list[dict]:
    found = conn.execute(f"SELECT bus, stand_ins, {', '.join(MOTOR_COLUMNS)} FROM facts").fetchall()
    motors: dict[str | None, list[tuple]] = defaultdict(list)
    for bus, *motor in found:
        motors[bus].append(motor)
    # A motor whose bus is unknown may stand on any of them.
    astray = {name: [nan] for name in MOTOR_COLUMNS} if motors.pop(None, None) else {}
    rows = _rows(conn, "SELECT * FROM bus LEFT JOIN (SELECT * FROM site LIMIT 1) ON 1")
    for row in rows:
        own = motors[row["bus"]]
        marks, *values = zip(*own, strict=True) if own else ((), *[()] * len(MOTOR_COLUMNS))
        known = {
            name: np.array([*column, *astray.get(name, [])], float)
            for name, column in zip(MOTOR_COLUMNS, values, strict=True)
        }
        row["bus_positions"] = len(own)
        row["stand_ins"] = int(np.bitwise_or.reduce(np.array(marks, np.int64))) & relevant
        row |= {made.__name__: made(**known) for made in OF_MOTORS}
        row |= {made.__name__: made(**_numbers(row, parameters(made))) for made in OF_THE_BUS}
    return [{k: _told(v) for k, v in row.items()} for row in rows]


def _numbers(row: Mapping, names: Iterable[str]) -> dict[str, float]:
    return {name: nan if row[name] is None else row[name] for name in names}


def _told(value: object) -> object:
    return float(value) if isinstance(value, np.floating) else value


def _stored(conn: sqlite3.Connection) -> list[dict]:
    rows = _rows(
        conn,
        "SELECT * FROM device LEFT JOIN model USING (model)"
        " LEFT JOIN (SELECT * FROM site LIMIT 1) ON 1 WHERE device_status = 'in store'",
    )
    counts = dict(conn.execute("SELECT model, count(*) FROM facts GROUP BY model"))
    nameless = cache(lambda kind: bool(_unidentified(conn, kind)))
    for row in rows:
        known = counts.get(row["model"], 0) if row["model"] else None
        row["places_of_model"] = known or (None if nameless(row["device_kind"]) else 0)
        row["stand_ins"] = 0
    return rows


def _unidentified(conn: sqlite3.Connection, kind: str | None) -> tuple[str, ...]:
    """The positions with a device that may be of a model of that kind: nobody has identified it."""
    found = conn.execute(
        "SELECT tag FROM facts WHERE (model IS NULL OR model LIKE ?)"
        " AND (device_kind IS NULL OR ? IN (device_kind, '')) ORDER BY tag",
        (_UNIDENTIFIED, kind or ""),
    )
    return tuple(tag for (tag,) in found)


def fields_behind(
    conn: sqlite3.Connection, subject: columns.Subject, key: str, name: str, behind: Behind
) -> dict[str, tuple[str, ...]]:
    """The entered fields to read so that a column of a bus or spare gets a value, and where.

    Parameters
    ----------
    subject, key, name : whose column it is, and which.
    behind : (tag, column) → the fields behind a fact of a position.
    """
    if subject.columns[name].origin != "derived":
        return {name: (key,)}
    if name == "places_of_model":
        sql = "SELECT device_kind FROM store_facts WHERE device = ?"
        return {"model": _unidentified(conn, conn.execute(sql, (key,)).fetchone()[0]) or (key,)}
    own = next((made for made in OF_THE_BUS if made.__name__ == name), None)
    if own is not None:
        asked = parameters(own)
        row = conn.execute(f"SELECT {', '.join(asked)} FROM bus_facts WHERE bus = ?", (key,))
        values = zip(asked, row.fetchone(), strict=True)
        return {asked: (key,) for asked, value in values if value is None}
    return _at_motors(conn, key, behind)


def _at_motors(conn: sqlite3.Connection, bus: str, behind: Behind) -> dict[str, tuple[str, ...]]:
    places: dict[str, set[str]] = defaultdict(set)
    for tag, on, *values in conn.execute(
        f"SELECT tag, bus, {', '.join(MOTOR_COLUMNS)} FROM facts WHERE bus = ? OR bus IS NULL", (bus,)
    ):
        if on is None:
            places["bus"].add(tag)
        for name, value in zip(MOTOR_COLUMNS, values, strict=True):
            for field in behind(tag, name) if value is None and on else ():
                places[field].add(tag)
    return {field: tuple(sorted(tags)) for field, tags in places.items()}
