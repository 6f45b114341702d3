"""Which replacements to make in which year: the most risk taken away for what can be spent."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import floor

import numpy as np
from scipy.optimize import LinearConstraint, OptimizeResult
from scipy.sparse import csr_array

from register.planning.solver import cheapest

TIME_LIMIT_S = 20.0
CENTS = 100


@dataclass(frozen=True)
class Option:
    """One way to replace what stands at a place.

    `taken_away` is the risk taken away if it is done in year 1, 2, …; `takes` the one thing that
    only one option can have, a device in store. `earliest` is the first year it can be there.
    """

    place: str
    price: float
    taken_away: tuple[float, ...]
    takes: str = ""
    earliest: int = 1
    outages: int = 1


@dataclass(frozen=True)
class Chosen:
    """An option, and the year (from 1) in which it is done."""

    option: Option
    year: int

    @property
    def taken_away(self) -> float:
        """The risk taken away until the end of the plan."""
        return self.option.taken_away[self.year - 1]


@dataclass(frozen=True)
class Choice:
    """The replacements chosen, in order of year, and by how much the best choice could at most be better."""

    chosen: tuple[Chosen, ...]
    better_pct: float

    @property
    def taken_away(self) -> float:
        """The risk taken away by all of it until the end of the plan."""
        return sum(c.taken_away for c in self.chosen)


def choose(options: Sequence[Option], *, years: int, budget: float, outages: int | None = None) -> Choice:
    """The choice that takes the most risk away; no budget is ever exceeded.

    Parameters
    ----------
    options : those to choose from, several for one place if there are; at most one is done.
    years : how many years are planned.
    budget : what may be spent each year, in the currency of the prices; nothing is carried over.
    outages : how many replacements there is time for each year; None for no limit.
    """
    cells = [
        (option, year)
        for option in _sensible(options)
        for year in range(option.earliest, years + 1)
        if option.taken_away[year - 1] > 0.0 and option.price <= budget
    ]
    asked = {"years": years, "budget": budget, "outages": outages}
    simple = tuple(_by_the_list(options, **asked))
    if not simple:
        return Choice((), 0.0)
    found = _solved(cells, budget, outages)
    made = () if found.x is None else _done(cells, found.x)
    best = _in_order(max(made, simple, key=lambda c: sum(one.taken_away for one in c)))
    # Without a bound nothing is known of what could be better but all that there is.
    bound = -found.mip_dual_bound if found.mip_dual_bound is not None else np.inf
    most = bound * max(option.taken_away[year - 1] for option, year in cells)
    return Choice(best, max(0.0, 100.0 * (most / sum(c.taken_away for c in best) - 1.0)))


def _sensible(options: Sequence[Option]) -> list[Option]:
    """Those that no other of the same place beats or equals in everything."""
    kept: list[Option] = []
    for option in sorted(options, key=lambda o: (o.price, o.earliest, bool(o.takes))):
        beaten = any(
            k.place == option.place
            and k.takes in ("", option.takes)
            and k.price <= option.price
            and k.earliest <= option.earliest
            and k.outages <= option.outages
            and all(a >= b for a, b in zip(k.taken_away, option.taken_away, strict=True))
            for k in kept
        )
        if not beaten:
            kept.append(option)
    return kept


def _solved(cells: list[tuple[Option, int]], budget: float, outages: int | None) -> OptimizeResult:
    rows, most = _limits(cells, budget, outages)
    gain = np.array([option.taken_away[year - 1] for option, year in cells])
    return cheapest(-gain / gain.max(), LinearConstraint(rows, ub=most), mip_rel_gap=1e-6, time_limit=TIME_LIMIT_S)


def _done(cells: list[tuple[Option, int]], marks: np.ndarray) -> tuple[Chosen, ...]:
    return tuple(Chosen(*cell) for cell, mark in zip(cells, marks, strict=True) if mark > 0.5)


def _in_order(made: Iterable[Chosen]) -> tuple[Chosen, ...]:
    return tuple(sorted(made, key=lambda c: (c.year, -c.taken_away, c.option.place)))


def _limits(cells: list[tuple[Option, int]], budget: float, outages: int | None) -> tuple[csr_array, np.ndarray]:
    """The limits that no choice may exceed, a row each: one option a place, one use of a spare, each year."""
    entries: dict[tuple[str, object], list[tuple[int, float]]] = {}
    most: dict[tuple[str, object], float] = {}

    def add(kind: str, key: object, cell: int, amount: float, bound: float) -> None:
        entries.setdefault((kind, key), []).append((cell, amount))
        most[kind, key] = bound

    for cell, (option, year) in enumerate(cells):
        add("place", option.place, cell, 1.0, 1.0)
        # In cents, so that the solver's tolerance is smaller than the smallest coin.
        add("budget", year, cell, round(option.price * CENTS), floor(budget * CENTS + 1e-6))
        if option.takes:
            add("spare", option.takes, cell, 1.0, 1.0)
        if outages is not None:
            add("outages", year, cell, option.outages, outages)
    where = [(row, cell) for row, own in enumerate(entries.values()) for cell, _ in own]
    amounts = [amount for own in entries.values() for _, amount in own]
    matrix = csr_array((amounts, tuple(zip(*where, strict=True))), (len(entries), len(cells)))
    return matrix, np.array([most[key] for key in entries])


def _by_the_list(options: Sequence[Option], *, years: int, budget: float, outages: int | None) -> Iterator[Chosen]:
    """The choice of a person with a list, year by year: the most risk away for the money first."""
    gone: set[str] = set()
    for year in range(1, years + 1):
        left, times = floor(budget * CENTS + 1e-6), outages
        able = [o for o in options if o.earliest <= year and o.taken_away[year - 1] > 0.0]
        for option in sorted(able, key=lambda o: _worth(o, year)):
            cents = round(option.price * CENTS)
            enough = cents <= left and (times is None or option.outages <= times)
            if enough and not gone & {option.place, option.takes}:
                gone |= {option.place, option.takes} - {""}
                left -= cents
                times = None if times is None else times - option.outages
                yield Chosen(option, year)


def _worth(option: Option, year: int) -> tuple[float, str]:
    gain = option.taken_away[year - 1]
    return (-gain / option.price if option.price else -np.inf, option.place)
