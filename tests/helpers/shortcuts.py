"""What a test may leave out that plays no part in what it shows."""

from __future__ import annotations

import pickle
from collections.abc import Iterator
from contextlib import contextmanager
from functools import wraps

import pytest

from register.calc import machine, study


@contextmanager
def verdicts_only() -> Iterator[None]:
    """The verdicts, without the reasons of missing values, which take half of the time of the facts.

    Starts and motors that are in every fact as others before are not worked out again.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("register.facts.fact_rows.reasons", lambda *_: {})
        for room, names in ((study, ("_own", "_failover", "_limits", "_first_instant")), (machine, ("_fit",))):
            for name in names:
                patch.setattr(room, name, _once(getattr(room, name)))
        yield


def _once(work):
    made = {}

    @wraps(work)
    def again(*given):
        known = pickle.dumps(given)
        if known not in made:
            made[known] = work(*given)
        return made[known]

    return again
