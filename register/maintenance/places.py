"""What the programme reads of the register: each lineup and position with its records, events and findings."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

from sqlite_utils import Database

from register.columns import SUBJECTS
from register.store.audits import kept_audits

_POSITIONS = """
SELECT position.tag, area, position.bus, physical_condition, criticality_condition, environment_condition,
    bus_physical_condition, bus_criticality_condition, bus_environment_condition, criticality, service_kind,
    device_place, position.ambient_c, hazardous_area, device, device_status, device_installed_on, made_on, device_kind,
    life_years, motor, motor_installed_on, overload_place, protection_kind, bypass_arrangement, emergency_stop
FROM position
LEFT JOIN bus ON bus.bus = position.bus
LEFT JOIN device ON device.tag = position.tag AND device_status IS NOT 'scrapped'
LEFT JOIN model USING (model)
LEFT JOIN motor ON motor.tag = position.tag AND motor_status IS NOT 'scrapped'
LEFT JOIN protection ON protection.tag = position.tag
LEFT JOIN bypass ON bypass.tag = position.tag
LEFT JOIN control ON control.tag = position.tag
WHERE :bus IS NULL OR position.bus = :bus
GROUP BY position.tag
ORDER BY position.bus, position.tag"""
_LINEUPS = """
SELECT bus AS tag, bus, bus_physical_condition, bus_criticality_condition, bus_environment_condition, main_kind
FROM bus WHERE :bus IS NULL OR bus = :bus ORDER BY bus"""
# What a lineup serves: its positions, and those of every lineup below it.
_SERVES = """
WITH RECURSIVE below (bus, lineup) AS (
    SELECT bus, bus FROM bus UNION SELECT below.bus, bus.bus FROM below JOIN bus ON bus.fed_from = below.lineup)
SELECT DISTINCT below.bus, criticality, service_kind FROM below JOIN position ON position.bus = below.lineup
ORDER BY 1, 2, 3"""
_RECORDS = """
SELECT tag, bus, record_kind, done_on, result FROM record
WHERE result <> 'not done' AND done_on <= ? ORDER BY done_on, record_id"""
_EVENTS = "SELECT tag, happened_on, failure_mode FROM event WHERE happened_on <= ? ORDER BY happened_on"

Record = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Place:
    """One position or lineup (`subject`): the values of its rows by column, and what happened there.

    `records` has by kind (day, result) of each check that was carried out, oldest first; `events` (day, failure mode);
    `majors` the rules of grade major that failed in the last kept audit. `fed` are the positions on a lineup, `serves`
    (criticality, service kind) of these and of those on all lineups below it.
    """

    row: dict[str, Any]
    records: dict[str, list[Record]]
    events: list[Record]
    majors: tuple[str, ...]
    audit: str
    subject: str = "position"
    fed: tuple[Place, ...] = ()
    serves: tuple[tuple[str | None, str | None], ...] = ()

    @property
    def tag(self) -> str:
        """The position's tag; `bus MCC-1` for a lineup."""
        return SUBJECTS[self.subject].named(self.row["tag"])


def places(db: Database, *, today: str, area: str | None = None, bus: str | None = None) -> list[Place]:
    """Every lineup and position in service, or those of one area or lineup; without what is dated after `today`.

    By lineup and tag, a lineup before its positions.
    """
    records: dict[tuple[str, str], dict[str, list[Record]]] = defaultdict(lambda: defaultdict(list))
    same: dict[Any, Any] = {}  # a plant has its days in common
    for tag, lineup, kind, *told in db.execute(_RECORDS, [today]):
        record = (told[0], told[1])
        own = records["bus" if tag is None else "position", tag or lineup]
        own[same.setdefault(kind, kind)].append(same.setdefault(record, record))
    events: dict[str, list[Record]] = defaultdict(list)
    for tag, day, mode in db.execute(_EVENTS, [today]):
        events[tag].append((day, mode or "UNK"))
    audit, majors = _majors(db, today)
    at: dict[str | None, list[Place]] = defaultdict(list)
    for row in db.query(_POSITIONS, {"bus": bus}):
        tag = row["tag"]
        place = Place(row, records["position", tag], events[tag], tuple(majors[tag]), audit)
        at[row["bus"]].append(place)
    serves: dict[str, list[tuple[str | None, str | None]]] = defaultdict(list)
    for name, criticality, service in db.execute(_SERVES):
        serves[name].append((criticality, service))
    areas = lineup_areas(db)
    found = at.pop(None, [])
    for row in db.query(_LINEUPS, {"bus": bus}):
        name, fed = row["bus"], tuple(at.get(row["bus"], ()))
        own = row | {"area": areas[name]}
        major, below = tuple(majors[SUBJECTS["bus"].named(name)]), tuple(serves[name])
        found += [Place(own, records["bus", name], [], major, audit, "bus", fed, below), *fed]
    return [place for place in found if area is None or place.row["area"] == area]


def lineup_areas(db: Database) -> dict[str, str | None]:
    """The area of each lineup: that of all its positions; None where they are of several, or one is of none."""
    areas: dict[str, set[str | None]] = defaultdict(set)
    for name, area in db.execute("SELECT bus.bus, area FROM bus LEFT JOIN position USING (bus) ORDER BY bus.bus"):
        areas[name].add(area)
    return {name: own.pop() if len(own) == 1 else None for name, own in areas.items()}


def _majors(db: Database, today: str) -> tuple[str, dict[str, list[str]]]:
    """Name of the last audit kept by that day, and by tag the majors that failed in it."""
    found: dict[str, list[str]] = defaultdict(list)
    kept = [audit for audit in kept_audits(db) if audit.today <= today]
    if not kept:
        return "", found
    sql = "SELECT tag, rule FROM finding WHERE audit_id = ? AND grade = 'major' ORDER BY rule"
    for tag, rule in db.execute(sql, [kept[-1].audit_id]):
        found[tag].append(rule)
    return kept[-1].name, found
