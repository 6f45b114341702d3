"""Findings of one cause put together: one wrong value, one absent reading, one hard start."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

from register import columns
from register.audit.doubts import Doubts, reads
from register.audit.finding import F, Group
from register.audit.priority import most_pressing_first
from register.facts.derived import STUDIED
from register.rulebook.model import Rule

# What makes a start hard, beside what the study of it gives.
HARD_START = "load_inertia_kgm2"


def causes_of(rule: Rule, tag: str, at: str, values: Mapping[str, Any], doubts: Doubts) -> tuple[str, ...]:
    """What a finding may share with others, each in words that are the same for the same.

    Parameters
    ----------
    rule, tag, at : of the finding; `at` tells its place apart from others of the same key.
    values : the values that the rule reads, by column.
    doubts : the values not believed, and what reads them.
    """
    found = [f"{rule.doubts} of {at}"] if rule.doubts else []
    found += [f"{d.column} of {d.place}" for d in doubts.of.get((tag, rule.id), ())]
    found += [f"{d.column} of {d.place}" for d in doubts.at(at) if reads(rule, d.column)]
    for name in rule.columns:
        entered = columns.column(name).origin != "derived"
        if entered and (columns.column(name).table == "setting" or values.get(name, "") is None):
            found.append(f"{name} of {at}")
        if name == HARD_START or (name in STUDIED and name.startswith("start_")):
            found.append(f"the start of {at}")
    return tuple(dict.fromkeys(found))


def grouped(findings: Iterable[F], doubting: Iterable[str]) -> tuple[Group[F], ...]:
    """The findings by cause, the most pressing group first; most stand alone.

    Of a group that one leads whose rule is among the `doubting`, otherwise the most pressing one.
    """
    doubting = set(doubting)
    ordered = sorted(findings, key=most_pressing_first)
    parent = list(range(len(ordered)))

    def root(number: int) -> int:
        while parent[number] != number:
            number = parent[number]
        return number

    first: dict[str, int] = {}
    for number, finding in enumerate(ordered):
        for cause in finding.causes:
            one, other = root(first.setdefault(cause, number)), root(number)
            parent[max(one, other)] = min(one, other)
    members: dict[int, list[F]] = defaultdict(list)
    for number, finding in enumerate(ordered):
        members[root(number)].append(finding)
    return tuple(_led(own, doubting) for own in members.values())


def _led(own: list[F], doubting: set[str]) -> Group[F]:
    lead = next((f for f in own if f.rule in doubting), own[0])
    return Group(lead, tuple(f for f in own if f is not lead))
