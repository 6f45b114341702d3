"""The readings that would decide most: one value at one place, or one answer for a whole group."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from register.audit.finding import Unknown
from register.audit.report import Report, read_at
from register.columns import SUBJECTS

MOST = 20
Need = TypeVar("Need", str, tuple[str, str])
# What decides whether someone can be hurt is read before whatever decides more.
SAFETY = ("emergency_stop", "local_stop", "restarts_by_itself", "disconnect_lockable", "disconnect_in_sight")


@dataclass(frozen=True, slots=True)
class Reading:
    """A value to read: where, what, and how many verdicts lack nothing more once it is known."""

    tag: str
    column: str
    read_at: str
    completes: int


@dataclass(frozen=True, slots=True)
class Readings:
    """What is worth most: single `readings`, columns answered for all (`groups`), what is for `safety`."""

    unknown: int
    readings: tuple[Reading, ...]
    groups: tuple[tuple[str, int], ...]
    safety: tuple[tuple[str, int], ...]

    @property
    def by_readings(self) -> int:
        """Verdicts that the single readings complete."""
        return sum(reading.completes for reading in self.readings)

    @property
    def by_groups(self) -> int:
        """Verdicts that the columns complete, each answered wherever it is missing."""
        return sum(completes for _, completes in self.groups)

    def share(self, completed: int) -> float:
        """Of all that is unknown, in %."""
        return 100 * completed / self.unknown if self.unknown else 0.0


def next_readings(report: Report, most: int = MOST) -> Readings:
    """Return what to read next, the worthiest first.

    A verdict counts when no field of it is missing any more; how it then comes out is not tried.
    """
    unknowns = report.evidence.unknowns
    single = _worthiest(_by_place(unknowns), most)
    groups = _worthiest(Counter(frozenset(u.fields) for u in unknowns), most)
    waiting: dict[str, set[str]] = defaultdict(set)
    for unknown in unknowns:
        for name in unknown.fields:
            if name in SAFETY:
                waiting[name].update(unknown.elsewhere.get(name, (unknown.at,)))
    return Readings(
        unknown=len(unknowns),
        readings=tuple(Reading(tag, name, read_at(name), n) for (tag, name), n in single if n),
        groups=tuple((name, n) for name, n in groups if n),
        safety=tuple((name, len(waiting[name])) for name in SAFETY if waiting[name]),
    )


def _by_place(unknowns: Iterable[Unknown]) -> Counter[frozenset[tuple[str, str]]]:
    """Every (tag, column) that a verdict lacks, with how many verdicts lack the same."""
    needs: Counter[frozenset[tuple[str, str]]] = Counter()
    same: Counter[tuple[str, str, tuple[str, ...]]] = Counter()
    for unknown in unknowns:
        if unknown.elsewhere:
            at = unknown.at
            needs[frozenset((tag, n) for n in unknown.fields for tag in unknown.elsewhere.get(n, (at,)))] += 1
        else:
            same[unknown.subject, unknown.tag, unknown.fields] += 1
    for (subject, tag, fields), times in same.items():
        at = SUBJECTS[subject].named(tag)
        needs[frozenset((at, name) for name in fields)] += times
    return needs


def _worthiest(needs: Mapping[frozenset[Need], int], most: int) -> list[tuple[Need, int]]:
    """Up to `most` of what is needed, with how many verdicts each completes once those before it are known.

    `needs` tells of everything that is lacked together how many verdicts lack it.

    >>> _worthiest({frozenset("a"): 2, frozenset("ab"): 1, frozenset("c"): 1}, 2)
    [('a', 2), ('b', 1)]
    """
    left = [set(need) for need in needs]
    times = list(needs.values())
    behind: dict[Need, list[int]] = defaultdict(list)
    alone: Counter[Need] = Counter()
    for number, need in enumerate(left):
        for one in need:
            behind[one].append(number)
        if len(need) == 1:
            alone[one] += times[number]
    found: list[tuple[Need, int]] = []
    while len(found) < most and alone:
        # The first of equals by name: the same register gives the same list.
        most_of_all = max(alone.values())
        if not most_of_all:
            break
        best = min(one for one, count in alone.items() if count == most_of_all)
        found.append((best, alone.pop(best)))
        for number in behind[best]:
            left[number].discard(best)
            if len(left[number]) == 1:
                (only,) = left[number]
                alone[only] += times[number]
    # What completes little before another is known may complete more after it.
    return sorted(found, key=lambda one: -one[1])
