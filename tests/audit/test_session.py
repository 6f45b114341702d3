"""An audit of a register's file: kept verdict by verdict, honest about assumed values, exit codes."""

import json
import os
from datetime import date

import pytest
from by_path import explained, of_register

from register.audit.findings import findings, opened_verdict, unknowns
from register.audit.judge import run
from register.audit.outline import exit_code
from register.errors import StartrollError
from register.rulebook.load.pack import load_pack
from register.store.database import create, opened, writing

TODAY = date(2026, 11, 25)
SITE = {
    "site": "Oldmarrow Works",
    "practice": "us",
    "site_frequency_hz": 60.0,
    "site_ambient_c": 44.0,
    "site_altitude_m": 200.0,
}


@pytest.fixture
def path(tmp_path):
    made = tmp_path / "plant.db"
    create(made, SITE)
    with opened(made, write=True) as db, writing(db, reason="walk", author="rk"):
        for sql in (
            "INSERT INTO position (tag, criticality, standby) VALUES ('P-1', 'critical', 'none')",
            "INSERT INTO position (tag, criticality) VALUES ('P-2', 'ordinary')",
            "INSERT INTO bypass (tag, bypass_arrangement) VALUES ('P-1', 'internal only')",
            "INSERT INTO motor (motor, tag, fla_a) VALUES ('M1', 'P-1', 65)",
            "INSERT INTO model (model, device_kind, rated_current_a, derate_pct_per_c,"
            " derate_pct_per_100m) VALUES ('X', 'soft starter', 66, 1, 1)",
            "INSERT INTO device (device, model, tag) VALUES ('D1', 'X', 'P-1')",
        ):
            db.conn.execute(sql)
    return made


def test_a_verdict_on_a_stand_in_is_provisional_and_says_what_was_assumed(path):
    # 66 A · (1 − 4 K · 1 %/K) = 63.36 A < 65 A, by arithmetic, with 40 °C and 1000 m assumed.
    verdict = explained(path, "P-1", "sizing/current-covers-motor", today=TODAY)
    assert verdict.outcome == "failed" and verdict.provisional
    assert verdict.margin == pytest.approx(63.36 - 65)
    origins = {value.column: value.origin for value in verdict.values}
    assert "computed from" in origins["derated_current_a"]
    assert any("site's highest usual ambient" in text for text in verdict.stand_ins)


def test_measured_only_leaves_that_open_and_names_the_field(path):
    verdict = explained(path, "P-1", "sizing/current-covers-motor", today=TODAY, measured_only=True)
    assert verdict.outcome == "cant-tell" and not verdict.provisional
    assert "ambient_c" in verdict.to_read


def test_every_cant_tell_leads_to_a_field_that_is_entered(path):
    with opened(path, write=True) as db:
        audit = run(db, load_pack(), today=TODAY)
        open_ones = unknowns(db, audit)
    assert open_ones and all(one.fields for one in open_ones)


def test_a_kept_audit_has_every_verdict_and_every_finding(path):
    made = of_register(path, today=TODAY, keep_as="rk")
    with opened(path) as db:
        kept = list(db.query("SELECT * FROM verdict ORDER BY tag"))
        head = next(db["audit"].rows)
        found = {(r["tag"], r["rule"]) for r in db["finding"].rows}
    rules = json.loads(head["rules"])
    assert [len(row["outcomes"]) for row in kept] == [len(rules)] * 2
    letters = "".join(row["outcomes"] for row in kept)
    assert letters.count("F") == sum(g["failed"] for g in made.grades.values())
    assert letters.count("?") == sum(g["cant-tell"] for g in made.grades.values())
    assert found == {(f.tag, f.rule) for f in made.findings}


def test_findings_tell_the_same_as_the_verdict_opened(path):
    with opened(path, write=True) as db:
        audit = run(db, load_pack(), today=TODAY)
        for finding in findings(db, audit):
            again = opened_verdict(db, audit, finding.tag, finding.rule)
            assert again.sentence == finding.sentence and again.clauses == finding.clauses


def test_exit_codes(path):
    report = of_register(path, today=TODAY)
    assert exit_code(report, grade="observation", allow_unknown_pct=None) == 1
    with pytest.raises(StartrollError, match="not a grade"):
        exit_code(report, grade="grave", allow_unknown_pct=None)


def test_a_register_that_cannot_be_written_is_audited_all_the_same(path, monkeypatch):
    whole = of_register(path, today=TODAY)
    monkeypatch.setattr(os, "access", lambda *_: False)
    assert of_register(path, today=TODAY).grades == whole.grades


def test_an_unknown_rule_or_tag_is_said_with_the_nearest(path):
    with pytest.raises(StartrollError, match="did you mean bypass/critical-has-bypass"):
        explained(path, "P-1", "bypass/critical-has-way-around", today=TODAY)
    with pytest.raises(StartrollError, match="no position"):
        explained(path, "Q-9", "bypass/critical-has-bypass", today=TODAY)
