"""The three conditions of a position or a lineup: entered, entered for its lineup, or proposed from the register.

The words are those of NFPA 70B-2023, chapter 9, as far as public pages quote it (commentary: gimba.io, tuvsud.com):
the worst of physical condition, criticality and operating environment governs. What a proposal goes by is common
practice; a person who has seen the place overrules it.
"""

from __future__ import annotations

from datetime import date
from typing import Any

from dateutil.relativedelta import relativedelta
from sqlite_utils import Database

from register.maintenance.model import (
    CRITICALITY,
    ENTERED,
    ENVIRONMENT,
    OF_LINEUP,
    PHYSICAL,
    PROPOSED,
    UNKNOWN,
    Condition,
    Conditions,
)
from register.maintenance.places import Place, places

CRITICAL = {"critical": 3, "essential": 2, "ordinary": 1}
PLACES = {"indoor": 1, "indoor dusty": 2, "outdoor": 2, "indoor wet": 3, "washdown": 3}
# Failure modes of ISO 14224 that speak of the motor or its starter; an overload trip is an UST.
ELECTRICAL = ("FTS", "STP", "UST", "BRD", "OHE", "ELU")
EVENT_MONTHS, LOOKED_MONTHS, WARM_C = 24, 12, 40.0
LOOKS = ("visual inspection", "thermography")


def conditions(db: Database, *, today: date, area: str | None = None, bus: str | None = None) -> tuple[Conditions, ...]:
    """The conditions of every lineup and position, of one area or lineup if asked, by lineup and tag."""
    return tuple(conditions_of(place, today) for place in places(db, today=today.isoformat(), area=area, bus=bus))


def conditions_of(place: Place, today: date) -> Conditions:
    """The three conditions of one position or lineup as of a day."""
    row = place.row
    if place.subject == "bus":
        each = (
            _of_lineup(row, PHYSICAL) or _lineup_physical(place),
            _of_lineup(row, CRITICALITY) or _lineup_criticality(place),
            _of_lineup(row, ENVIRONMENT) or _lineup_environment(place),
        )
    else:
        each = (
            _entered(row, PHYSICAL) or _physical(place, today),
            _entered(row, CRITICALITY) or _criticality(row),
            _entered(row, ENVIRONMENT) or _environment(row),
        )
    return Conditions(place.tag, row["area"] or "", row["bus"] or "", each)


def _entered(row: dict[str, Any], name: str) -> Condition | None:
    for column, how in ((f"{name}_condition", ENTERED), (f"bus_{name}_condition", OF_LINEUP)):
        if row[column] is not None:
            return Condition(name, int(row[column]), how, f"{column} is {row[column]}")
    return None


def _of_lineup(row: dict[str, Any], name: str) -> Condition | None:
    value = row[f"bus_{name}_condition"]
    return Condition(name, int(value), ENTERED, f"bus_{name}_condition is {value}") if value is not None else None


def _lineup_physical(place: Place) -> Condition:
    """Proposed from its own records and findings; 1 is left to a person, as no column has the age of a lineup."""
    worse = _failed_twice(place) or _failed(place) or _major(place)
    if worse:
        return worse
    basis = "nobody has entered in which state the lineup is"
    return Condition(PHYSICAL, None, UNKNOWN, basis, "bus_physical_condition")


def _lineup_criticality(place: Place) -> Condition:
    """That of the worst position it serves, also by way of the lineups below it."""
    safety = [service for _, service in place.serves if service not in (None, "process")]
    if safety:
        return Condition(CRITICALITY, 3, PROPOSED, f"it serves life safety: {safety[0]}")
    known = [CRITICAL[word] for word, _ in place.serves if word in CRITICAL]
    if max(known, default=0) < 3 and len(known) < max(1, len(place.serves)):
        basis = "nobody has entered the criticality of all that it serves"
        return Condition(
            CRITICALITY, None, UNKNOWN, basis, "criticality" if place.serves else "bus_criticality_condition"
        )
    worst = next(word for word, value in CRITICAL.items() if value == max(known))
    return Condition(CRITICALITY, max(known), PROPOSED, f"it serves a position that is {worst}")


