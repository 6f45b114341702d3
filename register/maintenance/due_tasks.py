"""When each task of the programme falls due at a position or a lineup.

A record belongs to the place where it was made, on its day. What a task is about may have been changed since: of a
device or a motor only a record since it was installed there counts. An interval counts from the day last done, by the
condition that governs now; a task never recorded counts from the installation.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from sqlite_utils import Database

from register.maintenance.conditions import conditions_of
from register.maintenance.intervals import SPARE
from register.maintenance.model import (
    CANT_TELL,
    DUE,
    ENTERED,
    LATER,
    OF_LINEUP_ONLY,
    OVERDUE,
    PHYSICAL,
    TASK,
    Condition,
    Conditions,
    Due,
    Interval,
)
from register.maintenance.months import plus_months
from register.maintenance.places import Place, places

CONTACTORS = ("across-the-line", "star-delta", "autotransformer")
ELECTRONIC = ("soft starter", "drive")
# `about` → the column that says whether there is one, and the words that mean so; None: any.
THERE = {
    "starting device": ("device", None),
    "motor": ("motor", None),
    "contactors": ("device_kind", CONTACTORS),
    "electronic device": ("device_kind", ELECTRONIC),
    "overload": ("overload_place", ("device", "relay", "motor", "thermistor")),
    "breaker": ("protection_kind", ("inverse-time breaker", "instantaneous breaker", "fuse and breaker")),
    "bypass": ("bypass_arrangement", ("two-contactor", "three-contactor", "standby starter")),
    "emergency stop": ("emergency_stop", ("hardwired", "network")),
    "hazardous area": ("hazardous_area", ("yes",)),
    "lineup": ("bus", None),
    "main breaker": ("main_kind", ("breaker",)),
}
# What comes and goes with the device; the rest but the motor stays with the place.
OF_DEVICE = ("starting device", "contactors", "electronic device", "overload")
OUT_OF_SERVICE = ("failed", "in store")


@dataclass(frozen=True, slots=True)
class _Base:
    """What an interval counts from, and how that is known."""

    day: str
    last: tuple[str, str] | None
    told: str
    read: str = ""
    assumes: str = ""


def due_tasks(
    db: Database,
    table: tuple[Interval, ...],
    *,
    today: date,
    until: date,
    area: str | None = None,
    bus: str | None = None,
) -> Iterator[Due]:
    """Every task of the table at every lineup, position in service and device in store; or of one area or lineup."""
    for place in places(db, today=today.isoformat(), area=area, bus=bus):
        found = conditions_of(place, today)
        for row in table:
            if row.task != SPARE and (item := _at(place, found, row, today.isoformat(), until.isoformat())):
                yield item
    for row in table:
        if row.task == SPARE and area is None and bus is None:
            yield from _spares(db, row, today.isoformat(), until.isoformat())


def applies(place: Place, about: str) -> bool | None:
    """Whether a position or a lineup has what a task is about; None where the register does not say."""
    if (about in OF_LINEUP_ONLY) is not (place.subject == "bus"):
        return False
    column, words = THERE[about]
    value = place.row[column]
    if about in OF_DEVICE and place.row["device_status"] in OUT_OF_SERVICE:
        return False
    return None if value is None else words is None or value in words


def installed(place: Place, about: str) -> tuple[str, str | None] | None:
    """The column with the day since which a record counts, and that day; None for what stays with the place."""
    if about == "motor":
        return "motor_installed_on", place.row["motor_installed_on"]
    return ("device_installed_on", place.row["device_installed_on"]) if about in OF_DEVICE else None


def _at(place: Place, found: Conditions, row: Interval, today: str, until: str) -> Due | None:
    there = applies(place, row.about)
    if there is False:
        return None
    if there is None:
        column = THERE[row.about][0]
        return _item(place, found, row, _Base("", None, ""), ("", ""), (CANT_TELL, f"{column} is unknown", (column,)))
    base = _base(place, row)
    if base.last and base.last[1] == "failed":
        told = f"failed on {base.day}: correct it, and do it again"
        return _item(place, found, row, base, (base.day, base.day), (OVERDUE, told, ()))
    days = _days(base.day, row, found.possible)
    return _item(place, found, row, base, days, _state(base, days, row, found, today, until))


def _base(place: Place, row: Interval) -> _Base:
    since = installed(place, row.about)
    column, day = since or ("", None)
    done = [r for r in place.records.get(row.task, ()) if day is None or r[0] >= day]
    if done:
        assumed = f"no newer than that record, as {column} is unknown" if since and day is None else ""
        return _Base(done[-1][0], done[-1], f"done on {done[-1][0]}", assumes=assumed)
    older = place.records.get(row.task)
    told = f"no record of it since {column}" if older else "no record of it"
    if day:
        return _Base(day, None, f"{told}; counted from {column}, {day}")
    return _Base("", None, told, read=column or f"the last {row.task}")


def _days(day: str, row: Interval, possible: tuple[int, ...]) -> tuple[str, str]:
    """Earliest and latest day on which it falls due; '' where nothing bounds it."""
    if not day:
        return "", ""
    shortest, longest = row.between(possible)
    return plus_months(day, shortest) if shortest else "", plus_months(day, longest) if longest is not None else ""


def _state(
    base: _Base, days: tuple[str, str], row: Interval, found: Conditions, today: str, until: str
) -> tuple[str, str, tuple[str, ...]]:
    """The state, why, and what to read where it is unknown."""
    earliest, latest = days
    if latest and latest < today:
        return OVERDUE, base.told, ()
    if earliest > until:
        return LATER, base.told, ()
    if earliest >= today and latest and latest <= until:
        return DUE, base.told, ()
    if not base.day:
        return CANT_TELL, base.told, (base.read,)
    read = list(found.read)
    blank = [c for c in found.possible if row.months[c - 1] is None]
    if blank:
        read.append(f"interval of {row.task} in condition {' and '.join(map(str, blank))}")
    return CANT_TELL, f"{base.told}; the interval is not known", tuple(read)


def _item(
    place: Place,
    found: Conditions,
    row: Interval,
    base: _Base,
    days: tuple[str, str],
    state: tuple[str, str, tuple[str, ...]],
) -> Due:
    return Due(
        kind=TASK,
        tag=place.tag,
        area=place.row["area"] or "",
        bus=place.row["bus"] or "",
        what=row.task,
        needs=row.needs,
        protects=row.protects,
        last_on=base.last[0] if base.last else "",
        last_result=base.last[1] if base.last else "",
        counted_from=base.day,
        interval=_told(row, found.possible),
        condition=found.governing,
        proposed=found.proposed,
        earliest_on=days[0],
        latest_on=days[1],
        state=state[0],
        why=state[1],
        read=state[2],
        assumes=base.assumes,
        subject=place.subject,
    )


def _told(row: Interval, possible: tuple[int, ...]) -> str:
    shortest, longest = row.between(possible)
    if shortest == longest:
        return f"{shortest} months"
    if longest is None:
        return f"{shortest} months or longer" if shortest else "not known"
    return f"{shortest} to {longest} months" if shortest else f"{longest} months at most"


_STORE = """
SELECT device, stored_since, last_powered_on FROM device WHERE device_status = 'in store' ORDER BY device"""


def _spares(db: Database, row: Interval, today: str, until: str) -> Iterator[Due]:
    """The inspection of each device in store; nobody grades a store, so the interval of condition 3 counts."""
    for device in db.query(_STORE):
        serial, last = device["device"], device["last_powered_on"]
        day = last or device["stored_since"] or ""
        told = f"under power on {last}" if last else f"in store since {day}" if day else "nothing is known of it"
        place = Place({"tag": serial, "area": None, "bus": None}, {}, [], (), "")
        strict = Conditions(serial, "", "", (Condition(PHYSICAL, 3, ENTERED, "in store"),))
        base = _Base(day, (last, "passed") if last else None, told, read="stored_since")
        days = _days(day, row, strict.possible)
        item = _item(place, strict, row, base, days, _state(base, days, row, strict, today, until))
        yield replace(item, subject="device in store")
