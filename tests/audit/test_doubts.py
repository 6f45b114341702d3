"""A value that is not believed: what rests on it is provisional, and judged on the safe side where one is known."""

from __future__ import annotations

from datetime import date

import pytest
from sample_plant import Sample

from register.audit.findings import findings_of
from register.audit.judge import run
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Outcome

TODAY = date(2026, 11, 25)
INTERRUPTS, BRACED = "line-protection/interrupts-fault-current", "line-protection/lineup-withstands-fault"

SMALL_BREAKER = "UPDATE protection SET protection_kind = 'inverse-time breaker', interrupting_ka = 25 WHERE tag = '{}'"


@pytest.fixture(scope="module")
def sample(tmp_path_factory):
    return Sample("demo-plant", tmp_path_factory.mktemp("doubted"))


def audited(sample, *edits):
    """21 kA is stated for MCC-21; its transformer and grid give about 38 kA (U / (√3 · Z), by hand)."""
    with sample.copy() as db:
        for sql in edits:
            db.execute(sql)
        audit = run(db, load_pack(), today=TODAY)
        rules = {rule.id: rule for rule in audit.rules}
        return audit, {f.identity: f for r in (INTERRUPTS, BRACED) for f in findings_of(db, audit, rules[r])}


def test_what_rests_on_a_doubted_fault_current_is_provisional_and_names_the_doubt(sample):
    audit, _ = audited(sample)
    rule = next(r for r in audit.rules if r.id == INTERRUPTS)
    passed = [t for t in audit.tags_having(Outcome.PASSED, rule) if t.split("-")[1].startswith("2")]
    assert passed
    for tag in passed:
        assert audit.is_provisional(tag, INTERRUPTS)
        assert "line-protection/fault-current-believable at MCC-21" in audit.stand_ins(tag, rule)[-1]
    elsewhere = [t for t in audit.tags_having(Outcome.PASSED, rule) if t.split("-")[1].startswith("1")]
    assert elsewhere and not any(audit.is_provisional(tag, INTERRUPTS) for tag in elsewhere)


def test_a_breaker_between_the_doubted_and_the_safe_fault_current_fails_and_shows_the_safe_one(sample):
    tag = "P-2101"
    edit = SMALL_BREAKER.format(tag)
    audit, found = audited(sample, edit)
    assert audit.outcome(tag, INTERRUPTS) is Outcome.FAILED
    finding = found[INTERRUPTS, tag]
    taken = next(v for v in finding.values if v.column == "fault_current_ka")
    assert 36 < taken.value < 40 and "safe side" in taken.origin
    assert finding.provisional and "judged by" in finding.stand_ins[-1]
    # Without the doubt the same breaker passes.
    believed, _ = audited(sample, edit, "UPDATE bus SET transformer_kva = NULL WHERE bus = 'MCC-21'")
    assert believed.outcome(tag, INTERRUPTS) is Outcome.PASSED


def test_a_lineup_is_judged_on_the_safe_side_too(sample):
    audit, found = audited(sample, "UPDATE bus SET lineup_withstand_ka = 25 WHERE bus = 'MCC-21'")
    assert audit.outcome("MCC-21", BRACED) is Outcome.FAILED
    assert "judged by" in found[BRACED, "bus MCC-21"].stand_ins[-1]


def test_an_audit_of_some_positions_doubts_the_same(sample):
    with sample.copy() as db:
        db.execute(SMALL_BREAKER.format("P-2101"))
        part = run(db, load_pack(), today=TODAY, tags=["P-2101"])
    assert part.outcome("P-2101", INTERRUPTS) is Outcome.FAILED and part.is_provisional("P-2101", INTERRUPTS)
    assert {table.subject for table in part.tables} == {"position"}
