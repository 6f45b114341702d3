"""What a test may leave out that plays no part in what it shows."""

from __future__ import annotations

import pickle
from collections.abc import Iterator
from contextlib import contextmanager
from functools import wraps

import pytest

from register.calc import study


@contextmanager
def reasons_left_out() -> Iterator[None]:
    """Why a value is missing: finding that out takes half of the time of the facts."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("register.facts.fact_rows.reasons", lambda *_: {})
        yield


@contextmanager
def studied_once() -> Iterator[None]:
    """Starts that were studied before, in every fact the same, are not studied again."""
    with pytest.MonkeyPatch.context() as patch:
        for work in (study._own, study._failover, study._limits, study._first_instant):
            patch.setattr(study, work.__name__, _once(work))
        yield


def _once(work):
    made = {}

    @wraps(work)
    def studied(start, size):
        starts = pickle.dumps((start, size))
        if starts not in made:
            made[starts] = work(start, size)
        return made[starts]

    return studied
