"""What to correct first: by harm, then grade × criticality × margin."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from register.audit.finding import RECORDS, Finding, Found, Priority
from register.rulebook.model import Harm

GRADE = {"major": 9.0, "minor": 3.0, "observation": 1.0}
CRITICALITY = {"critical": 3.0, "essential": 2.0, "ordinary": 1.0}
UNKNOWN_CRITICALITY = CRITICALITY["essential"]
HARMS = [str(harm) for harm in Harm]

# What hurts is no less at a pump that nobody misses; records weigh nothing by criticality either.
TIER = {Harm.PEOPLE: 0, Harm.FIRE: 0, Harm.MACHINE: 1, Harm.PRODUCTION: 1, Harm.RECORDS: RECORDS}
EVERYWHERE = {0: 3.0, RECORDS: 1.0}
# What bursts, or burns out, does so at the first ampere or volt too many.
NO_DEGREES = {"kA", "V"}

HOW = (
    "First what hurts people or burns, then machines and production, then records. Among these,"
    " priority = grade (9 major, 3 minor, 1 observation) × criticality (3 critical, 2 essential or"
    " unknown, 1 ordinary; 3 for people and fire, whatever the position, and 1 for records) × margin"
    " (1 barely missed to 2 missed by all of it, or where there are no degrees)."
)


def priority(
    grade: str,
    criticality: str | None,
    margin: float | None,
    compared: Mapping[str, Any],
    *,
    harm: str = Harm.MACHINE,
    unit: str = "",
) -> Priority:
    """Weigh a finding.

    Parameters
    ----------
    grade, criticality : a position whose criticality is unknown counts as an essential one, so
        that a hole in the register cannot push a finding out of sight.
    margin : how far the requirement is missed, in its `unit`; None for a rule that is met or not.
    compared : the values that the margin is made of; the largest of them is its yardstick.
    harm : who or what is hurt; criticality counts for machines and production only.

    Returns
    -------
    Priority : the margin's factor runs from 1 (barely missed) to 2 (missed by all of it); a
        requirement without degrees is missed by all of it.
    """
    depth = None if unit in NO_DEGREES else _depth(margin, compared)
    missed = "no degrees" if depth is None else f"missed by {100 * depth:.0f} %"
    tier = TIER[Harm(harm)]
    weight = EVERYWHERE.get(tier, _weight(criticality))
    place = criticality or "criticality unknown"
    return Priority(
        GRADE[grade],
        weight,
        1.0 + (1.0 if depth is None else depth),
        (str(grade), f"{harm}, whatever the position" if tier in EVERYWHERE else place, missed),
        str(harm),
        tier,
    )


def _weight(criticality: str | None) -> float:
    return CRITICALITY.get(criticality or "", UNKNOWN_CRITICALITY)


def most_pressing_first(finding: Found | Finding) -> tuple:
    """The key by which findings are sorted.

    Of equal ones people come before fire, and what was measured before what is only told.
    """
    weighed = finding.priority
    told = finding.margin is None
    return weighed.tier, -weighed.product, HARMS.index(weighed.harm), told, finding.tag, finding.rule


def _depth(margin: float | None, compared: Mapping[str, Any]) -> float | None:
    """How far a requirement is missed, of its yardstick; None where it has no degrees."""
    numbers = [abs(v) for v in compared.values() if isinstance(v, int | float)]
    yardstick = max(numbers, default=0.0)
    return min(1.0, abs(margin) / yardstick) if margin is not None and yardstick else None


def of_many(criticalities: Iterable[str | None]) -> str | None:
    """The criticality of what several positions hang on: the highest, an unknown one as above."""
    known = sorted(criticalities, key=_weight)
    return known[-1] if known else None
