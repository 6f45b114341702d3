"""The least that has to be set otherwise at a position so that its failed majors are met."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from register.facts.assumptions import Assumption
from register.planning.dials import Change, changes
from register.planning.leastsets import MET, Judge, Search, bearing
from register.rulebook.model import Grade, Outcome, Pack, Rule


@dataclass(frozen=True)
class LeastChange:
    """What to set otherwise at a position, and what the audit will say once it is so set.

    `beyond` are failed majors on which no setting bears; `leaves` those on which some do, and that
    no set of changes tried meets. `brings` are rules below major that the changes fail, `mends`
    those that they meet. `cut` is true where not every set of so many changes could be tried.
    `forecast` is the outcome of every rule, in words.
    """

    tag: str
    failed: tuple[str, ...]
    beyond: tuple[str, ...]
    changes: tuple[Change, ...]
    leaves: tuple[str, ...]
    brings: tuple[str, ...]
    mends: tuple[str, ...]
    tried: int
    cut: bool
    forecast: Mapping[str, str]

    @property
    def clears(self) -> tuple[str, ...]:
        """The failed majors that are met after the changes."""
        return tuple(r for r in self.failed if r not in (*self.beyond, *self.leaves))


def least_change(
    facts: Mapping[str, Any],
    rules: Sequence[Rule],
    judge: Judge,
    *,
    pack: Pack,
    assumptions: Sequence[Assumption],
    options: Sequence[Change] | None = None,
) -> LeastChange:
    """The smallest set of changes after which a position fails no major that a setting bears on.

    Parameters
    ----------
    facts : of the position as it stands.
    rules : those that it is judged by.
    judge : gives for each of some sets of values, by column, the outcome of each of these rules.
    pack, assumptions : limits and stand-ins in force.
    options : the changes to choose from; without, everything that can be set there.
    """
    options = changes(facts, pack) if options is None else tuple(options)
    before = judge([{}])[0]
    major = np.array([rule.grade == Grade.MAJOR for rule in rules])
    failed = major & (before == Outcome.FAILED)
    bears = bearing(rules, assumptions)
    columns = {change.column for change in options}
    goals = failed & np.array([bool(columns & own) for own in bears])
    found: list[Change] = []
    searches = []
    for group in _groups(
        [own & columns for own, counts in zip(bears, major, strict=True) if counts]
    ):
        own_rules = np.flatnonzero(major & np.array([bool(group & own) for own in bears]))
        if goals[own_rules].any():
            search = Search(_only(judge, own_rules), before[own_rules], goals[own_rules],
                            [bears[r] & group for r in own_rules], facts)  # fmt: skip
            found += search.best([c for c in options if c.column in group])
            searches.append(search)
    now = judge([{c.column: c.value for c in found}])[0] if found else before
    return _told(facts["tag"], rules, before, now, failed, goals, found, searches)


def _only(judge: Judge, rules: np.ndarray) -> Judge:
    return lambda sets: judge(sets)[:, rules]


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
    tag: str, rules: Sequence[Rule], before: np.ndarray, now: np.ndarray, failed: np.ndarray,
    goals: np.ndarray, found: list[Change], searches: list[Search],
) -> LeastChange:  # fmt: skip
    def named(where: np.ndarray) -> tuple[str, ...]:
        return tuple(rules[i].id for i in np.flatnonzero(where))

    lesser = np.array([rule.grade != Grade.MAJOR for rule in rules])
    fails, failed_before = now == Outcome.FAILED, before == Outcome.FAILED
    return LeastChange(
        tag=tag,
        failed=named(failed),
        beyond=named(failed & ~goals),
        changes=tuple(sorted(found, key=lambda c: (c.hardware, c.column))),
        leaves=named(goals & ~np.isin(now, MET)),
        brings=named(lesser & fails & ~failed_before),
        mends=named(lesser & failed_before & np.isin(now, MET)),
        tried=sum(len(search.known) for search in searches),
        cut=any(search.cut for search in searches),
        forecast={rule.id: Outcome(int(o)).word for rule, o in zip(rules, now, strict=True)},
    )
