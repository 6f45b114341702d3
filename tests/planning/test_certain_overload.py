"""What an overload surely does, told by bounds, is what it does when its heat is followed."""

from datetime import date

import numpy as np
import pytest

from register.calc import stress
from register.facts.whatif import Variant
from register.planning.settings import tried_starts
from register.planning.settings.settings import NEEDS, chosen
from register.planning.trials import Trials
from register.rulebook.load.pack import load_pack
from register.store.database import opened


@pytest.fixture(scope="module")
def facts(demo):
    with opened(demo.path) as db:
        tags = [tag for (tag,) in db.execute("SELECT tag FROM position ORDER BY tag")][::3]
        made, _ = Trials(db, tags, pack=load_pack(), today=date(2026, 11, 25)).facts([Variant(tag) for tag in tags])
        return {name: made[name] for name in NEEDS}


def test_settings_are_the_same_with_every_overload_followed(facts, monkeypatch):
    by_bounds, told = chosen(facts, pack=load_pack()), []
    real = tried_starts.class_surely

    def nothing(*given, **named):
        told.append(real(*given, **named))
        return np.full(told[-1].shape, stress.UNKNOWN)

    monkeypatch.setattr(tried_starts, "class_surely", nothing)
    followed = chosen(facts, pack=load_pack())
    sure = np.concatenate(told)
    assert {stress.HOLDS, stress.MAY_TRIP, stress.TRIPS} < set(sure.tolist()), "the bounds decide every way"
    for kind in ("values", "figures", "exceeded"):
        for name, values in getattr(by_bounds, kind).items():
            np.testing.assert_array_equal(values, getattr(followed, kind)[name], err_msg=name)
