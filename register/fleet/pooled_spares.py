"""Spares that several plants share, against each plant alone: how many, and what is lost by the way between them.

A plant's place is a path such as ("north", "Alderby"); two plants are the nearer the more parts they share from the
first on. Distance classes are given as days to bring a spare: with three of them, first between plants that share two
parts, then one, then none. A plant whose path is shorter shares with no other what it does not tell.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import PurePosixPath

import numpy as np

from register.calc.spares import demand_expected, spares_enough_pct, spares_needed

Path = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Need:
    """The devices of one model at one plant.

    `rate_per_year` is failures a device and year. `at_least_one` tells that a critical load there wants one however
    rarely it fails. `lead_time_days` None is unknown.
    """

    plant: str
    model: str
    devices: int
    rate_per_year: float
    lead_time_days: float | None
    held: int = 0
    at_least_one: bool = False

    @property
    def failures_per_year(self) -> float:
        """Failures to be expected in a year."""
        return self.devices * self.rate_per_year

    @property
    def demand(self) -> float:
        """Failures to be expected while a new spare is on its way; NaN where the lead time is unknown."""
        lead = np.nan if self.lead_time_days is None else self.lead_time_days
        return float(demand_expected(units=self.devices, failure_rate_per_year=self.rate_per_year, lead_time_days=lead))


@dataclass(frozen=True, slots=True)
class Shared:
    """One stock of a model for several plants, in the reach of one distance class.

    `needed` spares suffice at the level asked for, with `enough_pct`. Each for itself the plants need `alone` in all,
    and then no failure at any of them waits with `alone_enough_pct`, which is less than the level of each: so `needed`
    may even be the larger number. `held` lie there now, and shared are enough with `held_enough_pct`. `store` is the
    plant from where a spare is soonest where one fails, blank where the days are not told; a failure then waits
    `wait_days` on average for it, and `wait_days_per_year` in all in a year.
    """

    model: str
    days: float
    plants: tuple[str, ...]
    devices: int
    demand: float
    needed: int
    enough_pct: float
    alone: int
    alone_enough_pct: float
    held: int
    held_enough_pct: float
    store: str
    wait_days: float
    wait_days_per_year: float

    @property
    def saved(self) -> int:
        """How many fewer the plants need together than each for itself."""
        return self.alone - self.needed


@dataclass(frozen=True)
class PooledSpares:
    """The shared stocks of every model, the nearest reach first; `unknown` are needs whose lead time nobody entered."""

    service_level_pct: float
    days: tuple[float, ...]
    shared: tuple[Shared, ...]
    unknown: tuple[Need, ...]

    def one_for_many(self, plants: int = 6) -> tuple[Shared, ...]:
        """Where one shared spare serves so many plants or more that would else hold several; the most saved first."""
        found = [one for one in self.shared if one.needed == 1 and one.alone > 1 and len(one.plants) >= plants]
        return tuple(sorted(found, key=lambda one: (-one.saved, one.days, one.model, one.plants)))


def pooled(
    needs: Iterable[Need], places: Mapping[str, Path], days: Sequence[float], *, service_level_pct: float = 95.0
) -> PooledSpares:
    """Every stock that two plants or more could share, of every model, in the reach of each distance class.

    Parameters
    ----------
    needs : the devices of each model at each plant.
    places : the path of each plant; a plant that is missing has an empty one.
    days : days to bring a spare between two plants, by distance class from near to far, not falling.
    service_level_pct : probability asked for that at a moment no failure waits for a delivery.

    Notes
    -----
    A spare is ordered when one is taken. Then the number on order is Poisson, its mean the failures in a lead time,
    however the lead time varies (Palm), and that of several plants is Poisson of the sum.

    References
    ----------
    Palm's theorem: Sherbrooke, Optimal Inventory Modeling of Systems, chapter 2 (from memory).
    """
    every = sorted(needs, key=lambda need: (need.plant, need.model))
    by_model: dict[str, list[Need]] = defaultdict(list)
    for need in every:
        if need.devices and need.lead_time_days is not None:
            by_model[need.model].append(need)
    shared: list[Shared] = []
    for model in sorted(by_model):
        paths = {need.plant: _whole(need.plant, places, len(days) - 1) for need in by_model[model]}
        alone = {need.plant: _alone(need, service_level_pct) for need in by_model[model]}
        before: set[tuple[str, ...]] = set()
        for level in range(len(days)):
            for own in _near(by_model[model], paths, len(days) - 1 - level):
                plants = tuple(need.plant for need in own)
                if len(own) > 1 and plants not in before:
                    before.add(plants)
                    shared.append(_shared(own, paths, days, level, alone=alone, service_level_pct=service_level_pct))
    unknown = tuple(need for need in every if need.lead_time_days is None)
    return PooledSpares(service_level_pct, tuple(days), tuple(shared), unknown)


def _whole(plant: str, places: Mapping[str, Path], parts: int) -> Path:
    """The path of a plant in so many parts; what it does not tell is its own."""
    own = tuple(places.get(plant, ()))[:parts]
    return own + (f"\x1f{plant}",) * (parts - len(own))


def _near(needs: Sequence[Need], paths: Mapping[str, Path], parts: int) -> list[list[Need]]:
    """The needs of plants whose paths share so many parts, together."""
    groups: dict[Path, list[Need]] = defaultdict(list)
    for need in needs:
        groups[paths[need.plant][:parts]].append(need)
    return [groups[path] for path in sorted(groups)]


def _alone(need: Need, service_level_pct: float) -> int:
    """The spares that one plant needs for itself."""
    needed = spares_needed(demand_expected=need.demand, service_level_pct=service_level_pct)
    return max(int(needed), int(need.at_least_one))


def _shared(
    own: Sequence[Need],
    paths: Mapping[str, Path],
    days: Sequence[float],
    level: int,
    *,
    alone: Mapping[str, int],
    service_level_pct: float,
) -> Shared:
    demands = np.array([need.demand for need in own])
    demand = demands.sum()
    each = np.array([alone[need.plant] for need in own])
    least = int(any(need.at_least_one for need in own))
    needed = max(least, int(spares_needed(demand_expected=demand, service_level_pct=service_level_pct)))
    held = sum(need.held for need in own)
    store, waits = _store(own, paths, days)
    failures = sum(need.failures_per_year for need in own)
    return Shared(
        model=own[0].model,
        days=days[level],
        plants=tuple(need.plant for need in own),
        devices=sum(need.devices for need in own),
        demand=float(demand),
        needed=needed,
        enough_pct=float(spares_enough_pct(demand_expected=demand, held=needed)),
        alone=int(each.sum()),
        alone_enough_pct=100.0 * float(np.prod(spares_enough_pct(demand_expected=demands, held=each) / 100.0)),
        held=held,
        held_enough_pct=float(spares_enough_pct(demand_expected=demand, held=held)),
        store=store,
        wait_days=waits / failures if failures else 0.0,
        wait_days_per_year=waits,
    )


def _store(own: Sequence[Need], paths: Mapping[str, Path], days: Sequence[float]) -> tuple[str, float]:
    """The plant from which spares are soonest where they are wanted, and the days waited for them in a year."""
    if np.isnan(days).any():
        return "", float("nan")
    within: dict[Path, float] = defaultdict(float)
    for need in own:
        for parts in range(len(days)):
            within[paths[need.plant][:parts]] += need.failures_per_year
    waits = np.zeros(len(own))
    for row, need in enumerate(own):
        nearer = need.failures_per_year
        for level, far in enumerate(days):
            reached = within[paths[need.plant][: len(days) - 1 - level]]
            waits[row] += far * (reached - nearer)
            nearer = reached
    best = int(np.argmin(np.round(waits, 9)))
    return own[best].plant, float(waits[best])


def folders(places: Mapping[str, str]) -> dict[str, tuple[str, ...]]:
    """For each plant the folders below the one that has all of them.

    >>> folders({"a": "/all/north/alder/a.db", "b": "/all/north/b.db", "c": "/all/c.db"})
    {'a': ('north', 'alder'), 'b': ('north',), 'c': ()}
    """
    parts = {plant: PurePosixPath(place.replace("\\", "/")).parent.parts for plant, place in places.items()}
    shared = 0
    for level in zip(*parts.values(), strict=False):
        if len(set(level)) > 1:
            break
        shared += 1
    return {plant: own[shared:] for plant, own in parts.items()}
