"""What is assumed at one end of a range proves in one direction only."""

from __future__ import annotations

import os
import random
from datetime import date

import numpy as np
import pytest
from sample_plant import PLANTS, Sample

from register.audit.bounds import bounded
from register.audit.findings import findings_of, unknowns_of
from register.audit.judge import run
from register.facts.assumptions import load_assumptions, mask_for
from register.facts.base import BASE
from register.facts.build import every_gap
from register.facts.missing import TURNS, typical
from register.facts.whatif import Variant
from register.planning.answers import proof, unanswerable
from register.planning.trials import Trials
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Outcome

TODAY = date(2026, 11, 25)
STALL = "overload/trip-class-guards-stall"
# Of the demo plant; each is judged by every rule, 1 ms. With STARTROLL_EXAMPLES there are 10,000.
FILLS = 10_000 if "STARTROLL_EXAMPLES" in os.environ else 1_500


@pytest.fixture(scope="module", params=PLANTS)
def sample(request, tmp_path_factory):
    return Sample(request.param, tmp_path_factory.mktemp(request.param))


def everywhere(db, pack):
    return Trials(db, [tag for (tag,) in db.execute("SELECT tag FROM position")], pack=pack, today=TODAY)


def test_every_question_has_an_answer(demo):
    """Filled as asked, each verdict that can't be told is decided, or names a field that is blank and new."""
    with demo.copy() as db:
        count, found = unanswerable(everywhere(db, load_pack()))
    assert count > 100 and [str(one) for one in found] == []


def test_so_has_every_one_at_the_small_plant_and_a_planted_rule_that_asks_a_void_field_is_caught():
    made = proof(load_pack(), 1, 1)
    count = int(made.tried.partition(" questions at 25 positions")[0])
    assert count > 100
    assert made.faults == () and "planted at" in made.notes[0] and "is filled" in made.notes[0]


def test_a_failure_on_the_least_stall_time_of_the_standard_is_not_one(tmp_path):
    """A motor withstands 12 s or more (NEMA MG 1, 12.49; from memory): 64 s of a relay may still be within."""
    pack = load_pack()
    with Sample("demo-plant", tmp_path).copy() as db:
        db.execute("UPDATE motor SET hot_stall_s = NULL WHERE tag = 'P-2130'")
        audit = run(db, pack, today=TODAY)
        rule = pack.rule(STALL)
        assert audit.outcome("P-2130", STALL) is Outcome.CANT_TELL and not audit.is_provisional("P-2130", STALL)
        told = {u.tag: u.fields for u in unknowns_of(db, audit, rule, every_gap(db))}
        assert told["P-2130"] == ("hot_stall_s",)
        assert "P-2130" not in {f.tag for f in findings_of(db, audit, rule)}
        # What passes on that bound passes on every longer one.
        assert any(audit.is_provisional(tag, STALL) for tag in audit.tags_having(Outcome.PASSED, rule))
        db.execute("UPDATE motor SET hot_stall_s = 12 WHERE tag = 'P-2130'")
        assert run(db, pack, today=TODAY).outcome("P-2130", STALL) is Outcome.FAILED


def test_no_random_fill_flips_a_firm_verdict_nor_a_failure_on_bounds(sample):
    """Random fills of blanks: of bounds by what they leave open, of all else by typical values."""
    chance, pack = random.Random(12), load_pack()
    with sample.copy() as db:
        trials = everywhere(db, pack)
        now, tags = trials.now, list(trials.base)
        variants = []
        for _ in range(FILLS if sample.folder.name == "demo-plant" else 500):
            tag = chance.choice(tags)
            variants.append(Variant(tag, _filled(trials, tag, chance)))
        after = trials.judge(variants)
    row_of = {v.tag: row for row, v in enumerate(now.variants)}
    rows = np.array([row_of[v.tag] for v in variants])
    before, provisional = now.verdicts.outcomes[rows], now.verdicts.provisional[rows]
    deliberate = np.array([bool(r.unknown_is_deliberate) for r in now.verdicts.rules])
    outside = np.array([bool(r.outside) for r in now.verdicts.rules])
    taken_back = outside & (after.verdicts.outcomes == Outcome.INAPPLICABLE)
    # A failure on nothing but bounds was tried at their other ends, and must hold for every value between.
    typical_ones = [a for a in trials.assumptions if a.bound == "typical"]
    masks = np.array([mask_for(rule.columns, typical_ones) for rule in now.verdicts.rules], np.int64)
    on_bounds = (before == Outcome.FAILED) & ((now.verdicts.stand_ins[rows][:, None] & masks) == 0)
    judged = (before == Outcome.PASSED) | (before == Outcome.FAILED)
    flipped = judged & (~provisional | on_bounds) & ~deliberate & ~taken_back & (after.verdicts.outcomes != before)
    found = [(variants[r].tag, now.verdicts.rules[c].id, variants[r].changes) for r, c in np.argwhere(flipped)[:5]]
    assert found == []


def _filled(trials, tag, chance):
    """Some blanks of a position with values that they may turn out to have."""
    bounds = {a.column: a for a in trials.assumptions if a.bound != "typical"}
    changes = {}
    for name in chance.sample([n for n, v in trials.base[tag].items() if v is None and n in BASE], k=3):
        column = BASE[name]
        if column.references or name in ("motor", "device", "model"):
            continue
        value = typical(column)[chance.randrange(TURNS)]
        bound = bounds.get(name)
        if bound is not None and isinstance(bound.value, float):
            low, high = sorted((bound.value, float(bound.other_end)))
            value = chance.uniform(low, high)
        changes[name] = value
    return changes


def test_each_bound_of_the_program_is_read_by_some_rule():
    pack = load_pack()
    declared = [a for a in load_assumptions(pack.folder / "assumptions.yml") if a.bound != "typical"]
    assert {a.column for a in declared} >= {"hot_stall_s", "locked_rotor_torque_pct", "breakdown_torque_pct"}
    for one in declared:
        assert any(bounded(rule, [one]) for rule in pack.rules), one.column
