"""The least that has to be set otherwise at a position so that its failed majors are met."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np

from register.facts.whatif import Variant
from register.planning.replace.dependent_rules import SETTING, entered_columns
from register.planning.settings.adjustable import Change, changes
from register.planning.settings.least_sets import MET, Search
from register.planning.settings.settings import NEEDS, chosen
from register.planning.trials import Trials
from register.rulebook.model import Grade, Outcome, Rule
from register.starts.words import not_a_cage

STARTS = "start-study/"


@dataclass(frozen=True)
class LeastChange:
    """The changes to make at a position, and the audit's forecast once they are made.

    `beyond` are failed majors that depend on no setting; `leaves` those that do, and that no set of
    changes tried meets. `opens` are majors that did not apply before and are unknown then,
    `to_read` the blanks behind them. `brings` are rules below major that the changes fail,
    `corrects` those that they meet. `cut` is true where not every set of so many changes could be
    tried. `before` and `forecast` are the outcome of every rule, in words, now and then. `by_hand` says why
    no setting is sought by the study of a start; empty where one is.
    """

    tag: str
    failed: tuple[str, ...]
    beyond: tuple[str, ...]
    changes: tuple[Change, ...]
    leaves: tuple[str, ...]
    opens: tuple[str, ...]
    brings: tuple[str, ...]
    corrects: tuple[str, ...]
    tried: int
    cut: bool
    before: Mapping[str, str]
    forecast: Mapping[str, str]
    to_read: tuple[str, ...] = ()
    by_hand: str = ""

    @property
    def clears(self) -> tuple[str, ...]:
        """The failed majors that are met after the changes."""
        return tuple(r for r in self.failed if r not in (*self.beyond, *self.leaves))


def least_change(trials: Trials, tag: str, *, options: Sequence[Change] | None = None) -> LeastChange:
    """The smallest set of changes after which a position fails no major that depends on a setting.

    Parameters
    ----------
    trials : of an open register, with the position among its tags.
    options : the changes to choose from; without, everything that can be set there.
    """
    at = _Position(trials, tag)
    before = at.outcomes([{}], at.rules)[0]
    if not (at.major & (before == Outcome.FAILED)).any():
        return at.result(before, before, [], [])
    facts = at.facts()
    searches = list(at.searches(before, facts, at.options(facts) if options is None else options))
    found = [change for search in searches for change in search.best()]
    now = at.outcomes([_values(found)], at.rules)[0] if found else before
    made = at.result(before, now, found, searches)
    if not made.opens:
        return made
    fields = trials.to_read(at.variant(_values(made.changes)), made.opens).values()
    return replace(made, to_read=tuple(dict.fromkeys(name for names in fields for name in names)))


class _Position:
    """A position at which changes are tried; `reads` are the entered columns behind each rule."""

    def __init__(self, trials: Trials, tag: str) -> None:
        self.trials, self.tag, self.rules = trials, tag, trials.pack.rules
        self.major = np.array([rule.grade == Grade.MAJOR for rule in self.rules])
        self.reads = entered_columns(self.rules, trials.assumptions)

    def facts(self) -> dict[str, Any]:
        """The facts as they are; None where unknown."""
        lists, _ = self.trials.facts([Variant(self.tag)])
        return {name: None if values[0] != values[0] else values[0] for name, values in lists.items()}

    def options(self, facts: Mapping[str, Any]) -> Sequence[Change]:
        """Everything that can be set, what the sheet says among it."""
        sheet = chosen({name: [facts[name]] for name in NEEDS}, pack=self.trials.pack).at(0)
        return changes(facts, self.trials.pack, sheet)

    def variant(self, values: Mapping[str, Any]) -> Variant:
        """The position with values; settings where nobody had read any are read today."""
        first = not SETTING.isdisjoint(values) and self.trials.base[self.tag]["setting_recorded_on"] is None
        read = {"setting_recorded_on": self.trials.today.isoformat()} if first else {}
        return Variant(self.tag, {**values, **read})

    def outcomes(self, sets: Sequence[Mapping[str, Any]], rules: Sequence[Rule]) -> np.ndarray:
        """The outcomes of some rules with each of some sets of values."""
        return self.trials.judge(map(self.variant, sets), rules).verdicts.outcomes

    def searches(self, before: np.ndarray, facts: Mapping[str, Any], options: Sequence[Change]) -> Iterator[Search]:
        """A search for each group of columns that has nothing to do with the others.

        No overload is loosened where a start fails that no setting can correct.
        """
        settable = {change.column for change in options}
        failed = self.major & (before == Outcome.FAILED)
        hurts = any(
            failed[i] and rule.id.startswith(STARTS) and not self.reads[i] & settable
            for i, rule in enumerate(self.rules)
        )
        options = [change for change in options if not (hurts and change.loosens)]
        settable = {change.column for change in options}
        reads = [own & settable for own in self.reads]
        for group in _groups(own for own, counts in zip(reads, self.major, strict=True) if counts):
            own = np.flatnonzero(self.major & np.array([bool(group & columns) for columns in reads]))
            goals = before[own] == Outcome.FAILED
            if goals.any():
                yield Search(
                    judge=partial(self.outcomes, rules=[self.rules[i] for i in own]),
                    rules=own,
                    before=before[own],
                    goals=goals,
                    columns=[reads[i] for i in own],
                    options=[change for change in options if change.column in group],
                    facts=facts,
                )

    def result(self, before: np.ndarray, now: np.ndarray, found: list[Change], searches: list[Search]) -> LeastChange:
        """The outcomes before and now, rule by rule, as what the changes clear, leave and bring."""

        def named(where: np.ndarray) -> tuple[str, ...]:
            return tuple(self.rules[i].id for i in np.flatnonzero(where))

        def words(outcomes: np.ndarray) -> dict[str, str]:
            return {rule.id: Outcome(int(o)).word for rule, o in zip(self.rules, outcomes, strict=True)}

        goals = np.zeros(len(self.rules), bool)
        for search in searches:
            goals[search.rules[search.goals]] = True
        met, fails, failed = np.isin(now, MET), now == Outcome.FAILED, before == Outcome.FAILED
        return LeastChange(
            tag=self.tag,
            failed=named(self.major & failed),
            beyond=named(self.major & failed & ~goals),
            changes=tuple(sorted(found, key=lambda c: (c.hardware, c.column))),
            leaves=named(goals & ~met),
            opens=named(self.major & (before == Outcome.INAPPLICABLE) & (now == Outcome.CANT_TELL)),
            brings=named(~self.major & fails & ~failed),
            corrects=named(~self.major & failed & met),
            tried=sum(len(search.known) for search in searches),
            cut=any(search.cut for search in searches),
            before=words(before),
            forecast=words(now),
            by_hand=not_a_cage(self.trials.base[self.tag]["motor_type"]),
        )


def _values(changes: Iterable[Change]) -> dict[str, Any]:
    return {change.column: change.value for change in changes}


def _groups(reads: Iterable[frozenset[str]]) -> list[frozenset[str]]:
    """The columns by which of them meet in a rule: what is set in one group has no effect in another."""
    groups: list[frozenset[str]] = []
    for own in filter(None, reads):
        met = [group for group in groups if group & own]
        groups = [*(group for group in groups if not group & own), own.union(*met)]
    return groups
