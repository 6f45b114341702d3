"""What to mend first: grade × criticality × margin."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from register.findings.model import Priority

GRADE = {"major": 9.0, "minor": 3.0, "observation": 1.0}
CRITICALITY = {"critical": 3.0, "essential": 2.0, "ordinary": 1.0}
UNKNOWN_CRITICALITY = CRITICALITY["essential"]


def priority(
    grade: str, criticality: str | None, margin: float | None, compared: Mapping[str, Any]
) -> Priority:
    """Weigh a finding.

    Parameters
    ----------
    grade, criticality : a position whose criticality is unknown weighs as an essential one, so
        that a hole in the register cannot push a finding out of sight.
    margin : how far the requirement is missed, in its unit; None for a rule that is met or not.
    compared : the values that the margin is made of; the largest of them is its yardstick.

    Returns
    -------
    Priority : the margin's factor runs from 1 (barely missed) to 2 (missed by all of it); a
        requirement without degrees stands in the middle.
    """
    numbers = [abs(v) for v in compared.values() if isinstance(v, int | float)]
    yardstick = max(numbers, default=0.0)
    if margin is None or not yardstick:
        depth = 0.5
    else:
        depth = min(1.0, abs(margin) / yardstick)
    return Priority(GRADE[grade], CRITICALITY.get(criticality, UNKNOWN_CRITICALITY), 1.0 + depth)