def _lineup_environment(place: Place) -> Condition:
    """That of the worst place where a device on it stands."""
    each = [_surroundings(one.row) for one in place.fed]
    known = [one for one in each if one.value is not None]
    worst = max(known, key=lambda one: one.value or 0, default=None)
    if worst is not None and (worst.value == 3 or len(known) == len(each)):
        return worst
    read = "device_place" if place.fed else "bus_environment_condition"
    return Condition(ENVIRONMENT, None, UNKNOWN, "nobody has entered where all its devices are", read)


def _criticality(row: dict[str, Any]) -> Condition:
    if row["service_kind"] not in (None, "process"):
        return Condition(CRITICALITY, 3, PROPOSED, f"it serves life safety: {row['service_kind']}")
    value = CRITICAL.get(row["criticality"])
    if value is None:
        return Condition(CRITICALITY, None, UNKNOWN, "nobody has entered its criticality", "criticality")
    return Condition(CRITICALITY, value, PROPOSED, f"criticality is {row['criticality']}")


def _environment(row: dict[str, Any]) -> Condition:
    if row["hazardous_area"] == "yes":
        return Condition(ENVIRONMENT, 3, PROPOSED, "the area is classified as hazardous")
    return _surroundings(row)


def _surroundings(row: dict[str, Any]) -> Condition:
    """By the place of the starting device alone."""
    value = PLACES.get(row["device_place"])
    if value is None:
        return Condition(ENVIRONMENT, None, UNKNOWN, "nobody has entered where the device is", "device_place")
    if value == 1 and (row["ambient_c"] or 0) > WARM_C:
        return Condition(ENVIRONMENT, 2, PROPOSED, f"indoor, and {row['ambient_c']:g} °C warm")
    return Condition(ENVIRONMENT, value, PROPOSED, f"the device is {row['device_place']}")


def _physical(place: Place, today: date) -> Condition:
    """Proposed from records, events, age and findings; 1 only where somebody has looked of late."""
    worse = _failed_twice(place) or _failed(place) or _worn(place, today) or _major(place)
    if worse:
        return worse
    since = (today - relativedelta(months=LOOKED_MONTHS)).isoformat()
    looks = [(day, kind) for kind in LOOKS for day, _ in place.records.get(kind, ())[-1:] if day >= since]
    row = place.row
    if not looks:
        basis = f"nobody has recorded a look within {LOOKED_MONTHS} months"
        return Condition(PHYSICAL, None, UNKNOWN, basis, "physical_condition")
    if row["life_years"] is None or (row["made_on"] or row["device_installed_on"]) is None:
        read = "life_years" if row["life_years"] is None else "made_on"
        return Condition(PHYSICAL, None, UNKNOWN, "the age of the device, or its life, is not known", read)
    day, kind = max(looks)
    return Condition(PHYSICAL, 1, PROPOSED, f"within its life, no failure of late, {kind} passed on {day}")


def _failed_twice(place: Place) -> Condition | None:
    for kind, done in sorted(place.records.items()):
        if [result for _, result in done[-2:]] == ["failed", "failed"]:
            return Condition(PHYSICAL, 3, PROPOSED, f"{kind} failed twice: {done[-2][0]} and {done[-1][0]}")
    return None


def _failed(place: Place) -> Condition | None:
    for kind, done in sorted(place.records.items()):
        if done and done[-1][1] == "failed":
            return Condition(PHYSICAL, 2, PROPOSED, f"{kind} failed on {done[-1][0]}")
    return None


def _worn(place: Place, today: date) -> Condition | None:
    """A failure or trip of late, or an age beyond the device's life."""
    since = (today - relativedelta(months=EVENT_MONTHS)).isoformat()
    recent = [(day, mode) for day, mode in place.events if day >= since and mode in ELECTRICAL]
    if recent:
        basis = f"a failure or trip within {EVENT_MONTHS} months: {recent[-1][1]} on {recent[-1][0]}"
        return Condition(PHYSICAL, 2, PROPOSED, basis)
    born, life = place.row["made_on"] or place.row["device_installed_on"], place.row["life_years"]
    if born and life and date.fromisoformat(born) + relativedelta(months=round(12 * life)) < today:
        basis = f"the device is older than its life of {life:g} years: from {born}"
        return Condition(PHYSICAL, 2, PROPOSED, basis)
    return None


def _major(place: Place) -> Condition | None:
    told = f"a major finding in {place.audit}: {place.majors[0]}" if place.majors else ""
    return Condition(PHYSICAL, 2, PROPOSED, told) if told else None
