"""One function decides how a concession stands: every way in which it ends, one at a time.

The conditions are common practice for accepted departures: a last day, two people, and an end when
the thing, the degree or the requirement is no longer the one that was accepted.
"""

from dataclasses import replace

import pytest

from register.audit.concessions import Basis, Case, Concession, decided

BASIS = Basis(
    rule="r1",
    motor="M1",
    device="D1",
    margin=-2.0,
    margin_unit="A",
    values={"fla_a": 65.0, "bypass_arrangement": "none", ":oversize_ratio": 3.0},
)
APPROVED = Concession(
    concession_id=7,
    rule="sizing/current-covers-motor",
    tag="P-1",
    reason="spare is ordered",
    asked_by="R. Kettle",
    asked_on="2026-01-10",
    expires_on="2026-06-30",
    decision="approved",
    decided_by="S. Brandt",
    decided_on="2026-01-12",
    decision_note="until the spare is fitted",
    withdrawn_by=None,
    withdrawn_on=None,
    withdrawn_why=None,
    basis=BASIS,
)
FAILING = Case(outcome="failed", rule="r1", motor="M1", device="D1", now=BASIS)
DAY = "2026-03-01"


def _now(**changed):
    return replace(FAILING, now=replace(BASIS, **changed))


def _status(concession=APPROVED, case=FAILING, today=DAY):
    standing = decided(concession, today=today, case=case)
    return standing.status, standing.why


def test_one_that_holds_is_used_and_says_by_whom_and_until_when():
    status, why = _status()
    assert status == "used" and "S. Brandt" in why and "2026-06-30" in why


@pytest.mark.parametrize(("today", "status"), [("2026-06-30", "used"), ("2026-07-01", "void")])
def test_the_last_day_is_included(today, status):
    assert _status(today=today)[0] == status


@pytest.mark.parametrize(
    ("changed", "status"),
    [
        ({"decision": None, "decided_by": None, "decided_on": None}, "asked"),
        ({"decided_on": "2026-03-02"}, "asked"),
        ({"decision": "refused"}, "refused"),
        ({"withdrawn_on": "2026-03-01", "withdrawn_by": "X", "withdrawn_why": "mended"}, "withdrawn"),
        ({"withdrawn_on": "2026-03-02", "withdrawn_by": "X", "withdrawn_why": "mended"}, "used"),
        ({"decided_by": " r.  kettle "}, "void"),
        ({"decided_by": None}, "void"),
        ({"basis": None}, "void"),
    ],
)
def test_what_people_did_settles_it(changed, status):
    assert _status(replace(APPROVED, **changed))[0] == status


@pytest.mark.parametrize(
    ("case", "said"),
    [
        (replace(FAILING, motor="M9"), "motor was replaced: M1 → M9"),
        (replace(FAILING, device=None), "device was replaced: D1 → none"),
        (replace(FAILING, rule="r2"), "rule was changed"),
        (Case(None, "", "M1", "D1", None), "no longer in force"),
        (_now(margin=-2.1), "margin worsened: -2 A → -2.1 A"),
        (_now(margin=None, values={**BASIS.values, "fla_a": 66.0}), "fla_a was changed"),
        (_now(margin=None, values={**BASIS.values, ":oversize_ratio": 2.5}), ":oversize_ratio"),
        (_now(margin_unit="kA", values={**BASIS.values, "fla_a": None}), "65 A → unknown"),
    ],
)
def test_it_is_void_when_what_it_rests_on_is_worse_or_another(case, said):
    status, why = _status(case=case)
    assert status == "void" and said in why


@pytest.mark.parametrize(
    "case",
    [
        _now(margin=-1.0),
        _now(margin=-2.0 * (1 + 1e-12)),
        _now(margin=-2.0, values={**BASIS.values, "fla_a": 66.0}),
        _now(margin=None),
    ],
)
def test_it_holds_when_the_margin_is_no_worse_or_nothing_was_changed(case):
    assert _status(case=case)[0] == "used"


def test_a_rule_that_reads_the_day_is_held_to_its_values_since_its_margin_shrinks_by_itself():
    older = replace(_now(margin=-50.0), ages=True)
    assert _status(case=older)[0] == "used"
    redone = replace(_now(margin=-1.0, values={"thermography_on": "2023-01-01"}), ages=True)
    assert _status(case=redone)[0] == "void"


@pytest.mark.parametrize("outcome", ["passed", "cant-tell", "inapplicable"])
def test_it_is_unused_where_nothing_fails_and_void_all_the_same_when_its_day_is_past(outcome):
    case = replace(FAILING, outcome=outcome, now=None)
    assert _status(case=case)[0] == "unused"
    assert _status(case=case, today="2026-07-01")[0] == "void"
