"""What to correct first: grade × criticality × margin."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from register.audit.finding import Priority

GRADE = {"major": 9.0, "minor": 3.0, "observation": 1.0}
CRITICALITY = {"critical": 3.0, "essential": 2.0, "ordinary": 1.0}
UNKNOWN_CRITICALITY = CRITICALITY["essential"]


HOW = (
    "Priority = grade (9 major, 3 minor, 1 observation) × criticality (3 critical, 2 essential or"
    " unknown, 1 ordinary) × margin (1 barely missed to 2 missed by all of it, 1.5 where it has no"
    " degrees)."
)


def priority(grade: str, criticality: str | None, margin: float | None, compared: Mapping[str, Any]) -> Priority:
    """Weigh a finding.

    Parameters
    ----------
    grade, criticality : a position whose criticality is unknown counts as an essential one, so
        that a hole in the register cannot push a finding out of sight.
    margin : how far the requirement is missed, in its unit; None for a rule that is met or not.
    compared : the values that the margin is made of; the largest of them is its yardstick.

    Returns
    -------
    Priority : the margin's factor runs from 1 (barely missed) to 2 (missed by all of it); a
        requirement without degrees stands in the middle.
    """
    depth = _depth(margin, compared)
    missed = "no degrees" if depth is None else f"missed by {100 * depth:.0f} %"
    return Priority(
        GRADE[grade],
        _weight(criticality),
        1.0 + (0.5 if depth is None else depth),
        (str(grade), criticality or "criticality unknown", missed),
    )


def _weight(criticality: str | None) -> float:
    return CRITICALITY.get(criticality or "", UNKNOWN_CRITICALITY)


def _depth(margin: float | None, compared: Mapping[str, Any]) -> float | None:
    """How far a requirement is missed, of its yardstick; None where it has no degrees."""
    numbers = [abs(v) for v in compared.values() if isinstance(v, int | float)]
    yardstick = max(numbers, default=0.0)
    return min(1.0, abs(margin) / yardstick) if margin is not None and yardstick else None


def of_many(criticalities: Iterable[str | None]) -> str | None:
    """The criticality of what several positions hang on: the highest, an unknown one as above."""
    known = sorted(criticalities, key=_weight)
    return known[-1] if known else None
