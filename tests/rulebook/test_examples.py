"""Examples are run, weak ones are found out, and rules that hide the unknown are caught."""

from __future__ import annotations

import sqlite3
from dataclasses import replace

import pytest

from register.rulebook.load.pack import load_pack
from register.rulebook.model import Example, Outcome
from register.rulebook.pages import pages
from register.rulebook.proofs.examples import all_survivors, failing_examples, run_examples, survivors
from register.rulebook.proofs.monotone import monotone
from register.rulebook.proofs.mutants import mutants


def memory():
    return sqlite3.connect(":memory:")


def without(rule, number):
    return replace(rule, examples=rule.examples[:number] + rule.examples[number + 1 :])


def test_examples_of_the_small_pack_hold(small):
    assert failing_examples(small) == []
    results = run_examples(small.rule("overload/not-oversized"), small)
    assert [result.outcome.word for result in results] == [
        "passed",
        "failed",
        "failed",
        "passed",
        "cant-tell",
        "passed",
    ]


def test_an_example_that_does_not_hold_says_what_it_is(small):
    rule = small.rule("overload/set-within")
    wrong = replace(rule.examples[0], outcome=Outcome.PASSED)
    (result, *others) = run_examples(replace(rule, examples=(wrong, *rule.examples[1:])), small)
    assert not result.holds
    assert all(other.holds for other in others)
    assert str(result).endswith("set-within.yml:13:5  overload/set-within: this example is failed, but says passed")


def test_an_example_may_set_a_limit(small):
    rule = small.rule("duty/tested")
    row = {"bypass_test_on": "2025-06-01", ":today": "2025-06-11"}
    at_ten, at_nine = (Example(Outcome.PASSED, row | {":test_age_days": days}) for days in (10, 9))
    results = run_examples(replace(rule, examples=(at_ten, at_nine)), small)
    assert [result.outcome for result in results] == [Outcome.PASSED, Outcome.FAILED]


def test_strong_examples_leave_no_survivor(small):
    count, left = all_survivors(small)
    assert left == []
    assert count > 15


@pytest.mark.parametrize(
    ("rule", "number", "change"),
    [
        # Without the case at the boundary nobody notices <= made <.
        ("overload/set-within", 1, "overload_set_a < overload_set_max_a"),
        ("overload/not-oversized", 0, "size_ratio < :oversize_ratio"),
        # Without the case just above it, the limit could be raised.
        ("duty/tested", 1, ":test_age_days * 1.1"),
        # Without the other practice, the practice is not proved.
        ("overload/set-within", 4, "practice = 'us' is left out"),
    ],
)
def test_a_missing_example_is_noticed(small, rule, number, change):
    weak = without(small.rule(rule), number)
    assert any(change in str(mutant) for mutant in survivors(weak, small))


def test_a_word_of_a_list_without_example_is_noticed(small):
    rule = small.rule("overload/not-oversized")
    kept = tuple(e for e in rule.examples if e.row["device_kind"] != "drive")
    changes = [mutant.change for mutant in survivors(replace(rule, examples=kept), small)]
    assert changes == ["requires: 'drive' is left out"]


def test_mutants_cover_every_way(small):
    rule = replace(
        small.rule("overload/set-within"),
        practice="any",
        applies="device_kind IN ('drive', 'soft starter') AND NOT fla_a BETWEEN 1 AND 5",
        requires="abs(fla_a - fla_set_a) > :oversize_ratio OR poles = 4",
    )
    changes = {mutant.change.split(": ", 1)[1] for mutant in mutants(rule)}
    wanted = {
        "'drive' is left out",
        "'soft starter' is left out",
        "poles = 4 is left out",
        "poles = 4 becomes poles <> 4",
        "abs(fla_a - fla_set_a) becomes fla_a - fla_set_a",
        ":oversize_ratio becomes (:oversize_ratio * 0.9)",
        "5 becomes 5.5",
        "1 becomes 0.9",
        "abs(fla_a - fla_set_a) > :oversize_ratio becomes abs(fla_a - fla_set_a) >= :oversize_ratio",
        "abs(fla_a - fla_set_a) > :oversize_ratio becomes abs(fla_a - fla_set_a) < :oversize_ratio",
    }
    assert wanted <= changes
    assert not any(change.startswith("4 becomes") for change in changes)


@pytest.mark.parametrize(
    "requires",
    [
        "coalesce(overload_set_a, 0) <= overload_set_max_a",
        "overload_set_a IS NULL OR overload_set_a <= overload_set_max_a",
        "CASE WHEN overload_set_a > overload_set_max_a THEN 0 ELSE 1 END = 1",
        "(overload_set_a > overload_set_max_a) IS NOT TRUE",
    ],
)
def test_a_planted_rule_that_hides_the_unknown_flips(small, requires):
    rule = replace(small.rule("overload/set-within"), requires=requires)
    flips = monotone(replace(small, rules=(rule,)), memory, trials=400, seed=1)
    assert flips
    assert flips[0].before is not Outcome.CANT_TELL
    assert "becomes" in str(flips[0])
    deliberate = replace(rule, unknown_is_deliberate="it is")
    assert monotone(replace(small, rules=(deliberate,)), memory, trials=400, seed=1) == []


def test_sound_rules_never_flip(sited):
    assert monotone(sited, memory, trials=1000, seed=2) == []


def test_every_rule_has_a_page_and_the_index_names_it(small):
    made = pages(small)
    assert sorted(made) == [
        "rules/duty/tested.md",
        "rules/index.md",
        "rules/overload/not-oversized.md",
        "rules/overload/set-within.md",
    ]
    index = made["rules/index.md"]
    assert "3 rules: 1 major, 1 minor, 1 observation." in index
    assert "[overload/set-within](overload/set-within.md)" in index
    assert "| `test_age_days` | 366 days | age up to which a test counts | common practice |" in index
    page = made["rules/overload/set-within.md"]
    for text in (
        "# The overload is set within",
        "major, where the practice is us",
        "```sql\noverload_set_a <= overload_set_max_a\n```",
        "The winding burns.",
        "- NFPA 70-2023, 430.32(A)(1)",
        "| `overload_set_a` | setting of the overload",
        "| cant-tell | us | device | unknown | 81.25 |",
    ):
        assert text in page


def test_the_rules_that_come_with_the_program_never_flip():
    assert monotone(load_pack(), memory, trials=1500, seed=3) == []
