"""A rule tried before it counts, rules on trial in an audit, two versions of a pack compared."""

import json
import shutil
from datetime import date

import pytest
from by_path import compare_packs, explained, of_register, try_rule

from register.audit.outline import exit_code
from register.errors import RuleError
from register.resources import rules_folder
from register.store.database import create, opened, writing

TODAY = date(2026, 11, 25)
RULE = """\
title: The full-load current is at most what this site wires for
title_failed: The full-load current is above what this site wires for
grade: major
practice: any
requires: fla_a <= 50
margin: 50 - fla_a
finding: "{fla_a}"
why: A habit.
action: Ask.
basis: ["the site's own habit"]
examples:
  - {is: passed,    fla_a: 50}
  - {is: failed,    fla_a: 50.5}
  - {is: cant-tell, fla_a: null}
"""
WITHSTAND = "sizing/current-covers-motor"


@pytest.fixture
def path(tmp_path):
    made = tmp_path / "plant.db"
    create(made, {"site": "Oldmarrow Works", "practice": "us"})
    with opened(made, write=True) as db, writing(db, reason="walk", author="rk"):
        db.conn.execute("INSERT INTO bus (bus, fault_current_ka, lineup_withstand_ka) VALUES ('MCC-1', 42, 30)")
        for tag, amps in (("P-1", 65), ("P-2", 40), ("P-3", None)):
            db.conn.execute("INSERT INTO position (tag, bus) VALUES (?, 'MCC-1')", [tag])
            db.conn.execute("INSERT INTO motor (motor, tag, fla_a) VALUES (?, ?, ?)", [f"M{tag}", tag, amps])
    return made


@pytest.fixture
def site(tmp_path):
    folder = tmp_path / "site" / "own"
    folder.mkdir(parents=True)
    (folder / "current-small.yml").write_text(RULE, encoding="utf-8")
    return folder.parent


def test_a_rule_is_tried_and_says_what_it_would_find_and_need(path, site):
    before = path.read_bytes()
    tried = try_rule(path, site / "own/current-small.yml", today=TODAY)
    # 65 A is above 50 A, 40 A is not, the third is unknown.
    assert tried.count.counts == {"failed": 1, "passed": 1, "cant-tell": 1, "inapplicable": 0}
    assert [f.tag for f in tried.findings] == ["P-1"]
    assert [(f.column, f.tags) for f in tried.fields] == [("fla_a", ("P-3",))]
    assert not tried.replaces and tried.wrong == ()
    assert path.read_bytes() == before


def test_an_edited_rule_is_tried_against_the_one_in_force(path, tmp_path):
    edited = tmp_path / "line-protection" / "lineup-withstands-fault.yml"
    edited.parent.mkdir()
    text = (rules_folder() / "line-protection/lineup-withstands-fault.yml").read_text()
    edited.write_text(text.replace("requires: lineup_withstand_ka", "requires: 2 * lineup_withstand_ka"))
    tried = try_rule(path, edited, today=TODAY)
    assert tried.replaces
    assert [(m.before, m.after, m.tags) for m in tried.moves] == [("failed", "passed", ("MCC-1",))]
    assert len(tried.wrong) == 1  # 2 · 41.75 kA is above 42 kA, and the example says failed


def test_a_rule_on_trial_is_judged_and_counts_nowhere(path, site):
    without = of_register(path, today=TODAY)
    report = of_register(path, today=TODAY, site_rules=site)
    assert report.grades == without.grades and report.scope.rules == without.scope.rules
    # Some of the program's own rules are on trial too; the site's is the one that came to them.
    (trial,) = (r for r in report.on_trial if r not in without.on_trial)
    assert len(report.on_trial) == len(without.on_trial) + 1
    assert (trial.rule, trial.counts["failed"]) == ("own/current-small", 1)
    opened_one = explained(path, "P-1", "own/current-small", today=TODAY, site_rules=site)
    assert opened_one.on_trial and opened_one.outcome == "failed"


def test_it_counts_from_the_day_on_which_the_site_takes_it_in(path, site):
    line = "- {rule: own/current-small, reason: tried, by: A. Planner, on: 2026-11-25}\n"
    (site / "taken-in.yml").write_text(line, encoding="utf-8")
    early = of_register(path, today=date(2026, 11, 24), site_rules=site)
    report = of_register(path, today=TODAY, site_rules=site)
    assert {r.rule for r in early.on_trial} - {r.rule for r in report.on_trial} == {"own/current-small"}
    assert report.scope.rules == early.scope.rules + 1
    assert report.grades["major"]["failed"] == early.grades["major"]["failed"] + 1
    assert exit_code(report, grade="major", allow_unknown_pct=None) == 1


