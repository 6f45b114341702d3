"""The values that an answer may be, to be tried: every choice, the ends of a range, where rules turn, what is usual."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta
from functools import cached_property
from itertools import product
from typing import Any

from register.columns.model import Column
from register.facts.base import BASE
from register.facts.missing import typical
from register.rulebook.model import Pack

MOST_VALUES, MOST_PAIRS = 12, 24
BEFORE_TODAY_D = (0, 400, 2000, 7000)  # [d] a day long past, and some nearer: as checks and plates have them
Weighed = list[tuple[Any, float]]


class TriedValues:
    """For each column the values to try, with the share that each counts for; shares of a column add up to 1.

    Of a closed list every word is tried, and counts by how often the register has it (once more than it has it, so
    that none counts nothing). Of a number: both ends of the range that can be believed, each limit at which a rule
    turns that compares it directly, and the least, the middle and the most that the register has. Of a text or a
    day: what the register has most often, and a typical one.

    Parameters
    ----------
    rows : what is entered at some positions, from which it is learnt what is usual.
    pack, today : as for an audit.
    """

    def __init__(self, rows: Iterable[Mapping[str, Any]], pack: Pack, today: date) -> None:
        self.rows, self.pack, self.today = list(rows), pack, today
        self._made: dict[str, Weighed] = {}

    def of(self, name: str) -> Weighed:
        """The values of one column."""
        if name not in self._made:
            self._made[name] = list(self._values(BASE[name]))
        return self._made[name]

    def together(self, names: Iterable[str]) -> list[tuple[dict[str, Any], float]]:
        """Values of several columns at once: all of them with all where these are few, else in turns."""
        names = tuple(names)
        lists = [self.of(name) for name in names]
        count = 1
        for values in lists:
            count *= len(values)
        combined: Iterable[tuple[tuple[Any, float], ...]]
        if count <= MOST_PAIRS:
            combined = product(*lists)
        else:
            turns = max(len(values) for values in lists)
            # Each list goes on at its own pace, so that no two words always meet.
            combined = [
                tuple(v[(turn + turn * at // len(v)) % len(v)] for at, v in enumerate(lists)) for turn in range(turns)
            ]
        found = [(dict(zip(names, (v for v, _ in own), strict=True)), _product(s for _, s in own)) for own in combined]
        whole = sum(share for _, share in found)
        return [(values, share / whole) for values, share in found]

    def _values(self, column: Column) -> Iterator[tuple[Any, float]]:
        known = self._known(column.name)
        shares: dict[Any, float]
        if column.choices:
            shares = {word: 1.0 + known[word] for word in column.choices}
        elif column.is_number:
            shares = dict.fromkeys(self._numbers(column, sorted(known.elements())), 1.0)
        elif column.kind == "date":
            days = [(self.today - timedelta(days=days)).isoformat() for days in BEFORE_TODAY_D]
            shares = dict.fromkeys((*days, *_ends(sorted(known))), 1.0)
        else:
            shares = {word: 1.0 + count for word, count in known.most_common(MOST_VALUES)}
            shares.setdefault(str(typical(column)[0]), 1.0)
        whole = sum(shares.values())
        yield from ((value, share / whole) for value, share in shares.items())

    def _numbers(self, column: Column, known: list[float]) -> list[float]:
        points = [column.low, column.high, float(typical(column)[0]), *_ends(known)]
        points += self.turns.get(column.name, [])
        low = -float("inf") if column.low is None else column.low
        high = float("inf") if column.high is None else column.high
        found = dict.fromkeys(float(point) for point in points if point is not None and low <= point <= high)
        whole = column.kind == "integer"
        return sorted(dict.fromkeys(float(round(point)) for point in found) if whole else found)[:MOST_VALUES]

    def _known(self, name: str) -> Counter[Any]:
        return Counter(sorted(row[name] for row in self.rows if row[name] is not None))

    @cached_property
    def turns(self) -> Mapping[str, list[float]]:
        """For each column the numbers that a rule compares it with directly."""
        found: dict[str, list[float]] = defaultdict(list)
        limits = {f":{name}": limit.value for name, limit in self.pack.limits.items()}
        for rule in self.pack.rules:
            for name, _, other in _COMPARED.findall(f"{rule.applies} ; {rule.requires}"):
                if name in BASE and BASE[name].is_number:
                    found[name].append(limits[other] if other in limits else float(other))
        return found


_COMPARED = re.compile(r"\b([a-z][a-z0-9_]*) *(<=|>=|<>|<|>|=) *(:[a-z0-9_]+|\d+(?:\.\d+)?)(?! *[*/+\w.])")


def _ends(known: list[Any]) -> tuple[Any, ...]:
    return (known[0], known[len(known) // 2], known[-1]) if known else ()


def _product(shares: Iterable[float]) -> float:
    whole = 1.0
    for share in shares:
        whole *= share
    return whole
