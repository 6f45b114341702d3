"""What a rule cannot judge is said, and no field that is filled is asked for (common practice for each bound)."""

from __future__ import annotations

from datetime import date

import pytest
from sample_plant import Sample

from register.audit.findings import opened_verdict
from register.audit.judge import run
from register.facts.whatif import Variant
from register.planning.trials import Trials
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Outcome

TODAY = date(2026, 11, 25)
TAG = "P-2101"
TABLES = ("line-protection/conductor-covers-motor", "line-protection/disconnect-covers-motor")
STUDY = ("start-study/accelerates", "start-study/torque-margin", "overload/trip-class-guards-stall")


@pytest.fixture(scope="module")
def sample(tmp_path_factory):
    return Sample("demo-plant", tmp_path_factory.mktemp("scope"))


def outcomes(sample, **changes):
    with sample.copy() as db:
        judged = Trials(db, [TAG], pack=load_pack(), today=TODAY).judge([Variant(TAG, changes)])
    return judged.outcomes(0)


@pytest.mark.parametrize(
    ("changes", "rules"),
    [
        ({"power_kw": 447.0}, TABLES),  # 600 hp: Table 430.250 ends at 500 hp (NFPA 70-2023)
        ({"motor_voltage_v": 4160.0}, (*TABLES, "overload/set-within-nameplate")),  # article 430 part XI
        ({"motor_type": "wound rotor"}, (*STUDY, "nameplate/slip-plausible")),
        ({"motor_type": "synchronous"}, (*STUDY, "nameplate/slip-plausible", "nameplate/code-letter-agrees")),
        ({"motor_type": "permanent magnet"}, (*STUDY, "nameplate/slip-plausible")),
        ({"motor_type": "direct current"}, (*STUDY, *TABLES, "nameplate/speed-fits-poles")),
    ],
)
def test_outside_its_world_a_rule_is_inapplicable(sample, changes, rules):
    found = outcomes(sample, **changes)
    assert {rule: found[rule].word for rule in rules} == dict.fromkeys(rules, "inapplicable")


def test_an_unknown_kind_of_motor_is_judged_as_a_cage_motor(sample):
    blank, cage = outcomes(sample, motor_type=None), outcomes(sample, motor_type="cage")
    assert blank == cage


def test_a_size_between_two_rows_is_judged(sample):
    """4 kW is 5.36 hp; at 460 V between 7.6 A of 5 hp and 11 A of 7.5 hp (Table 430.250)."""
    found = outcomes(sample, power_kw=4.0, cable_ampacity_a=30.0)
    assert found[TABLES[0]] is Outcome.PASSED


def test_explain_says_why_and_asks_for_nothing(sample):
    with sample.copy() as db:
        db.execute("UPDATE motor SET motor_voltage_v = 4160 WHERE tag = ?", [TAG])
        verdict = opened_verdict(db, run(db, load_pack(), today=TODAY), TAG, TABLES[0])
    assert verdict.outcome == "inapplicable" and "judge by hand" in verdict.outside
    assert verdict.to_read == ()
