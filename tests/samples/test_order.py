"""Findings in the order of the harm that they may do."""

from __future__ import annotations

from datetime import date

import pytest

from register.audit.findings import findings
from register.audit.judge import run
from register.audit.priority import most_pressing_first, priority
from register.rulebook.load.pack import load_pack

TODAY = date(2026, 11, 25)
# What an engineer does first on this plant, by an independent reading of its findings: what bursts, what protects
# nobody, what cannot be isolated, what starts by itself (common practice).
BURST = {"line-protection/device-withstands-fault", "line-protection/lineup-withstands-fault"} | {
    "line-protection/interrupts-fault-current"
}
FIRST = BURST | {
    "line-protection/present",
    "overload/present",
    "line-protection/disconnect-in-sight-or-lockable",
    "overload/manual-reset-where-restart-hurts",
    "control/emergency-stop-hardwired",
    "control/restart-by-itself-guarded",
    "commissioning/safety-checks-done",
    "bypass/contactor-rated-to-start",
    "sizing/hazardous-area-judged-elsewhere",
}


@pytest.fixture(scope="module")
def found(demo, pack):
    with demo.copy() as db:
        return sorted(findings(db, run(db, pack, today=TODAY)), key=most_pressing_first)


def test_the_first_ten_of_the_demo_plant_are_what_an_engineer_does_first(found):
    assert {f.rule for f in found[:3]} == BURST
    assert {f.rule for f in found[:10]} <= FIRST


def test_records_come_last_and_criticality_weighs_machines_and_production_only(found):
    tiers = [f.priority.tier for f in found]
    assert tiers == sorted(tiers)
    for harm, weights in {"people": 1, "fire": 1, "records": 1, "machine": 3, "production": 3}.items():
        made = {priority("major", c, None, {}, harm=harm).product for c in ("critical", "essential", "ordinary")}
        assert len(made) == weights, harm
    assert priority("major", "critical", None, {}, harm="records").product == 10


def test_a_miss_without_degrees_is_not_halved():
    whole = priority("major", "ordinary", None, {}).product
    assert whole == priority("major", "ordinary", -90.0, {"a": 90.0}).product
    # A breaker for 35 kA at 36 kA bursts as one for 14 kA does.
    assert priority("major", None, -1.0, {"a": 36.0}, harm="people", unit="kA").margin == 2
    assert priority("major", None, -9.0, {"a": 36.0}, unit="A").margin == 1.25


def test_every_rule_of_the_pack_says_whom_it_harms():
    missing = [r.id for r in load_pack().rules if "\nharm: " not in r.path.read_text(encoding="utf-8")]
    assert missing == []
