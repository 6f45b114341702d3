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
    groups = _worthiest(Counter(u.fields for u in unknowns), most)
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


def _by_place(unknowns: Iterable[Unknown]) -> Counter[tuple[tuple[str, str], ...]]:
    """Every (tag, column) that a verdict lacks, with how many verdicts lack the same."""
    needs: Counter[tuple[tuple[str, str], ...]] = Counter()
    same: Counter[tuple[str, str, tuple[str, ...]]] = Counter()
    for unknown in unknowns:
        if unknown.elsewhere:
            at = unknown.at
            needs[tuple((tag, n) for n in unknown.fields for tag in unknown.elsewhere.get(n, (at,)))] += 1
        else:
            same[unknown.subject, unknown.tag, unknown.fields] += 1
    for (subject, tag, fields), times in same.items():
        at = SUBJECTS[subject].named(tag)
        needs[tuple((at, name) for name in fields)] += times
    return needs


def _worthiest(needs: Mapping[tuple[Need, ...], int], most: int) -> list[tuple[Need, int]]:
    """Up to `most` of what is needed, with how many verdicts each completes once those before it are known.

    `needs` tells of what is lacked together, each once, how many verdicts lack it.

    >>> _worthiest({("a",): 2, ("b", "a"): 1, ("c",): 1}, 2)
    [('a', 2), ('b', 1)]
    """
    every, times = list(needs), list(needs.values())
    left = [len(need) for need in every]
    behind: dict[Need, list[int]] = defaultdict(list)
    alone: Counter[Need] = Counter()
    for number, need in enumerate(every):
        for one in need:
            behind[one].append(number)
        if len(need) == 1:
            alone[one] += times[number]
    found: dict[Need, int] = {}
    while len(found) < most and alone:
        # The first of equals by name: the same register gives the same list.
        most_of_all = max(alone.values())
        if not most_of_all:
            break
        best = min(one for one, count in alone.items() if count == most_of_all)
        found[best] = alone.pop(best)
        for number in behind[best]:
            left[number] -= 1
            if left[number] == 1:
                alone[next(one for one in every[number] if one not in found)] += times[number]
    # What completes little before another is known may complete more after it.
    return sorted(found.items(), key=lambda one: -one[1])
