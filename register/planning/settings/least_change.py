"""The least that has to be set otherwise at a position so that its failed majors are met."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np

from register.columns import TABLES
from register.facts.assumptions import Assumption
from register.planning.settings.adjustable import Change, changes
from register.planning.settings.least_sets import MET, Search, bearing
from register.planning.settings.settings import NEEDS, chosen
from register.planning.trial import Trials, Variant
from register.rulebook.model import Grade, Outcome, Rule

STARTS = "start-study/"
SETTING = {column.name for column in TABLES["setting"].columns}


@dataclass(frozen=True)
class LeastChange:
    """What to set otherwise at a position, and what the audit will say once it is so set.

    `beyond` are failed majors that no setting affects; `leaves` those on which some do, and that
    no set of changes tried meets. `opens` are majors that did not apply before and are unknown
    then, `to_read` the blanks behind them. `brings` are rules below major that the changes fail,
    `mends` those that they meet. `cut` is true where not every set of so many changes could be
    tried. `before` and `forecast` are the outcome of every rule, in words, now and then.
    """

    tag: str
    failed: tuple[str, ...]
    beyond: tuple[str, ...]
    changes: tuple[Change, ...]
    leaves: tuple[str, ...]
    opens: tuple[str, ...]
    brings: tuple[str, ...]
    mends: tuple[str, ...]
    tried: int
    cut: bool
    before: Mapping[str, str]
    forecast: Mapping[str, str]
    to_read: tuple[str, ...] = ()

    @property
    def clears(self) -> tuple[str, ...]:
        """The failed majors that are met after the changes."""
        return tuple(r for r in self.failed if r not in (*self.beyond, *self.leaves))


def least_change(trials: Trials, tag: str, *, options: Sequence[Change] | None = None) -> LeastChange:
    """The smallest set of changes after which a position fails no major that a setting affects.

    Parameters
    ----------
    trials : of an open register, with the position among its tags.
    options : the changes to choose from; without, everything that can be set there.
    """
    rules = trials.pack.rules
    judge = _judge(trials, tag)
    before = judge([{}], rules)[0]
    failed = _major(rules) & (before == Outcome.FAILED)
    if not failed.any():
        return _told(tag, rules, before, before, failed, [], [])
    facts = facts_at(trials, tag)
    if options is None:
        sheet = chosen({name: [facts[name]] for name in NEEDS}, pack=trials.pack).at(0)
        options = changes(facts, trials.pack, sheet)
    options = _without_loosening(options, rules, failed, trials.assumptions)
    searches = list(_searches(rules, before, judge, facts, options, trials.assumptions))
    found = [change for search in searches for change in search.best()]
    now = judge([_values(found)], rules)[0] if found else before
    made = _told(tag, rules, before, now, failed, found, searches)
    return replace(made, to_read=_to_read(trials, made)) if made.opens else made


def facts_at(trials: Trials, tag: str) -> dict[str, Any]:
    """The facts of a position as it stands; None where unknown."""
    lists, _ = trials.facts([Variant("", {}, tag)])
    return {name: None if values[0] != values[0] else values[0] for name, values in lists.items()}


def _without_loosening(
    options: Sequence[Change], rules: Sequence[Rule], failed: np.ndarray, assumptions: Sequence[Assumption]
) -> Sequence[Change]:
    """No overload is loosened for a start that hurts, and that no setting makes bearable."""
    columns = {change.column for change in options}
    bears = bearing(rules, assumptions)
    hurts = any(failed[i] and rule.id.startswith(STARTS) and not bears[i] & columns for i, rule in enumerate(rules))
    return [change for change in options if not (hurts and change.loosens)]


def _judge(trials: Trials, tag: str) -> Callable[[Sequence[Mapping], Sequence[Rule]], np.ndarray]:
    """The outcomes of some rules with some sets of values."""

    def judge(sets: Sequence[Mapping[str, Any]], rules: Sequence[Rule]) -> np.ndarray:
        variants = [_variant(trials, tag, values) for values in sets]
        return trials.judge(variants, rules).verdicts.outcomes

    return judge


def _variant(trials: Trials, tag: str, values: Mapping[str, Any]) -> Variant:
    """The position with values; settings where nobody had read any are read today."""
    first = SETTING & set(values) and trials.base[tag]["setting_recorded_on"] is None
    read = {"setting_recorded_on": trials.today.isoformat()} if first else {}
    return Variant("", {**values, **read}, tag)


def _values(changes: Iterable[Change]) -> dict[str, Any]:
    return {change.column: change.value for change in changes}


def _to_read(trials: Trials, made: LeastChange) -> tuple[str, ...]:
    """The entered fields that would decide what the changes leave open."""
    variant = _variant(trials, made.tag, _values(made.changes))
    read = trials.to_read(variant, made.opens)
    return tuple(dict.fromkeys(field for fields in read.values() for field in fields))


def _searches(
    rules: Sequence[Rule],
    before: np.ndarray,
    judge: Callable,
    facts: Mapping[str, Any],
    options: Sequence[Change],
    assumptions: Sequence[Assumption],
) -> Iterator[Search]:
    """A search for each group of columns that has nothing to do with the others."""
    columns = {change.column for change in options}
    bears = [own & columns for own in bearing(rules, assumptions)]
    major = _major(rules)
    for group in _groups(own for own, counts in zip(bears, major, strict=True) if counts):
        own = np.flatnonzero(major & np.array([bool(group & columns) for columns in bears]))
        goals = before[own] == Outcome.FAILED
        if goals.any():
            yield Search(
                judge=partial(judge, rules=[rules[i] for i in own]),
                rules=own,
                before=before[own],
                goals=goals,
                bears=[bears[i] for i in own],
                options=[change for change in options if change.column in group],
                facts=facts,
            )


def _major(rules: Sequence[Rule]) -> np.ndarray:
    return np.array([rule.grade == Grade.MAJOR for rule in rules])


def _groups(bears: Iterable[frozenset[str]]) -> list[frozenset[str]]:
    """The columns by which of them meet in a rule: what is set in one group is idle in another."""
    groups: list[frozenset[str]] = []
    for own in bears:
        if own:
            met = [group for group in groups if group & own]
            groups = [group for group in groups if not group & own]
            groups.append(own.union(*met))
    return groups


def _told(
    tag: str,
    rules: Sequence[Rule],
    before: np.ndarray,
    now: np.ndarray,
    failed: np.ndarray,
    found: list[Change],
    searches: list[Search],
) -> LeastChange:
    def named(where: np.ndarray) -> tuple[str, ...]:
        return tuple(rules[i].id for i in np.flatnonzero(where))

    goals = np.zeros(len(rules), bool)
    for search in searches:
        goals[search.rules[search.goals]] = True
    lesser, met = ~_major(rules), np.isin(now, MET)
    fails, failed_before = now == Outcome.FAILED, before == Outcome.FAILED
    return LeastChange(
        tag=tag,
        failed=named(failed),
        beyond=named(failed & ~goals),
        changes=tuple(sorted(found, key=lambda c: (c.hardware, c.column))),
        leaves=named(goals & ~met),
        opens=named(~lesser & (before == Outcome.INAPPLICABLE) & (now == Outcome.CANT_TELL)),
        brings=named(lesser & fails & ~failed_before),
        mends=named(lesser & failed_before & met),
        tried=sum(len(search.known) for search in searches),
        cut=any(search.cut for search in searches),
        before=_words(rules, before),
        forecast=_words(rules, now),
    )


def _words(rules: Sequence[Rule], outcomes: np.ndarray) -> dict[str, str]:
    return {rule.id: Outcome(int(o)).word for rule, o in zip(rules, outcomes, strict=True)}