@pytest.fixture
def newer(tmp_path):
    """The program's own rules, a little older, and a copy of them that has moved on."""
    old, new = (shutil.copytree(rules_folder(), tmp_path / name) for name in ("old", "new"))
    path = new / "line-protection/lineup-withstands-fault.yml"
    text = path.read_text().replace("requires: lineup", "requires: 2 * lineup")
    path.write_text(text.replace("failed,    lineup_withstand_ka: 41.75", "failed,    lineup_withstand_ka: 20"))
    (new / "own").mkdir()
    (new / "own/current-small.yml").write_text(RULE, encoding="utf-8")
    return old, new


def test_every_verdict_that_moves_is_told_and_a_lost_finding_must_be_accepted(path, newer, tmp_path):
    old, new = newer
    found = compare_packs(path, old, new, today=TODAY)
    assert [(m.rule, m.before, m.after, m.tags) for m in found.moves] == [
        ("line-protection/lineup-withstands-fault", "failed", "passed", ("MCC-1",))
    ]
    assert found.unaccepted == found.moves
    assert [(c.rule, c.counts["failed"]) for c in found.added] == [("own/current-small", 1)]
    lines = tmp_path / "accepted.yml"
    lines.write_text(
        "- {rule: line-protection/lineup-withstands-fault, reason: bracing was tested,"
        " by: A. Planner, on: 2026-11-20}\n"
    )
    found = compare_packs(path, old, new, today=TODAY, accepted=lines)
    assert found.unaccepted == () and len(found.moves) == 1
    lines.write_text("- {rule: line-protection/lineup, reason: r, by: b, on: 2026-11-20}\n")
    with pytest.raises(RuleError, match="there is no rule 'line-protection/lineup'"):
        compare_packs(path, old, new, today=TODAY, accepted=lines)


def test_the_findings_of_a_rule_that_is_gone_are_lost_too(path, newer):
    new, old = newer
    found = compare_packs(path, old, new, today=TODAY)
    moves = {(m.rule, m.before, m.after) for m in found.moves}
    assert ("own/current-small", "failed", "gone") in moves
    assert ("line-protection/lineup-withstands-fault", "passed", "failed") in moves
    assert {m.rule for m in found.unaccepted} == {"own/current-small"}


def test_the_same_pack_moves_nothing(path):
    found = compare_packs(path, rules_folder(), today=TODAY)
    assert found.moves == () and found.added == ()


def test_a_kept_audit_has_a_letter_for_each_rule_at_each_place(path):
    made = of_register(path, today=TODAY, keep_as="rk")
    with opened(path) as db:
        head = next(db["audit"].rows)
        kept = {row["tag"]: row["outcomes"] for row in db["verdict"].rows}
    rules = json.loads(head["rules"])
    assert set(kept) == {"P-1", "P-2", "P-3", "bus MCC-1"}
    assert {len(letters) for letters in kept.values()} == {len(rules)}
    at = rules.index("line-protection/lineup-withstands-fault")
    assert kept["bus MCC-1"][at] == "F" and kept["P-1"][at] == "."
    asked = sum(letters.count(c) for letters in kept.values() for c in "PF?-")
    assert asked == made.scope.verdicts


LONG = RULE.replace("fla_a", "cable_length_m")


def test_a_rule_may_refuse_to_judge_a_stand_in(path, site):
    # A cable that nobody has measured counts as 0 m in a start study; here it must stay unknown.
    file = site / "own/cable-long.yml"
    file.write_text(LONG, encoding="utf-8")
    trusting = try_rule(path, file, today=TODAY)
    assert (trusting.count.counts["passed"], trusting.count.provisional) == (3, 3)
    file.write_text(LONG + "measured_only: true\n", encoding="utf-8")
    strict = try_rule(path, file, today=TODAY)
    assert (strict.count.counts["cant-tell"], strict.count.provisional) == (3, 0)
    assert [(f.column, f.tags) for f in strict.fields] == [("cable_length_m", ("P-1", "P-2", "P-3"))]
