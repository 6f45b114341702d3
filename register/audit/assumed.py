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
    decided = verdicts.outcomes < Outcome.CANT_TELL
    # That a rule does not apply is decided by the columns of its conditions alone.
    left_out = verdicts.outcomes == Outcome.INAPPLICABLE
    provisional = decided & _used(verdicts, assumptions, [rule.columns for rule in verdicts.rules])
    provisional |= left_out & _used(
        verdicts, assumptions, [rule.applies_columns + rule.outside_columns for rule in verdicts.rules]
    )
    return replace(verdicts, provisional=provisional)


def _used(verdicts: Verdicts, assumptions: tuple[Assumption, ...], read: list[tuple[str, ...]]) -> np.ndarray:
    """Where one of the columns read, by rule, is based on an assumed value."""
    masks = np.array([mask_for(names, assumptions) for names in read], np.int64)
    return (verdicts.stand_ins[:, None] & masks[None, :]) != 0


def _leave_open(verdicts: Verdicts, assumptions: tuple[Assumption, ...]) -> None:
    """Where a rule would judge an assumed value by what it is assumed from, it is unknown."""
    for column, rule in enumerate(verdicts.rules):
        mask = sum(1 << assumption.bit for assumption in not_to_judge(rule, assumptions))
        outcomes = verdicts.outcomes[:, column]
        outcomes[((verdicts.stand_ins & mask) != 0) & (outcomes < Outcome.CANT_TELL)] = Outcome.CANT_TELL


def not_to_judge(rule: Rule, assumptions: Iterable[Assumption]) -> list[Assumption]:
    """The assumed values that a rule may not use."""
    return [a for a in assumptions if rule.id in a.not_for or (rule.measured_only and mask_for(rule.columns, [a]))]
