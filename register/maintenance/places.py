"""What the programme reads of the register: each position with what is installed, its records, events and findings."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

from sqlite_utils import Database

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
WHERE (:area IS NULL OR area = :area) AND (:bus IS NULL OR position.bus = :bus)
GROUP BY position.tag
ORDER BY position.bus, position.tag"""
_RECORDS = """
SELECT tag, record_kind, done_on, result FROM record
WHERE result <> 'not done' AND done_on <= ? ORDER BY done_on, record_id"""
_EVENTS = "SELECT tag, happened_on, failure_mode FROM event WHERE happened_on <= ? ORDER BY happened_on"

Record = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Place:
    """One position: the values of its rows by column, and what happened there.

    `records` has by kind (day, result) of each check that was carried out, oldest first; `events` (day, failure mode);
    `majors` the rules of grade major that failed in the last kept audit.
    """

    row: dict[str, Any]
    records: dict[str, list[Record]]
    events: list[Record]
    majors: tuple[str, ...]
    audit: str

    @property
    def tag(self) -> str:
        """The position's tag."""
        return self.row["tag"]


def places(db: Database, *, today: str, area: str | None = None, bus: str | None = None) -> list[Place]:
    """Every position in service, or of one area or lineup, by lineup and tag; without what is dated after `today`."""
    records: dict[str, dict[str, list[Record]]] = defaultdict(lambda: defaultdict(list))
    for tag, kind, day, result in db.execute(_RECORDS, [today]):
        records[tag][kind].append((day, result))
    events: dict[str, list[Record]] = defaultdict(list)
    for tag, day, mode in db.execute(_EVENTS, [today]):
        events[tag].append((day, mode or "UNK"))
    audit, majors = _majors(db, today)
    return [
        Place(row, records[row["tag"]], events[row["tag"]], tuple(majors[row["tag"]]), audit)
        for row in db.query(_POSITIONS, {"area": area, "bus": bus})
    ]


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
