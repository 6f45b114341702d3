"""Audited on its day, each plant fails where a fault was seeded and nowhere else."""

from __future__ import annotations

from datetime import date

import numpy as np
from sample_plant import rows, table_files

from register.audit.judge import run
from register.rulebook.model import Outcome

TODAY = date(2026, 11, 25)


def test_tables_are_taken_in_whole(sample):
    assert sample.plan.refused == ()
    assert sample.plan.doubts == ()
    with sample.copy() as db:
        for path in table_files(sample.folder):
            assert db[path.stem].count == len(rows(path)), path.name


def test_every_seeded_fault_is_found_and_nothing_else_is_failed(sample, audit):
    failed = set(audit.failed())
    assert sample.seeded - failed == set(), "seeded, and not failed"
    assert failed - sample.seeded == set(), "failed, and not seeded"


def test_outcomes_of_each_rule_sum_to_the_positions(audit):
    positions = len(audit.verdicts.tags)
    for column, rule in enumerate(audit.verdicts.rules):
        outcomes = audit.verdicts.outcomes[:, column]
        counts = [int(np.sum(outcomes == outcome)) for outcome in Outcome]
        assert sum(counts) == positions, rule.id


# What only a whole lineup, or a tried setting, breaks.
BROKEN_BY_THE_BUS = {
    "start-study/dip-within-limit",
    "start-study/contactor-holds-in",
    "start-study/breaker-rides-through",
}
BROKEN_BY_THE_LOAD = {
    "start-study/failover-accelerates",
    "start-study/torque-margin",
    "start-study/study-class-good-enough",
}


def test_the_demo_plant_breaks_every_rule_once(demo, pack):
    us = {rule.id for rule in pack.rules if rule.practice != "iec" and not rule.trial}
    elsewhere = BROKEN_BY_THE_BUS | BROKEN_BY_THE_LOAD
    assert us - {rule for _, rule in demo.seeded} - elsewhere == set(), "rules without a fault"


def test_a_weak_bus_is_seen_by_every_rule_on_it(demo, pack):
    with demo.copy() as db:
        db.execute(
            "UPDATE bus SET transformer_kva = 112, upstream_fault_mva = 1.0,"
            " main_breaker_instantaneous_a = 300, main_breaker_pickup_a = 60"
            " WHERE bus = 'MCC-51'"
        )
        # What is assumed at the end of a range proves no failure, so the plates of its motors are read.
        db.execute(
            "UPDATE motor SET locked_rotor_ratio = COALESCE(locked_rotor_ratio, 6.5),"
            " breakdown_torque_pct = COALESCE(breakdown_torque_pct, 240)"
            " WHERE tag IN (SELECT tag FROM position WHERE bus = 'MCC-51')"
        )
        failed = set(run(db, pack, today=TODAY).having(Outcome.FAILED)) - demo.seeded
    on_it = {tag for tag in failed if tag[1] in BROKEN_BY_THE_BUS}
    assert {rule for _, rule in on_it} == BROKEN_BY_THE_BUS
    assert {tag for tag, _ in failed} == {tag for tag, _ in failed if tag.split("-")[1][0] == "5"}


def test_a_load_that_is_too_heavy_is_seen(demo, pack):
    with demo.copy() as db:
        db.execute(
            "UPDATE position SET load_breakaway_pct = 130, load_torque_pct = 118,"
            " load_curve = 'constant', start_condition = 'loaded'"
        )
        failed = set(run(db, pack, today=TODAY).having(Outcome.FAILED)) - demo.seeded
        # A motor that only just breaks its load away has little torque left in every shape.
        db.execute(
            "UPDATE position SET load_torque_pct = 40, load_breakaway_pct = (0.80 + 0.02 * (rowid % 8))"
            " * (SELECT locked_rotor_torque_pct FROM motor WHERE motor.tag = position.tag)"
        )
        failed |= set(run(db, pack, today=TODAY).having(Outcome.FAILED)) - demo.seeded
    assert {rule for _, rule in failed} >= BROKEN_BY_THE_LOAD


# A fire pump without overload is failed by other rules.
NEVER_PASSED = {"overload/fire-pump-not-stopped", "line-protection/fire-pump-holds-locked-rotor"}


def test_each_rule_is_passed_somewhere_in_the_demo_plant(sample, audit):
    if sample.folder.name != "demo-plant":
        return
    passed = {rule for _, rule in audit.having(Outcome.PASSED)}
    iec = {rule.id for rule in audit.verdicts.rules if rule.practice == "iec"}
    assert {rule.id for rule in audit.verdicts.rules} - passed - iec - NEVER_PASSED == set()
