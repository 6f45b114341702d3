"""The smallest set of changes after which all is met: all of one, then of two, then of three.

What makes it exact and quick at once: a rule comes out by those changes alone that lie behind what
it reads. A set is therefore tried only where no part of it is known to spoil a rule, or to leave
unmet one that the rest of the set does not affect.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations, product
from typing import Any

import numpy as np

from register.facts.assumptions import Assumption
from register.planning.replace.dependent_rules import behind
from register.planning.settings.adjustable import ACTS_IN, Change
from register.rulebook.model import Outcome, Rule

MOST_CHANGES = 3
# Sets of one size that are tried at a position; beyond, those that change least.
MOST_SETS = 4000
MET = (Outcome.PASSED, Outcome.INAPPLICABLE)

# For each of some sets of values, the outcome of each rule.
Judge = Callable[[Sequence[Mapping[str, Any]]], np.ndarray]


def bearing(rules: Sequence[Rule], assumptions: Sequence[Assumption]) -> tuple[frozenset, ...]:
    """For each rule, the entered columns that can turn its outcome, by way of assumed values too."""
    return tuple(behind(rule.columns, tuple(assumptions))[0] for rule in rules)


@dataclass
class Search:
    """The search at one position, among changes that have to do with one another.

    `judge` gives the outcomes of those `rules`, by number, that the `options` affect; `before`
    are the outcomes as things stand, `goals` marks the rules that are to be met, `bears` names for
    each the columns that affect it, `facts` are those of the position.
    """

    judge: Judge
    rules: np.ndarray
    before: np.ndarray
    goals: np.ndarray
    bears: Sequence[frozenset[str]]
    options: Sequence[Change]
    facts: Mapping[str, Any]
    known: dict[frozenset[Change], np.ndarray] = field(default_factory=dict)
    cut: bool = False

    def least(self, options: Sequence[Change]) -> frozenset[Change] | None:
        """The smallest set of these changes that meets every goal and spoils nothing."""
        for size in range(1, MOST_CHANGES + 1):
            self._try([s for s in self._sets(options, size) if s not in self.known])
            solving = [s for s in self.known if len(s) == size and self.met(s).all()]
            solving = [s for s in solving if set(options) >= s]
            if solving:
                return min(solving, key=_order)
        return None

    def best(self) -> frozenset[Change]:
        """The least set by settings alone; where there is none, with hardware; else the nearest."""
        dials = [change for change in self.options if not change.hardware]
        found = self.least(dials)
        if found is None and len(dials) < len(self.options):
            found = self.least(self.options)
        return self._nearest() if found is None else found

    def _nearest(self) -> frozenset[Change]:
        """Of the sets tried that spoil nothing, the least of those that meet most goals.

        An overload is not loosened where something grave is left.
        """
        best, left = frozenset(), self.goals
        tight = (own for own in self.known if not any(change.loosens for change in own))
        for own in sorted(tight, key=_order):
            met = self.met(own)
            if met[~self.goals].all() and (self.goals & ~met).sum() < left.sum():
                best, left = own, self.goals & ~met
        return best

    def met(self, own: frozenset[Change]) -> np.ndarray:
        """Whether each rule is met by a set, or is at least no worse than it was.

        A rule that did not apply before, as to a start that never came up to speed, may be left
        open; one that was met may not.
        """
        now, before = self.known[own], self.before
        opened = (before == Outcome.INAPPLICABLE) & (now == Outcome.CANT_TELL)
        return np.isin(now, MET) | (~self.goals & ((now == before) | opened))

    def _try(self, sets: list[frozenset[Change]]) -> None:
        if len(sets) > MOST_SETS:
            self.cut = True
            sets = sorted(sets, key=_order)[:MOST_SETS]
        if sets:
            judged = self.judge([{c.column: c.value for c in own} for own in sets])
            self.known |= dict(zip(sets, judged, strict=True))

    def _sets(self, options: Sequence[Change], size: int) -> Iterator[frozenset[Change]]:
        by_column: dict[str, list[Change]] = {}
        for change in options:
            by_column.setdefault(change.column, []).append(change)
        for chosen in combinations(by_column, size):
            parts = self._parts(chosen)
            if parts is None:
                continue
            for own in product(*(by_column[name] for name in chosen)):
                if self._has_a_say(own) and self._may_do(own, parts):
                    yield frozenset(own)

    def _parts(self, chosen: tuple[str, ...]) -> dict[tuple[int, ...], np.ndarray] | None:
        """The rules by which of these columns affect them; None where a goal is left alone.

        Single changes are all tried: of those one may come near, though it is not enough.
        """
        parts: dict[tuple[int, ...], list[int]] = {}
        for rule, bears in enumerate(self.bears):
            own = tuple(i for i, name in enumerate(chosen) if name in bears)
            if not own and self.goals[rule] and len(chosen) > 1:
                return None
            parts.setdefault(own, []).append(rule)
        return {own: np.array(rules) for own, rules in parts.items() if 0 < len(own) < len(chosen)}

    def _may_do(self, own: tuple[Change, ...], parts: Mapping[tuple[int, ...], np.ndarray]) -> bool:
        for places, rules in parts.items():
            part = frozenset(own[i] for i in places)
            if part in self.known and not self.met(part)[rules].all():
                return False
        return True

    def _has_a_say(self, own: tuple[Change, ...]) -> bool:
        """Whether no change of the set is idle in the start mode that the set leaves."""
        if self.facts["device_kind"] != "soft starter":
            return True
        mode = next((c.value for c in own if c.column == "start_mode"), self.facts["start_mode"])
        return all(mode in ACTS_IN.get(c.column, (mode,)) for c in own)


def _order(own: frozenset[Change]) -> tuple:
    """Fewest changes, then the smallest, then by name, so that the answer is always the same."""
    hardware = sum(c.hardware for c in own)
    return len(own), hardware, sum(c.size for c in own), sorted(map(str, own))
