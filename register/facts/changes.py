"""Which positions an edit has touched, read from the register's own log of changes."""

from __future__ import annotations

import json
import sqlite3
from collections import defaultdict
from collections.abc import Iterable

from register import columns
from register.facts.assumptions import Assumption
from register.facts.base import TOUCHED

# Beyond this many changes it is quicker to read everything anew.
MANY = 50_000
# The positions where a device of one of these types would be a spare.
_SPARE_FOR = (
    "SELECT tag FROM device WHERE model IN (SELECT model FROM model WHERE"
    " model IN (SELECT value FROM json_each(?1)) OR successor IN (SELECT value FROM json_each(?1)))"
)
# Tables whose rows are not at one position: how their keys lead to positions.
_LEADS = {
    "motor": "SELECT tag FROM motor WHERE motor IN (SELECT value FROM json_each(?))",
    "bus": "SELECT tag FROM position WHERE bus IN (SELECT value FROM json_each(?))",
    "model": "SELECT tag FROM device WHERE model IN (SELECT value FROM json_each(?))",
    "device": "SELECT tag FROM device WHERE device IN (SELECT value FROM json_each(?))",
}


def latest_change(conn: sqlite3.Connection) -> int:
    """The number of the register's latest change; 0 when nothing was ever changed."""
    return conn.execute("SELECT coalesce(max(change_id), 0) FROM change").fetchone()[0]


def touched_since(conn: sqlite3.Connection, change_id: int, others: Iterable[tuple[str, str]] = ()) -> set[str] | None:
    """The positions whose facts may differ since that change; None when all may.

    `others` are rows touched in ways that the log does not tell, as table and key.
    """
    rows = conn.execute(
        "SELECT table_name, row_key, tag, tag_before, before, after FROM change WHERE change_id > ? LIMIT ?",
        (change_id, MANY + 1),
    ).fetchall()
    if len(rows) > MANY:
        return None
    tags: set[str | None] = set()
    keys: dict[str, set[str | None]] = defaultdict(set)
    devices: dict[str, list[dict]] = defaultdict(list)
    rows += [(table, row_key, None, None, None, None) for table, row_key in others]
    for table, row_key, tag, tag_before, before, after in rows:
        if table == "site":
            return None
        if table not in columns.TABLES:
            continue  # why a value is missing: `not_applicable` looks after that
        tags |= {tag, tag_before}
        key = columns.TABLES[table].key[0]
        halves = [json.loads(half) for half in (before, after) if half]
        (tags if key == "tag" else keys[table]).update([row_key], (half.get(key) for half in halves))
        if table == "device":
            devices[row_key] += halves
    spares = _spares(conn, devices)
    if spares is None:
        return None
    return {tag for tag in tags if tag is not None} | _led_to(conn, keys) | spares


def _led_to(conn: sqlite3.Connection, keys: dict[str, set[str | None]]) -> set[str]:
    """The positions at which the rows of these keys count."""
    # A setting's key is its device's and a day, or in a half of a change the device's alone.
    keys["device"] |= {key.rpartition(" | ")[0] or key for key in keys["setting"] if key}
    found: set[str] = set()
    for table, sql in _LEADS.items():
        if keys[table]:
            named = json.dumps(sorted(key for key in keys[table] if key))
            found |= {tag for (tag,) in conn.execute(sql, (named,)) if tag is not None}
    return found


def _spares(conn: sqlite3.Connection, changed: dict[str, list[dict]]) -> set[str] | None:
    """The positions for which something changed in the store; None when it may be all.

    That is so when the store was empty or is now, or holds what has no type: then it is the
    positions without a spare whose verdict turns on it.
    """
    named = json.dumps(sorted(changed))
    rows = conn.execute(
        "SELECT device, model, device_status, tag FROM device WHERE device IN (SELECT value FROM json_each(?))",
        (named,),
    )
    now = {key: dict(model=model, device_status=s, tag=tag) for key, model, s, tag in rows}
    models: set[str | None] = set()
    for device, halves in changed.items():
        states = [*halves, *([now[device]] if device in now else [])]
        told = {n: {s[n] for s in states if n in s} for n in ("model", "device_status", "tag")}
        if None in told["device_status"] and None in told["tag"]:
            return None
        if "in store" in told["device_status"]:
            models |= told["model"]
    if any(model is None or model.startswith("unidentified model") for model in models):
        return None
    stored = conn.execute("SELECT count(*) FROM device WHERE device_status = 'in store'")
    if models and stored.fetchone()[0] <= len(changed):
        return None
    named = json.dumps(sorted(models))
    return {tag for (tag,) in conn.execute(_SPARE_FOR, (named,)) if tag is not None}


def hold(conn: sqlite3.Connection, tags: Iterable[str]) -> None:
    """Put the touched positions where the base query looks for them."""
    conn.execute(f"CREATE TABLE IF NOT EXISTS {TOUCHED} (tag TEXT PRIMARY KEY)")
    conn.execute(f"DELETE FROM {TOUCHED}")
    conn.executemany(f"INSERT INTO {TOUCHED} VALUES (?)", ((tag,) for tag in tags))


def not_applicable(conn: sqlite3.Connection, assumptions: Iterable[Assumption]) -> dict[str, frozenset[str]]:
    """For each column that has an assumed value, the keys of the rows where it does not apply at all."""
    found: dict[str, set[str]] = {name: set() for name in sorted({a.column for a in assumptions})}
    rows = conn.execute("SELECT table_name, column_name, row_key FROM blank WHERE reason = 'not applicable'").fetchall()
    for table, name, key in rows:
        if name in found and columns.FACTS[name].table == table:
            found[name].add(key)
    return {name: frozenset(keys) for name, keys in found.items()}
