"""The order in which blanks are worth filling: each time what decides most for each reading, as things then stand."""

from __future__ import annotations

import heapq
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from register.planning.collect.waiting import Blank
from register.planning.collect.worth import Ask, Worth


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
    def __init__(self, worth: Worth, *, counted: bool) -> None:
        self.verdicts, self.counted = worth.verdicts, counted
        self.effects = _of_subsets(worth.asks)
        self.now: dict[int, float] = defaultdict(float)
        self.filled: set[Blank] = set()
        self.by_verdict: dict[int, set[Ask]] = defaultdict(set)
        self.by_blank: dict[Blank, set[Ask]] = defaultdict(set)
        for ask, effects in self.effects.items():
            for number in effects:
                self.by_verdict[number].add(ask)
            for blank in ask:
                self.by_blank[blank].add(ask)

    def go(self, *, people_only: bool) -> Iterator[Chosen]:
        """Choose until nothing is gained; of people's verdicts alone, or of all."""
        latest: dict[Ask, int] = {}
        heap: list[tuple] = []

        def push(ask: Ask) -> None:
            latest[ask] = latest.get(ask, 0) + 1
            rank = self._rank(ask, people_only)
            if rank:
                heapq.heappush(heap, (*rank, latest[ask], ask))

        for ask in self.effects:
            push(ask)
        while heap:
            *_, version, ask = heapq.heappop(heap)
            if version == latest[ask]:
                chosen = self._chosen(ask)
                yield chosen
                for other in self._touched(ask, chosen):
                    push(other)

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
        gain = people = 0.0
        for number, share in self.effects[ask].items():
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
        decides = {n: s - self.now[n] for n, s in self.effects[ask].items() if s > self.now[n]}
        for number in decides:
            self.now[number] = self.effects[ask][number]
        self.filled |= ask
        return Chosen(new, gain / len(new), people / len(new), decides)

    def _touched(self, ask: Ask, chosen: Chosen) -> set[Ask]:
        of_verdicts = (self.by_verdict[number] for number in chosen.decides)
        return set().union(*of_verdicts, *(self.by_blank[blank] for blank in ask))


def _of_subsets(asks: dict[Ask, dict[int, float]]) -> dict[Ask, dict[int, float]]:
    """What each set of blanks decides, its parts included."""
    found = {}
    singles = {ask: effects for ask, effects in asks.items() if len(ask) == 1}
    smaller = defaultdict(list)
    for ask in asks:
        for blank in ask if len(ask) > 1 else ():
            smaller[blank].append(ask)
    for ask, own in asks.items():
        if len(ask) == 1:
            found[ask] = own
            continue
        whole = dict(own)
        parts = [singles.get(frozenset([blank]), {}) for blank in ask]
        parts += [asks[other] for other in {o for b in ask for o in smaller[b]} if other < ask]
        for part in parts:
            for number, share in part.items():
                whole[number] = max(share, whole.get(number, 0.0))
        found[ask] = whole
    return found
