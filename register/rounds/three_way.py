"""Three values of one cell compared: what it was, what it is here now, what the other says."""

from __future__ import annotations

from math import isclose
from typing import Any, Literal

Outcome = Literal["taken", "same", "kept", "conflict"]
# Two readings of one number in different units differ by less than this, of the larger.
ALIKE = 1e-9


def three_way(base: Any, now: Any, theirs: Any) -> Outcome:
    """What becomes of a cell: changed on one side is taken or kept, alike on both is the same, else a conflict.

    Parameters
    ----------
    base : what both began with.
    now : what is here.
    theirs : what the other side has.

    >>> three_way(37.0, 37.0, 45.0), three_way(37.0, 45.0, 37), three_way(None, 37, 37.0), three_way(37, 45, 55)
    ('taken', 'kept', 'same', 'conflict')
    """
    if alike(now, theirs):
        return "same"
    if alike(base, now):
        return "taken"
    return "kept" if alike(base, theirs) else "conflict"


def alike(one: Any, other: Any) -> bool:
    """True where two values mean the same: 37 and 37.0, a text with or without blanks round it.

    >>> alike(37, 37.0), alike("TEFC", " TEFC"), alike(None, 0), alike((None, "illegible"), (None, ""))
    (True, True, False, False)
    """
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(map(alike, one, other))
    if isinstance(one, str) and isinstance(other, str):
        return one == other or one.split() == other.split()
    if isinstance(one, int | float) and isinstance(other, int | float):
        return isclose(one, other, rel_tol=ALIKE)
    return bool(one == other)
