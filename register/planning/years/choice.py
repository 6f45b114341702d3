"""Which replacements to make in which year: the most risk taken away for what can be spent."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
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


Cell = tuple[Option, int]


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
    cells = cells_of(options, years, budget)
    simple = tuple(by_the_list(options, years=years, budget=budget, outages=outages))
    if not simple:
        return Choice((), 0.0)
    found = _solved(cells, budget, outages)
    made = () if found.x is None else done(cells, found.x)
    best = in_order(max(made, simple, key=lambda c: sum(one.taken_away for one in c)))
    # Without a bound nothing is known of what could be better but all that there is.
    bound = -found.mip_dual_bound if found.mip_dual_bound is not None else np.inf
    most = bound * max(option.taken_away[year - 1] for option, year in cells)
    return Choice(best, max(0.0, 100.0 * (most / sum(c.taken_away for c in best) - 1.0)))


def cells_of(options: Sequence[Option], years: int, budget: float, also: Container[str] = ()) -> list[Cell]:
    """Each option in each year in which it can be done and takes risk away; at places `also`, any."""
    return [
        (option, year)
        for option in _sensible(options)
        for year in range(option.earliest, years + 1)
        if (option.taken_away[year - 1] > 0.0 or option.place in also) and option.price <= budget
    ]


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


def _solved(cells: list[Cell], budget: float, outages: int | None) -> OptimizeResult:
    rows, most = limits(cells, budget, outages).made(len(cells))
    gain = np.array([option.taken_away[year - 1] for option, year in cells])
    return cheapest(-gain / gain.max(), LinearConstraint(rows, ub=most), mip_rel_gap=1e-6, time_limit=TIME_LIMIT_S)


def done(cells: list[Cell], marks: np.ndarray) -> tuple[Chosen, ...]:
    """The cells that are marked."""
    return tuple(Chosen(*cell) for cell, mark in zip(cells, marks[: len(cells)], strict=True) if mark > 0.5)


def in_order(made: Iterable[Chosen]) -> tuple[Chosen, ...]:
    """By year, the most taken away first."""
    return tuple(sorted(made, key=lambda c: (c.year, -c.taken_away, c.option.place)))


@dataclass
class Limits:
    """Sums that no choice may exceed, a row each."""

    entries: dict[tuple, list[tuple[int, float]]] = field(default_factory=dict)
    most: dict[tuple, float] = field(default_factory=dict)

    def add(self, row: tuple, column: int, amount: float, bound: float) -> None:
        """Count `amount` of what stands in a column to a row, and set its bound."""
        self.entries.setdefault(row, []).append((column, amount))
        self.most[row] = bound

    def spend(self, year: int, column: int, price: float, budget: float) -> None:
        """Count a price to a year's budget, in cents: the solver's tolerance is smaller than the smallest coin."""
        self.add(("budget", year), column, round(price * CENTS), floor(budget * CENTS + 1e-6))

    def made(self, columns: int) -> tuple[csr_array, np.ndarray]:
        """All of them as a matrix, and the bounds."""
        where = [(row, column) for row, own in enumerate(self.entries.values()) for column, _ in own]
        amounts = [amount for own in self.entries.values() for _, amount in own]
        matrix = csr_array((amounts, tuple(zip(*where, strict=True))), (len(self.entries), columns))
        return matrix, np.array([self.most[key] for key in self.entries])


def limits(cells: list[Cell], budget: float, outages: int | None) -> Limits:
    """One option a place, one use of a spare; the money and the outages of each year."""
    rows = Limits()
    for column, (option, year) in enumerate(cells):
        rows.add(("place", option.place), column, 1.0, 1.0)
        rows.spend(year, column, option.price, budget)
        if option.takes:
            rows.add(("spare", option.takes), column, 1.0, 1.0)
        if outages is not None:
            rows.add(("outages", year), column, option.outages, outages)
    return rows


def by_the_list(options: Sequence[Option], *, years: int, budget: float, outages: int | None) -> Iterator[Chosen]:
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
