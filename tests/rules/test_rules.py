"""The pack as a whole: every rule loads, keeps its own examples, and would notice being changed."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from register.audit.concession_requests import LONGEST
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Outcome
from register.rulebook.proofs.examples import run_examples, survivors

PACK = load_pack()
RULES = {rule.id: rule for rule in PACK.rules}
EVERY_RULE = pytest.mark.parametrize("rule", PACK.rules, ids=RULES)

# The facts of the trade that the pack is there to carry (common practice), and where each is told.
TOLD_IN = {
    "application/variable-speed-needs-drive": "always ends at line speed",
    "duty/starts-within-device": "internal bypass contactor once the motor is up to speed",
    "duty/starts-within-duty-code": "about as often as one likes",
    "nameplate/complete-for-starting": "The nameplate comes first",
    "bypass/critical-has-bypass": "a soft starter may be the bypass of a drive",
    "bypass/replace-while-running": "changed while the load runs",
    "overload/present": "carry a motor overload of their own",
    "bypass/path-has-overload": "goes round its overload too",
    "line-protection/as-device-maker-requires": "fuse, breaker, or both",
    "sizing/sensing-sees-motor": "does not belong on more than a 2 to 3 hp soft starter",
    "application/fragile-load-eased": "at a quarter horsepower",
    "application/pump-eased": "less current comes along and is not the point",
    "commissioning/connections-verified": "panel closed, nobody near, parameters reviewed",
    "control/local-hand-where-networked": "hardwired, networked, or hand-off-auto",
    "control/voltage-matches-device": "24 V or 120 V",
}


@EVERY_RULE
def test_examples_hold(rule):
    wrong = [result for result in run_examples(rule, PACK) if not result.holds]
    assert wrong == []


@EVERY_RULE
def test_no_change_of_the_rule_goes_unnoticed_by_its_examples(rule):
    assert survivors(rule, PACK) == []


def test_ids_and_titles_are_unique():
    for name in ("id", "title", "title_failed"):
        counts = Counter(getattr(rule, name) for rule in PACK.rules)
        assert [text for text, count in counts.items() if count > 1] == []


@EVERY_RULE
def test_a_title_says_what_is_required_and_the_other_what_is_wrong(rule):
    assert rule.title_at(Outcome.FAILED) == rule.title_failed != rule.title
    assert {rule.title_at(outcome) for outcome in Outcome if outcome != Outcome.FAILED} == {rule.title}
    assert len(rule.title_failed) <= 90 and not rule.title_failed.endswith(".")
    text = rule.path.read_text(encoding="utf-8")
    assert re.match(r"title: .*\ntitle_failed: ", text), "title_failed stands directly below title"


def test_every_limit_is_used():
    text = " ".join(f"{rule.applies} {rule.requires}" for rule in PACK.rules)
    # One limit is not of a rule: how long a concession may last.
    assert set(PACK.limits) - set(re.findall(r":(\w+)", text)) == {LONGEST}


@EVERY_RULE
def test_a_caution_defers_to_local_codes_or_keeps_people_clear(rule):
    if rule.caution:
        assert re.search(r"local codes|licensed|keep .*clear|guard", " ".join(rule.caution.split()), re.IGNORECASE)


@pytest.mark.parametrize("rule", TOLD_IN)
def test_the_facts_of_the_trade_are_told(rule):
    assert TOLD_IN[rule] in " ".join(RULES[rule].why.split())
