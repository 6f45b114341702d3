"""What answers are worth, by trying: how probable it is that a verdict is decided when some blanks are filled."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import combinations
from typing import Any

from register.audit.session import Session
from register.facts.derived import STUDIED, needed_for, results
from register.facts.whatif import Variant
from register.planning.collect.tried_values import TriedValues
from register.planning.collect.waiting import COUNTED, INSTALLED, Blank, Waiting
from register.planning.trials import Trials
from register.rulebook.model import Outcome

MOST_TOGETHER = 6  # blanks of one verdict that are tried together
OF_A_PATTERN = 8  # positions that are tried of those that are alike; the others count as these do on average
DEAR = 20_000  # variants beyond which one of each pattern has to be enough
USUAL = 500  # positions from which it is learnt which values are usual
SURE = 0.999

Ask = frozenset[Blank]


@dataclass(frozen=True, slots=True)
class Item:
    """Some columns of one position, filled together, and the verdicts there that wait for one of them."""

    tag: str
    columns: tuple[str, ...]
    verdicts: tuple[int, ...]


@dataclass
class Worth:
    """For each set of blanks, the verdicts that filling it may decide, with how probable that is.

    `tried` counts the variants judged.
    """

    verdicts: Sequence[Waiting]
    asks: dict[Ask, dict[int, float]] = field(default_factory=dict)
    tried: int = 0


def worth(session: Session, verdicts: Sequence[Waiting]) -> Worth:
    """Try every blank that verdicts wait for, and those together of which none decides alone."""
    found = Worth(verdicts)
    tried = _Tried(session, verdicts, found)
    tried.of(_single(verdicts))
    tried.of(_together(verdicts, found))
    _count_others(verdicts, found)
    return found


def _single(verdicts: Sequence[Waiting]) -> Iterator[Item]:
    waiting: dict[tuple[str, str], list[int]] = defaultdict(list)
    for number, verdict in enumerate(verdicts):
        if verdict.tag is not None:
            for blank in verdict.blanks:
                waiting[verdict.tag, blank.column].append(number)
    return (Item(tag, (name,), tuple(own)) for (tag, name), own in waiting.items())


def _together(verdicts: Sequence[Waiting], found: Worth) -> Iterator[Item]:
    """The blanks of a verdict that no single one surely decides: all of them, and each two."""
    best: dict[int, float] = defaultdict(float)
    for effects in found.asks.values():
        for number, share in effects.items():
            best[number] = max(best[number], share)
    waiting: dict[tuple[str, tuple[str, ...]], list[int]] = defaultdict(list)
    for number, verdict in enumerate(verdicts):
        names = sorted(verdict.columns)
        if verdict.tag is None or best[number] > SURE or not 2 <= len(names) <= MOST_TOGETHER:
            continue
        for own in {tuple(names), *combinations(names, 2)}:
            waiting[verdict.tag, own].append(number)
    return (Item(tag, names, tuple(own)) for (tag, names), own in waiting.items())


def _count_others(verdicts: Sequence[Waiting], found: Worth) -> None:
    """What is about no position is not tried: it counts as decided when all its blanks are filled."""
    for number, verdict in enumerate(verdicts):
        if verdict.tag is None:
            found.asks.setdefault(verdict.blanks, {})[number] = 1.0


class _Tried:
    """Items tried in batches, their results kept."""

    def __init__(self, session: Session, verdicts: Sequence[Waiting], found: Worth) -> None:
        self.session, self.verdicts, self.found = session, verdicts, found
        self.columns = [verdict.columns for verdict in verdicts]
        self.rules = {rule.id: rule for rule in session.pack.rules}
        tags = [tag for (tag,) in session.db.conn.execute("SELECT tag FROM position ORDER BY tag")]
        usual = self._trials(tags[:: 1 + len(tags) // USUAL])
        self.values = TriedValues(usual.base.values(), session.pack, session.today)

    def _trials(self, tags: Iterable[str]) -> Trials:
        now = self.session
        return Trials(now.db, tags, pack=now.pack, today=now.today, measured_only=now.measured_only)

    def of(self, items: Iterable[Item]) -> None:
        """Try items, all of them or some of each pattern, and keep what they decide."""
        items = list(items)
        patterns: dict[tuple, list[Item]] = defaultdict(list)
        for item in items:
            patterns[self._pattern(item)].append(item)
        chosen = [item for own in patterns.values() for item in _spread(own, OF_A_PATTERN)]
        if sum(len(self.values.together(item.columns)) for item in chosen) > DEAR:
            chosen = [own[0] for own in patterns.values()]
        shares = self._judged(chosen)
        for own in patterns.values():
            known = [shares[item] for item in own if item in shares]
            usual = {rule: sum(one[rule] for one in known) / len(known) for rule in known[0]}
            for item in own:
                self._keep(item, shares.get(item, usual))

    def _pattern(self, item: Item) -> tuple:
        """What makes items alike: the columns, and the verdicts with all that each waits for."""
        return item.columns, frozenset((self.verdicts[n].rule, self.columns[n]) for n in item.verdicts)

    def _keep(self, item: Item, shares: Mapping[str, float]) -> None:
        blanks = {b.column: b for n in item.verdicts for b in self.verdicts[n].blanks}
        ask = frozenset(blanks[name] for name in item.columns)
        effects = self.found.asks.setdefault(ask, {})
        effects |= {n: s for n in item.verdicts if (s := shares[self.verdicts[n].rule]) > 0}

    def _judged(self, items: list[Item]) -> dict[Item, dict[str, float]]:
        """For each item the share of what was tried that decides each rule; studies apart, as they take long."""
        found: dict[Item, dict[str, float]] = {}
        trials = self._trials({item.tag for item in items})
        for studied in (False, True):
            own = [item for item in items if self._is_studied(item) == studied]
            if own:
                found |= self._batch(trials, own)
        return found

    def _is_studied(self, item: Item) -> bool:
        return any(_studied(self.rules[self.verdicts[n].rule].columns) for n in item.verdicts)

    def _batch(self, trials: Trials, items: list[Item]) -> dict[Item, dict[str, float]]:
        rules = {self.verdicts[n].rule for item in items for n in item.verdicts}
        variants: list[Variant] = []
        rows: list[tuple[Item, float]] = []
        for item in items:
            for values, share in self.values.together(item.columns):
                rows.append((item, share))
                variants.append(Variant(item.tag, _with_counted(trials.base[item.tag], values)))
        judged = trials.judge(variants, [self.rules[rule] for rule in sorted(rules)])
        decided = judged.verdicts.outcomes != Outcome.CANT_TELL
        self.found.tried += len(variants)
        shares: dict[Item, dict[str, float]] = defaultdict(lambda: defaultdict(float))
        for row, (item, share) in enumerate(rows):
            for number in item.verdicts:
                rule = self.verdicts[number].rule
                shares[item][rule] += share * float(decided[row, judged.verdicts.column(rule)])
        return {item: dict(own) for item, own in shares.items()}


def _with_counted(base: Mapping[str, Any], values: Mapping[str, Any]) -> dict[str, Any]:
    """The values, with what the register would then count from its records."""
    row = {**base, **values}
    installed = row[INSTALLED]
    counted = {
        first: row[check]
        for first, check in COUNTED.items()
        if row[first] is None and None not in (row[check], installed) and row[check] >= installed
    }
    return {**values, **counted}


@cache
def _studied(names: tuple[str, ...]) -> bool:
    return any(not STUDIED.isdisjoint(results(calculation)) for calculation in needed_for(frozenset(names)))


def _spread(own: list[Item], most: int) -> list[Item]:
    """A few of a pattern, from its begin to its end."""
    if len(own) <= most:
        return own
    return [own[round(at * (len(own) - 1) / (most - 1))] for at in range(most)]
