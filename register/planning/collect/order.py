"""The order in which blanks are worth filling: each time what decides most for each reading, as things then stand."""

from __future__ import annotations

import heapq
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations
from types import MappingProxyType
from typing import NamedTuple

from register.planning.collect.waiting import Blank
from register.planning.collect.worth import Ask, Worth

WIDE = 50  # verdicts that one blank decides, from which on they are not repeated for all that is filled with it


@dataclass(frozen=True, slots=True)
class Chosen:
    """The blanks to fill next in one go: the weight that each reading adds, and how surely it decides each verdict."""

    blanks: tuple[Blank, ...]
    gain: float
    people: float
    decides: dict[int, float]


def ordered(worth: Worth, *, people_first: bool = True, counted: bool = False) -> Iterator[Chosen]:
    """The blanks in order, the worthiest first, until nothing more is decided.

    Parameters
    ----------
    people_first : what keeps people from harm comes before all else, whatever it decides.
    counted : every verdict counts the same, whatever its grade and harm.
    """
    search = _Search(worth, counted=counted)
    if people_first:
        yield from search.go(people_only=True)
    yield from search.go(people_only=False)


class _Search:
    """The search for what comes next. A rank is looked at again when its turn comes: readings only ever lessen it.

    Only where a blank of it was filled may it rise, as it then takes fewer readings.
    """

    def __init__(self, worth: Worth, *, counted: bool) -> None:
        self.verdicts, self.counted = worth.verdicts, counted
        self.effects = of_subsets(worth.asks)
        self.now: dict[int, float] = defaultdict(float)
        self.filled: set[Blank] = set()
        self.done: set[Ask] = set()
        self.by_blank: dict[Blank, set[Ask]] = defaultdict(set)
        for ask in self.effects:
            for blank in ask:
                self.by_blank[blank].add(ask)

    def go(self, *, people_only: bool) -> Iterator[Chosen]:
        """Choose until nothing is gained; of people's verdicts alone, or of all."""
        latest: dict[Ask, tuple | None] = {ask: self._rank(ask, people_only) for ask in self.effects}
        heap = [(*rank, ask) for ask, rank in latest.items() if rank]
        heapq.heapify(heap)

        def renew(ask: Ask) -> None:
            rank = latest[ask] = self._rank(ask, people_only)
            if rank:
                heapq.heappush(heap, (*rank, ask))

        while heap:
            *rank, ask = heapq.heappop(heap)
            if tuple(rank) != latest[ask]:
                continue
            if latest[ask] != self._rank(ask, people_only):
                renew(ask)
                continue
            yield self._chosen(ask)
            for other in set().union(*(self.by_blank[blank] for blank in ask)):
                renew(other)

    def _rank(self, ask: Ask, people_only: bool) -> tuple | None:
        """What sorts first: people's gain where asked, gain for each reading; None where nothing is gained."""
        new = ask - self.filled
        if not new:
            return None
        gain, people = self._gain(ask)
        if (people if people_only else gain) < 1e-9:
            return None
        names = tuple(sorted(ask))
        return (-round(people / len(new), 9) if people_only else 0.0, -round(gain / len(new), 9), names)

    def _gain(self, ask: Ask) -> tuple[float, float]:
        own = self.effects[ask]
        gain, people = self._sum(own.decides)
        if own.wide is not None and own.wide not in self.done:
            more, more_people = self._gain(own.wide)
            less, less_people = self._sum(own.of_wide)
            gain, people = gain + more - less, people + more_people - less_people
        return gain, people

    def _sum(self, decides: Mapping[int, float]) -> tuple[float, float]:
        gain = people = 0.0
        for number, share in decides.items():
            more = share - self.now[number]
            if more > 0:
                verdict = self.verdicts[number]
                own = more * (1.0 if self.counted else verdict.weight)
                gain += own
                people += own if verdict.people else 0.0
        return gain, people

    def _chosen(self, ask: Ask) -> Chosen:
        new = tuple(sorted(ask - self.filled))
        gain, people = self._gain(ask)
        own = self.effects[ask]
        if own.wide is None or own.wide in self.done:
            whole = own.decides
        else:
            whole = {**self.effects[own.wide].decides, **own.decides}
        decides = {n: s - self.now[n] for n, s in whole.items() if s > self.now[n]}
        for number in decides:
            self.now[number] = whole[number]
        self.filled |= ask
        self.done |= {ask} if own.wide is None else {ask, own.wide}
        return Chosen(new, gain / len(new), people / len(new), decides)


class Effects(NamedTuple):
    """What filling some blanks decides, their parts included.

    Of one part that decides much, as a value of the whole site does, only what others decide too is repeated:
    `wide` names that part, `of_wide` is what it decides alone of what is in `decides`.
    """

    decides: dict[int, float]
    wide: Ask | None = None
    of_wide: Mapping[int, float] = MappingProxyType({})


def of_subsets(asks: Mapping[Ask, dict[int, float]]) -> dict[Ask, Effects]:
    """What each set of blanks decides, its parts included."""
    found = {}
    for ask, own in asks.items():
        if len(ask) == 1:
            found[ask] = Effects(own)
            continue
        smaller = (frozenset(part) for count in range(1, len(ask)) for part in combinations(ask, count))
        parts = [part for part in smaller if part in asks]
        wide = max((part for part in parts if len(part) == 1), key=lambda part: len(asks[part]), default=None)
        if wide is not None and len(asks[wide]) < WIDE:
            wide = None
        whole = dict(own)
        for part in parts:
            if part != wide:
                _more(whole, asks[part].items())
        if wide is None:
            found[ask] = Effects(whole)
            continue
        repeated = {number: asks[wide][number] for number in whole if number in asks[wide]}
        _more(whole, repeated.items())
        found[ask] = Effects(whole, wide, repeated)
    return found


def _more(whole: dict[int, float], shares: Iterable[tuple[int, float]]) -> None:
    for number, share in shares:
        whole[number] = max(share, whole.get(number, 0.0))
