"""The due list: tasks of the programme, corrective actions and concessions that end, up to a day."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from register.columns import SUBJECTS
from register.errors import Problem, StartrollError
from register.maintenance.due_tasks import due_tasks
from register.maintenance.intervals import PROTECTS, intervals
from register.maintenance.model import ACTION, CONCESSION, DUE, LATER, OVERDUE, STATES, Due, DueList
from register.maintenance.places import lineup_areas
from register.store import actions, concessions
from register.store.identity import register_id
from register.store.queries import positions

Where = dict[tuple[str, str], dict[str, Any]]
AHEAD_DAYS = 60  # as far as a list looks where nobody says; and as long as an ended concession stays in it


def until_day(text: str | None, today: date) -> date:
    """The last day that a list looks to: a day, the end of a month (`2027-06`), or 60 days ahead.

    Raises StartrollError for what is neither, and for a day that is past.
    """
    if text is None:
        return today + timedelta(days=AHEAD_DAYS)
    try:
        day = date.fromisoformat(text if len(text) > 7 else f"{text}-01")
    except ValueError:
        raise StartrollError(
            Problem(f"{text!r} is not a day or a month", "write it as 2027-06 or 2027-06-15", "--until")
        ) from None
    if len(text) <= 7:
        day = day.replace(day=monthrange(day.year, day.month)[1])
    if day < today:
        raise StartrollError(Problem(f"{text} is past", f"name a day from {today} on", "--until"))
    return day


def due_list(
    db: Database,
    *,
    today: date,
    until: date,
    area: str | None = None,
    bus: str | None = None,
    site_rules: Path | None = None,
) -> DueList:
    """All that falls due at the lineups and the positions in service, the most pressing first.

    Parameters
    ----------
    today : the day as of which it is asked.
    until : the last day that counts as due.
    area, bus : only this one; then without what lies in store.
    site_rules : the site's folder of rules, whose table of intervals goes over the one that comes along.

    Raises StartrollError for an area or a lineup that is not there, and RuleError for a table that is not sound.
    """
    table = intervals(site_rules)
    where = {("position", row["tag"]): row | {"subject": "position"} for row in positions(db, area=area, bus=bus)}
    where |= _elsewhere(db, area, bus)
    items = list(due_tasks(db, table, today=today, until=until, area=area, bus=bus))
    items += _actions(db, where, today.isoformat(), until.isoformat())
    items += _concessions(db, where, today, until.isoformat())
    asked = tuple(f"{row.task} ({row.about})" for row in table if not any(row.months))
    site = db.execute("SELECT site FROM site").fetchone()
    return DueList(
        register_id=register_id(db),
        site=site[0] if site else "",
        today=today.isoformat(),
        until=until.isoformat(),
        area=area or "",
        bus=bus or "",
        items=tuple(sorted(items, key=_order)),
        asked=asked,
    )


def _order(item: Due) -> tuple[Any, ...]:
    """What someone is waiting for, then what guards people, then fire; within these by day."""
    harm = PROTECTS.index(item.protects) + 1 if item.protects else 0
    return STATES.index(item.state), harm, item.on, item.bus, item.tag, item.what, item.number or 0


def _elsewhere(db: Database, area: str | None, bus: str | None) -> Where:
    """The places of lineups, and of devices in store, where neither an area nor a lineup is asked for."""
    found = {("bus", name): _place("bus", name, name) | {"area": own} for name, own in lineup_areas(db).items()}
    found = {key: p for key, p in found.items() if bus in (None, p["bus"]) and area in (None, p["area"])}
    if area is None and bus is None:
        for (name,) in db.execute("SELECT device FROM device"):
            found["device in store", name] = _place("device in store", name, "")
    return found


def _place(subject: str, key: str, bus: str) -> dict[str, Any]:
    return {"tag": SUBJECTS[subject].named(key), "area": "", "bus": bus, "subject": subject}


def _actions(db: Database, where: Where, today: str, until: str) -> Iterator[Due]:
    for row in actions.rows(db):
        place = where.get((row["subject"], row["tag"]))
        if row["closed_on"] is None and place is not None:
            why = f"action {row['action_id']}, assigned to {row['assigned_to']} on {row['assigned_on']}"
            what = row["task"] or row["against_rule"]
            state = _state(row["due_on"], today, until)
            yield _dated(ACTION, place, what, row["due_on"], state, why, row["action_id"])


def _concessions(db: Database, where: Where, today: date, until: str) -> Iterator[Due]:
    """The end of each concession that is approved, the last one against a rule at a place."""
    last: dict[tuple[str, ...], dict[str, Any]] = {}
    for row in concessions.rows(db):
        key = row["rule"], row["subject"], row["tag"]
        if row["decision"] == "approved" and row["withdrawn_on"] is None and key[1:] in where:
            last[key] = max(last.get(key, row), row, key=lambda r: r["expires_on"])
    oldest = (today - timedelta(days=AHEAD_DAYS)).isoformat()
    for row in last.values():
        if row["expires_on"] >= oldest:
            state = _state(row["expires_on"], today.isoformat(), until)
            why = f"concession {row['concession_id']} {'ended' if state == OVERDUE else 'ends'}: correct it or ask anew"
            place = where[row["subject"], row["tag"]]
            yield _dated(CONCESSION, place, row["rule"], row["expires_on"], state, why, row["concession_id"])


def _state(day: str, today: str, until: str) -> str:
    return OVERDUE if day < today else DUE if day <= until else LATER


def _dated(kind: str, place: dict[str, Any], what: str, day: str, state: str, why: str, number: int) -> Due:
    return Due(
        kind=kind,
        tag=place["tag"],
        area=place["area"] or "",
        bus=place["bus"] or "",
        what=what,
        needs="",
        protects="",
        last_on="",
        last_result="",
        counted_from="",
        interval="",
        condition=None,
        proposed=False,
        earliest_on=day,
        latest_on=day,
        state=state,
        why=why,
        number=number,
        subject=place["subject"],
    )
