"""A check dated after the day of the audit was not done yet on that day."""

import sqlite3
from datetime import date

import pytest

from register.rulebook.load.pack import load_pack
from register.rulebook.model import Outcome
from register.rulebook.run.evaluate import evaluate
from register.rulebook.run.explain import explain, unknown_columns
from register.rulebook.tables import facts_table

PACK = load_pack()
THERMOGRAPHY, BUMP = "commissioning/thermography-current", "commissioning/bump-tested"
ON = "2026-11-26"


@pytest.fixture
def facts():
    conn = sqlite3.connect(":memory:")
    conn.execute(facts_table())
    conn.execute(
        "INSERT INTO facts (tag, practice, criticality, device_kind, thermography_on,"
        " thermography_result, bump_test_on, bump_test_result, motor_installed_on,"
        " device_installed_on) VALUES ('P-1', 'us', 'critical', 'drive', ?, 'passed', ?, 'passed',"
        " '2020-01-01', '2020-01-01')",
        (ON, ON),
    )
    conn.commit()
    return conn


@pytest.mark.parametrize("rule", [THERMOGRAPHY, BUMP])
def test_it_counts_from_its_day_on(facts, rule):
    outcomes = [
        Outcome(int(v.outcomes[0, v.column(rule)]))
        for v in (evaluate(facts, PACK, today=date(2026, 11, day)) for day in (25, 26))
    ]
    assert outcomes == [Outcome.CANT_TELL, Outcome.PASSED]


@pytest.mark.parametrize(("rule", "column"), [(THERMOGRAPHY, "thermography_on"), (BUMP, "bump_test_on")])
def test_until_then_its_day_is_what_has_to_be_read_and_stands_there(facts, rule, column):
    how = {"today": date(2026, 11, 25)}
    known = {each.id: each for each in PACK.rules}
    assert unknown_columns(facts, PACK, known[rule], ["P-1"], **how) == {"P-1": (column,)}
    (told,) = explain(facts, PACK, known[rule], ["P-1"], **how)
    assert told.outcome is Outcome.CANT_TELL and told.values[column] == ON and told.margin is None
