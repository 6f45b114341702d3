"""Audited on its day, each plant fails where a fault was seeded and nowhere else."""

from __future__ import annotations

import numpy as np
from sample_plant import rows, table_files

from register.rulebook.model import Outcome


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


def test_the_demo_plant_breaks_every_rule_once(demo, pack):
    us = {rule.id for rule in pack.rules if rule.practice != "iec"}
    assert us - {rule for _, rule in demo.seeded} == set(), "rules without a seeded fault"


def test_each_rule_is_passed_somewhere_in_the_demo_plant(sample, audit):
    if sample.folder.name != "demo-plant":
        return
    passed = {rule for _, rule in audit.having(Outcome.PASSED)}
    iec = {rule.id for rule in audit.verdicts.rules if rule.practice == "iec"}
    assert {rule.id for rule in audit.verdicts.rules} - passed - iec == set()
