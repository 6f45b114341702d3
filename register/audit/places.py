"""Where a finding stands: what a person calls the place, and how much hangs on it."""

from __future__ import annotations

import json
from collections import defaultdict
from typing import Any

from sqlite_utils import Database

from register.audit.priority import of_many

_POSITIONS = "SELECT tag, description, area, bus, cubicle, criticality FROM position"
_BUSES = "SELECT bus AS tag, bus_description AS description, NULL AS area, bus FROM bus"
_DEVICES = "SELECT device AS tag, model AS description, NULL AS area, NULL AS bus FROM device"
# What hangs on a bus is its positions; on a spare, those whose device is of its model.
_HANG_ON = {
    "bus": "SELECT DISTINCT bus, criticality FROM position",
    "device in store": "SELECT device, criticality FROM device JOIN (SELECT DISTINCT model, criticality FROM device"
    " JOIN position USING (tag) WHERE device_status IS NOT 'scrapped') USING (model) WHERE device_status = 'in store'",
}


# By subject and key: what was read of it.
Places = dict[str, dict[str, dict[str, Any]]]


def places_of(db: Database, subject: str, tags: list[str], known: Places | None = None) -> dict[str, dict[str, Any]]:
    """tag → tag, description, area, bus, criticality, of some positions, buses or spares; the cubicle of positions.

    `known` keeps what was read, for whoever asks again while nothing changes: one row for all findings at a place.
    """
    seen = {} if known is None else known.setdefault(subject, {})
    if more := [tag for tag in tags if tag not in seen]:
        seen |= _read(db, subject, more)
    return {tag: seen[tag] for tag in tags if tag in seen}


def _read(db: Database, subject: str, tags: list[str]) -> dict[str, dict[str, Any]]:
    sql = {"position": _POSITIONS, "bus": _BUSES, "device in store": _DEVICES}[subject]
    only = " WHERE tag IN (SELECT value FROM json_each(?))"
    rows = {row["tag"]: row for row in db.query(f"SELECT * FROM ({sql}){only}", [json.dumps(tags)])}
    if rows and subject != "position":
        hanging: dict[str, list] = defaultdict(list)
        for key, criticality in db.conn.execute(_HANG_ON[subject]):
            hanging[key].append(criticality)
        for tag, row in rows.items():
            row["criticality"] = of_many(hanging[tag])
    return rows
