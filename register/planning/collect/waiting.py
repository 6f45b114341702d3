"""What is unknown, as a list of verdicts: each with its weight and the blanks that it waits for."""

from __future__ import annotations

import json
from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from sqlite_utils import Database

from register.audit.finding import Unknown
from register.audit.findings import unknowns
from register.audit.judge import Audit
from register.audit.priority import CRITICALITY, EVERYWHERE, GRADE, TIER, UNKNOWN_CRITICALITY
from register.columns import column
from register.rulebook.model import Harm, Rule

# The day of the first check since the device was installed follows from the day of a check.
COUNTED = {
    "first_reviewed_on": "parameters_reviewed_on",
    "first_bumped_on": "bump_test_on",
    "settings_since_on": "setting_recorded_on",
}
INSTALLED = "device_installed_on"
PLACE = ("tag", "bus", "model", "criticality", INSTALLED, *COUNTED.values())
SHARED = ("bus", "model", "site")  # tables of which several positions share a row


class Blank(NamedTuple):
    """One cell to fill: its table, what tells its row apart (a tag, or a shared bus or model), its column."""

    table: str
    key: str
    column: str


@dataclass(frozen=True, slots=True)
class Waiting:
    """A verdict that is unknown, what deciding it is worth, and the blanks it waits for, by column of a position.

    `people` where the rule keeps people from harm, `major` by its grade. A verdict about a bus or a device in store
    has no `tag`: it is not tried, and counts as decided when all its blanks are filled.
    """

    tag: str | None
    rule: str
    weight: float
    people: bool
    major: bool
    blanks: frozenset[Blank]

    @property
    def columns(self) -> frozenset[str]:
        """The columns of the position that it waits for."""
        return frozenset(blank.column for blank in self.blanks)


def waiting(db: Database, audit: Audit, only: Container[str] | None = None) -> list[Waiting]:
    """Every unknown verdict of an audit that waits for something at the positions of `only`, or anywhere."""
    places = _places(db, audit)
    rules = {rule.id: rule for rule in audit.rules}
    found = ((unknown, _blanks(unknown, places)) for unknown in unknowns(db, audit))
    return [
        Waiting(
            tag=unknown.tag if unknown.subject == "position" else None,
            rule=unknown.rule,
            weight=weight(rules[unknown.rule], places.get(unknown.tag, {}).get("criticality")),
            people=rules[unknown.rule].harm == Harm.PEOPLE,
            major=unknown.grade == "major",
            blanks=frozenset(blanks),
        )
        for unknown, blanks in found
        if blanks and (only is None or any(tag in only for tag in _tags(unknown)))
    ]


def weight(rule: Rule, criticality: str | None) -> float:
    """Grade × criticality, as a finding of the rule there would be weighed (people and fire: 3 everywhere)."""
    at_place = CRITICALITY.get(criticality or "", UNKNOWN_CRITICALITY)
    return GRADE[rule.grade] * EVERYWHERE.get(TIER[Harm(rule.harm)], at_place)


def _places(db: Database, audit: Audit) -> Mapping[str, Mapping[str, Any]]:
    tags = json.dumps(list(audit.verdicts.tags))
    rows = db.conn.execute(
        f"SELECT {', '.join(PLACE)} FROM facts WHERE tag IN (SELECT value FROM json_each(?))", [tags]
    )
    return {row[0]: dict(zip(PLACE, row, strict=True)) for row in rows}


def _tags(unknown: Unknown) -> Iterable[str]:
    return {tag for name in unknown.fields for tag in unknown.elsewhere.get(name, (unknown.tag,))}


def _blanks(unknown: Unknown, places: Mapping[str, Mapping[str, Any]]) -> Iterable[Blank]:
    return {
        blank_at(entered, tag, places.get(tag, {}))
        for name in unknown.fields
        for tag in unknown.elsewhere.get(name, (unknown.tag,))
        for entered in _entered(name, places.get(tag, {}))
    }


def _entered(name: str, place: Mapping[str, Any]) -> Iterable[str]:
    """The columns that a person can enter for what the register counts: the first check after the installation."""
    check = COUNTED.get(name)
    if check is None:
        return (name,)
    missing = [entered for entered in (check, INSTALLED) if place.get(entered) is None]
    return missing or (check,)


def blank_at(name: str, tag: str, place: Mapping[str, Any]) -> Blank:
    """The cell of a column for a position; one cell for all positions that share it."""
    table = column(name).table
    if table == "site":
        return Blank(table, "", name)
    shared = place.get(table) if table in SHARED else None
    return Blank(table, shared or tag, name)
