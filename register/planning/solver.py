"""The exact solver of whole-number choices, which says nothing by itself."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from scipy.optimize import Bounds, LinearConstraint, OptimizeResult, milp


def cheapest(cost: Any, constraints: LinearConstraint, *, free: int = 0, **options: float) -> OptimizeResult:
    """The choice of nothing or one of each, within the constraints, that costs least; the last `free` may be parts."""
    whole = [1] * (len(cost) - free) + [0] * free
    with _silenced():
        return milp(cost, constraints=constraints, integrality=whole, bounds=Bounds(0, 1), options=dict(options))


@contextmanager
def _silenced() -> Iterator[None]:
    """Keep what the library prints past Python (scipy 1.17 has such a line) out of tables and JSON."""
    try:
        sys.stdout.flush()
        kept = os.dup(1)
    except (OSError, ValueError):
        yield  # there is no output that it could spoil
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)
