"""Replacements and spares chosen together: the most risk taken away for the same money.

A spare is bought for a group of positions that share it. Of the failures there, one finds the n-th spare
on the shelf, and would not find it if there were one fewer, with the probability that just n - 1 are on
order: the n-th share. A position that is replaced fails less, so a spare then gives less there, and the
other way round: both are counted together, and not added.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import LinearConstraint

from register.planning.solver import cheapest
from register.planning.years.choice import (
    TIME_LIMIT_S,
    Cell,
    Chosen,
    Limits,
    Option,
    by_the_list,
    cells_of,
    done,
    in_order,
    limits,
)

NIL = 1e-12


@dataclass(frozen=True)
class Levels:
    """The risk at one position each year: as it stands and once replaced, with no spare and with one that is there."""

    bare: tuple[float, ...]
    stocked: tuple[float, ...]
    new_bare: tuple[float, ...]
    new_stocked: tuple[float, ...]

    def risk(self, year: int, *, replaced: bool, share: float) -> float:
        """The risk in a year (from 1), where that share of the failures finds a spare."""
        bare, stocked = (self.new_bare, self.new_stocked) if replaced else (self.bare, self.stocked)
        return bare[year - 1] - share * (bare[year - 1] - stocked[year - 1])

    def spared(self, year: int) -> float:
        """What a spare that is always there takes away in a year."""
        return self.bare[year - 1] - self.stocked[year - 1]

    def less(self, year: int) -> float:
        """How much less that is once the device is replaced."""
        return self.spared(year) - (self.new_bare[year - 1] - self.new_stocked[year - 1])


@dataclass(frozen=True)
class Offer:
    """A model that can be bought as a spare for some positions; `shares` of the first spare, the second, …"""

    model: str
    price: float
    shares: tuple[float, ...]
    places: tuple[str, ...]
    earliest: int = 1


@dataclass(frozen=True)
class Bought:
    """The n-th spare of an offer, and the year (from 1) from which it is there."""

    offer: Offer
    nth: int
    year: int

    @property
    def share(self) -> float:
        """The share of the failures at its positions that it adds to those that find a spare."""
        return self.offer.shares[self.nth - 1]


@dataclass(frozen=True)
class Both:
    """The replacements and spares chosen, and by how much the best choice could at most be better."""

    chosen: tuple[Chosen, ...]
    bought: tuple[Bought, ...]
    better_pct: float


def share_at(bought: Sequence[Bought], place: str, year: int) -> float:
    """The share of the failures at a position which finds one of the spares bought, in a year."""
    return sum(b.share for b in bought if b.year <= year and place in b.offer.places)


def taken_away(chosen: Sequence[Chosen], bought: Sequence[Bought], levels: Mapping[str, Levels]) -> float:
    """The risk that replacements and spares take away together until the end of the plan."""
    since = {c.option.place: c.year for c in chosen}
    total = sum(c.taken_away for c in chosen)
    for place in {place for b in bought for place in b.offer.places}:
        own = levels[place]
        for year in range(1, len(own.bare) + 1):
            replaced = since.get(place, year + 1) <= year
            share = share_at(bought, place, year)
            total += own.risk(year, replaced=replaced, share=0.0) - own.risk(year, replaced=replaced, share=share)
    return total


def choose_both(
    options: Sequence[Option],
    offers: Sequence[Offer],
    levels: Mapping[str, Levels],
    *,
    years: int,
    budget: float,
    outages: int | None = None,
) -> Both:
    """The replacements and spares that take the most risk away; a spare needs money and no outage.

    Parameters
    ----------
    options, years, budget, outages : as for replacements alone.
    offers : spares that can be bought; no position is in two of them.
    levels : the risk at each position of an offer.
    """
    # A replacement may be worth its price beside a spare only.
    cells = cells_of(options, years, budget, also={place for offer in offers for place in offer.places})
    buys = [
        Bought(offer, nth, year)
        for offer in offers
        if offer.price <= budget and _helps(offer, levels, years)
        for nth in range(1, len(offer.shares) + 1)
        for year in range(offer.earliest, years + 1)
    ]
    simple = in_order(by_the_list(options, years=years, budget=budget, outages=outages))
    if not cells and not buys:
        return Both((), (), 0.0)
    rows = limits(cells, budget, outages)
    for column, buy in enumerate(buys, len(cells)):
        rows.spend(buy.year, column, buy.offer.price, budget)
    _in_turn(rows, buys, len(cells), years)
    gain = [option.taken_away[year - 1] for option, year in cells] + [_alone(buy, levels, years) for buy in buys]
    gain += list(_joint(rows, cells, buys, levels, years))
    scale = max(gain)
    if scale <= 0.0:
        return Both((), (), 0.0)
    matrix, most = rows.made(len(gain))
    free = len(gain) - len(cells) - len(buys)
    found = cheapest(
        -np.array(gain) / scale, LinearConstraint(matrix, ub=most), free=free, mip_rel_gap=1e-6, time_limit=TIME_LIMIT_S
    )
    made: tuple[tuple[Chosen, ...], tuple[Bought, ...]] = (simple, ())
    if found.x is not None:
        marks = found.x[len(cells) : len(cells) + len(buys)]
        bought = tuple(buy for buy, mark in zip(buys, marks, strict=True) if mark > 0.5)
        made = max(made, (in_order(done(cells, found.x)), bought), key=lambda m: taken_away(m[0], m[1], levels))
    total = taken_away(made[0], made[1], levels)
    bound = scale * -found.mip_dual_bound if found.mip_dual_bound is not None else np.inf
    ordered = tuple(sorted(made[1], key=lambda b: (b.year, b.offer.model, b.nth)))
    return Both(made[0], ordered, max(0.0, 100.0 * (bound / total - 1.0)) if total else 0.0)


def _helps(offer: Offer, levels: Mapping[str, Levels], years: int) -> bool:
    """Whether a spare takes any risk away at one of its positions, replaced or not."""
    own = [levels[place] for place in offer.places]
    return any(max(o.spared(year), o.spared(year) - o.less(year)) > NIL for o in own for year in range(1, years + 1))


def _alone(buy: Bought, levels: Mapping[str, Levels], years: int) -> float:
    """What a spare takes away where nothing is replaced."""
    later = range(buy.year, years + 1)
    return buy.share * sum(levels[place].spared(year) for place in buy.offer.places for year in later)


def _in_turn(rows: Limits, buys: Sequence[Bought], begin: int, years: int) -> None:
    """Each spare is bought once, and none before the one in front of it."""
    for column, buy in enumerate(buys, begin):
        rows.add(("once", buy.offer.model, buy.nth), column, 1.0, 1.0)
        for year in range(buy.year, years + 1):
            if buy.nth > 1:
                rows.add(("turn", buy.offer.model, buy.nth, year), column, 1.0, 0.0)
            if buy.nth < len(buy.offer.shares):
                rows.add(("turn", buy.offer.model, buy.nth + 1, year), column, -1.0, 0.0)


def _joint(
    rows: Limits, cells: Sequence[Cell], buys: Sequence[Bought], levels: Mapping[str, Levels], years: int
) -> Iterator[float]:
    """What is gained, or less, where a position is replaced and has a spare; a column each, held by its rows."""
    column = len(cells) + len(buys)
    for offer in dict.fromkeys(buy.offer for buy in buys):
        for place in offer.places:
            swaps = [(at, year) for at, (option, year) in enumerate(cells) if option.place == place]
            for nth in range(1, len(offer.shares) + 1):
                spares = [(at, b.year) for at, b in enumerate(buys, len(cells)) if (b.offer, b.nth) == (offer, nth)]
                for year in range(1, years + 1):
                    both = [[at for at, begins in own if begins <= year] for own in (swaps, spares)]
                    gain = -offer.shares[nth - 1] * levels[place].less(year)
                    if all(both) and abs(gain) > NIL:
                        _hold(rows, ("both", place, nth, year), column, both, least=gain < 0.0)
                        column += 1
                        yield gain


def _hold(rows: Limits, key: tuple, column: int, both: Sequence[Sequence[int]], *, least: bool) -> None:
    """Make a column 1 where something of both is done: at least so where it costs, at most so where it gains."""
    if least:
        rows.add(key, column, -1.0, 1.0)
        for at in (*both[0], *both[1]):
            rows.add(key, at, 1.0, 1.0)
        return
    for side, own in enumerate(both):
        rows.add((*key, side), column, 1.0, 0.0)
        for at in own:
            rows.add((*key, side), at, -1.0, 0.0)
