"""Which conditions governed when: those that people entered, as the history has them; what is proposed, as of today."""

from __future__ import annotations

import json
from collections import defaultdict
from dataclasses import replace
from datetime import date
from functools import lru_cache
from typing import Any, NamedTuple

from sqlite_utils import Database

from register.columns import TABLES
from register.maintenance.conditions import conditions_of
from register.maintenance.model import Interval
from register.maintenance.months import plus_months
from register.maintenance.places import Place
from register.store import clock

ENTERED_IN = ("position", "bus")
COLUMNS = {c.name for table in ENTERED_IN for c in TABLES[table].columns if c.name.endswith("_condition")}
Changes = dict[tuple[str, str], list[tuple[int, str, dict[str, Any]]]]


class Since(NamedTuple):
    """The conditions that may have governed from a day on, '' for the first."""

    day: str
    possible: tuple[int, ...]


def changes(db: Database) -> Changes:
    """Every change of an entered condition, by table and key: its number, its day on site, and what stood before."""
    found: Changes = defaultdict(list)
    sql = (
        "SELECT change_id, table_name, row_key, at, before FROM change WHERE action = 'update'"
        " AND table_name IN ('position', 'bus') AND before LIKE '%\\_condition\":%' ESCAPE '\\' ORDER BY change_id"
    )
    for number, table, key, at, before in db.execute(sql):
        was = {name: value for name, value in json.loads(before).items() if name in COLUMNS}
        if was:
            found[table, key].append((number, clock.day_of(db, at).isoformat(), was))
    return found


def course(place: Place, changed: Changes, today: date) -> tuple[Since, ...]:
    """The conditions of a place over time, the oldest first; one that nobody changed has a single entry.

    A change counts from its day on. Changes under an earlier tag or name are not followed.
    """
    own = changed.get(("bus", place.row["bus"]), []) + (
        changed.get(("position", place.row["tag"]), []) if place.subject == "position" else []
    )
    row, found = place.row, []
    for _, day, before in sorted(own, key=lambda one: one[0], reverse=True):
        found.append(Since(day, conditions_of(replace(place, row=row), today).possible))
        row = row | before
    return Since("", conditions_of(replace(place, row=row), today).possible), *reversed(found)


@lru_cache(1 << 16)  # a plant has its days in common, and most places one condition all the time
def falls_due(done: str, row: Interval, over: tuple[Since, ...]) -> tuple[str | None, str | None]:
    """Earliest and latest day on which a task done on a day fell due; None where nothing bounds it.

    It falls due on the first day on which the interval of the condition that governs then has passed.
    """
    earliest: str | None = None
    latest: str | None = None
    is_open = True  # no shorter interval has passed yet
    for place, (start, possible) in enumerate(over):
        end = over[place + 1].day if place + 1 < len(over) else "9999"
        if end <= max(start, done):
            continue
        shortest, longest = row.between(possible)
        if is_open and (not shortest or max(plus_months(done, shortest), start) < end):
            earliest = max(plus_months(done, shortest), start) if shortest else None
            is_open = False
        if latest is None and longest is not None and max(plus_months(done, longest), start) < end:
            latest = max(plus_months(done, longest), start)
    return earliest, latest
