"""What is based on assumed values: provisional, or left open where a rule may not judge by one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from register.facts.assumptions import Assumption, mask_for
from register.rulebook.model import Outcome, Rule, Verdicts


def judged(verdicts: Verdicts, assumptions: tuple[Assumption, ...]) -> Verdicts:
    """The verdicts with what is based on assumed values marked, or left open."""
    _leave_open(verdicts, assumptions)
    masks = np.array([mask_for(rule.columns, assumptions) for rule in verdicts.rules], np.int64)
    decided = (verdicts.outcomes == Outcome.PASSED) | (verdicts.outcomes == Outcome.FAILED)
    provisional = decided & ((verdicts.stand_ins[:, None] & masks[None, :]) != 0)
    return replace(verdicts, provisional=provisional)


def _leave_open(verdicts: Verdicts, assumptions: tuple[Assumption, ...]) -> None:
    """Where a rule would judge an assumed value by what it is assumed from, it is unknown."""
    for column, rule in enumerate(verdicts.rules):
        mask = sum(1 << assumption.bit for assumption in not_to_judge(rule, assumptions))
        outcomes = verdicts.outcomes[:, column]
        outcomes[((verdicts.stand_ins & mask) != 0) & (outcomes < Outcome.CANT_TELL)] = Outcome.CANT_TELL


def not_to_judge(rule: Rule, assumptions: Iterable[Assumption]) -> list[Assumption]:
    """The assumed values that a rule may not use."""
    return [a for a in assumptions if rule.id in a.not_for or (rule.measured_only and mask_for(rule.columns, [a]))]
