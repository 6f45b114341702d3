"""What fails over all plants: rates with their intervals, trends, and spares that plants could share."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import nan
from pathlib import PurePath
from typing import Any

from register.fleet.pooled_spares import Need, PooledSpares, pooled
from register.fleet.rates import PooledRate, Watched, by_kind, by_model
from register.fleet.trend import Trend, trends

SERVICE_LEVEL_PCT = 95.0
UNTOLD = (nan,)  # nobody said how long a spare is on its way from plant to plant


@dataclass(frozen=True)
class Failing:
    """Rates by kind and by model, trends of each kind over all plants and at each, stocks that plants could share."""

    kinds: tuple[PooledRate, ...]
    models: tuple[PooledRate, ...]
    trends: tuple[Trend, ...]
    spares: PooledSpares


def failing(
    failures: Iterable[Mapping[str, Any]],
    models: Iterable[Mapping[str, Any]],
    places: Mapping[str, str],
    published: Mapping[tuple[str, bool], float],
    *,
    days: Sequence[float] = UNTOLD,
    service_level_pct: float = SERVICE_LEVEL_PCT,
) -> Failing:
    """What fails over all plants, from the rows of their summaries.

    Parameters
    ----------
    failures, models : rows of these tables of all plants, with `plant`.
    places : where the register of each plant lies; the folders tell which plants are near.
    published : rate of each kind, at low and high voltage, a device and year [1/a].
    days : days to bring a spare between plants of one folder, of neighbouring folders, and so on; the last anywhere.
    """
    watched = [_watched(row) for row in failures]
    kinds = by_kind(watched, published)
    rates = _Rates.of(kinds, published)
    needs = [need for need in (_need(row, rates) for row in models) if need is not None]
    return Failing(
        kinds=kinds,
        models=tuple(rate for rate in by_model(watched, published) if rate.failures),
        trends=trends(watched),
        spares=pooled(needs, folders(places), days, service_level_pct=service_level_pct),
    )


def _watched(row: Mapping[str, Any]) -> Watched:
    return Watched(
        plant=row["plant"],
        kind=row["kind"],
        high_voltage=bool(row["high_voltage"]),
        model=called(row["maker"], row["model"]) if row["model"] else None,
        year=row["year"],
        failures=row["failures"],
        doubtful=row["doubtful"],
        device_years=row["device_years"],
    )


def called(maker: str | None, model: str) -> str:
    """A model with its maker, as two makers may use one number."""
    return f"{maker} {model}" if maker else model


@dataclass(frozen=True)
class _Rates:
    """The rate of a kind at a plant; else that of all plants; where nobody told, the published one."""

    own: Mapping[tuple[str, str], float]
    all_plants: Mapping[str, float]
    published: Mapping[str, float]

    @classmethod
    def of(cls, kinds: Iterable[PooledRate], published: Mapping[tuple[str, bool], float]) -> _Rates:
        """Of each kind the rate to 1000 V, or where there is none the one above."""
        own: dict[tuple[str, str], float] = {}
        everywhere: dict[str, float] = {}
        for rate in sorted(kinds, key=lambda rate: not rate.high_voltage):
            everywhere[rate.kind] = rate.mean.per_year
            own |= {(one.plant, rate.kind): one.rate.per_year for one in rate.plants}
        return cls(own, everywhere, {kind: rate for (kind, high), rate in published.items() if not high})

    def at(self, plant: str, kind: str) -> float | None:
        """Failures a device and year."""
        return self.own.get((plant, kind), self.all_plants.get(kind, self.published.get(kind)))


def _need(row: Mapping[str, Any], rates: _Rates) -> Need | None:
    """The need of one plant for one model; None of a model whose kind is unknown."""
    rate = rates.at(row["plant"], row["kind"]) if row["kind"] else None
    if rate is None:
        return None
    return Need(
        plant=row["plant"],
        model=called(row["maker"], row["model"]),
        devices=row["positions"],
        rate_per_year=rate,
        lead_time_days=row["lead_time_days"],
        held=row["in_store"],
        at_least_one=row["critical"] > 0,
    )


def folders(places: Mapping[str, str]) -> dict[str, tuple[str, ...]]:
    """For each plant the folders below the one that has all of them.

    >>> folders({"a": "/all/north/alder/a.db", "b": "/all/north/b.db", "c": "/all/c.db"})
    {'a': ('north', 'alder'), 'b': ('north',), 'c': ()}
    """
    parts = {plant: PurePath(place).parent.parts for plant, place in places.items()}
    shared = 0
    for level in zip(*parts.values(), strict=False):
        if len(set(level)) > 1:
            break
        shared += 1
    return {plant: own[shared:] for plant, own in parts.items()}
