"""The first six readings against the best six there are, found by brute force with the plant's true values."""

import shutil
from datetime import date
from itertools import islice

import best_questions
import make
import pytest
from sample_plant import Sample

from register.audit.session import AuditRequest, session
from register.columns import COLUMNS
from register.intake.correct import set_value
from register.planning.collect.order import ordered
from register.planning.collect.waiting import Blank, waiting
from register.planning.collect.worth import worth
from register.rulebook.model import Outcome
from register.store.database import writing

DAY = AuditRequest(today=date(2026, 11, 25))
SIX, GOOD_ENOUGH = 6, 0.9


@pytest.fixture(scope="module")
def plant(tmp_path_factory):
    """The register, what its readings are worth, what is true of it, and the sets of cells that decide each verdict."""
    path = Sample("small-plant", tmp_path_factory.mktemp("best")).path
    known = best_questions.truth(make.SMALL, make.small_faults.FAULTS)
    with session(path, DAY, write=False) as now:
        verdicts = waiting(now.db, now.audit())
        return path, worth(now, verdicts), known, best_questions.deciding(now, verdicts, known)


def first_six(tried, **order):
    chosen = (blank for one in ordered(tried, **order) for blank in one.blanks)
    return list(islice(chosen, SIX))


@pytest.mark.parametrize(
    ("weight", "order"),
    [
        (lambda one: one.weight, {"people_first": False}),
        (lambda one: 1.0, {"people_first": False, "counted": True}),
        (lambda one: one.weight if one.people else 0.0, {}),
    ],
    ids=["by grade and harm", "by number", "what can hurt people"],
)
def test_six_readings_decide_nine_tenths_of_what_the_best_six_do(plant, weight, order):
    _, tried, _, sets = plant
    weights = [weight(one) for one in tried.verdicts]
    most = best_questions.best(sets, weights, SIX)
    assert best_questions.decided(first_six(tried, **order), sets, weights) >= GOOD_ENOUGH * most > 0


def test_brute_force_finds_what_is_best_where_that_is_plain():
    a, b, c, d = (Blank("position", tag, "x") for tag in "abcd")
    sets = {0: [(a,)], 1: [(b, c)], 2: [(b, c), (d,)], 3: [(d,)]}
    assert [best_questions.best(sets, [3, 4, 2, 1], most) for most in range(5)] == [0, 3, 6, 9, 10]
    assert best_questions.decided([b, c], sets, [3, 4, 2, 1]) == 6


def test_an_audit_of_the_register_with_six_true_answers_says_the_same(plant, tmp_path):
    path, tried, known, sets = plant
    six = first_six(tried, people_first=False)
    told = {n for n, ways in sets.items() if any(set(six).issuperset(way) for way in ways)}
    copy = shutil.copy(path, tmp_path / "answered.db")
    with session(copy, DAY, write=True) as now:
        before = set(now.audit().having(Outcome.CANT_TELL))
        with writing(now.db, reason="read"):
            for blank in six:
                set_value(
                    now.db,
                    blank.key,
                    blank.column,
                    f"{known[blank.key, blank.column]} {COLUMNS[blank.column].unit}".strip(),
                )
        decided = before - set(now.audit().having(Outcome.CANT_TELL))
    assert {(tried.verdicts[n].tag, tried.verdicts[n].rule) for n in told} <= decided and decided
