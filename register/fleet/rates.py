"""How often devices fail, by kind and by model, pooled over plants that are not alike."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np

from register.calc.spares import PRIOR_FAILURES, failure_rate_band_per_year, failure_rate_per_year
from register.calc.standard_table import Table
from register.fleet.between_plants import MOST_SPREAD, Posterior, mean_quantile, plant_quantile, posterior, without_each
from register.maintenance.rates_file import Gamma
from register.text import counted, number, two_digits

LEVEL_PCT = 90.0
# The plants may differ by more than was thought possible where so much of the probability lies in the last tenth.
AT_EDGE = 0.5


@dataclass(frozen=True, slots=True)
class Watched:
    """The devices of one model at one plant in one calendar year: how long they were watched, and what failed.

    `year` is None where a device is out of order and nobody entered since when. `doubtful` name no device.
    """

    plant: str
    kind: str | None
    high_voltage: bool
    model: str | None
    year: int | None
    failures: int
    doubtful: int
    device_years: float


@dataclass(frozen=True, slots=True)
class Band:
    """A rate of failure with its 90 % interval, each a device and year."""

    per_year: float
    low: float
    high: float

    @property
    def told(self) -> str:
        """The three of them, in two digits each."""
        rate, low, high = (two_digits(part) for part in (self.per_year, self.low, self.high))
        return f"{rate} ({low} to {high})"


@dataclass(frozen=True, slots=True)
class PlantRate:
    """One plant: what it counted, and where its own rate lies, all plants considered.

    `alone` is where it would lie had the plant nothing but its own failures and the published rate.
    """

    plant: str
    failures: int
    device_years: float
    rate: Band
    alone: Band


@dataclass(frozen=True)
class PooledRate:
    """How often devices of one kind, or one model, fail over all plants.

    `mean` is of the plants' rates, `new_plant` where the rate of one lies of which nothing is known, `spread` the
    standard deviation of the plants' rates over their mean, with its interval. `prior` is `new_plant` as a gamma
    distribution, worth half a failure at least; `prior_without` the same for each plant that was counted, without its
    own failures. `left_out` are plants that have such devices and tell nothing of their failures.
    """

    kind: str
    high_voltage: bool
    model: str | None
    published_per_year: float
    failures: int
    doubtful: int
    device_years: float
    plants: tuple[PlantRate, ...]
    left_out: tuple[str, ...]
    mean: Band
    new_plant: Band
    spread: Band
    beyond_spread: bool
    prior: Gamma
    prior_without: Mapping[str, Gamma] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """The model or the kind, and whether it is one for high voltage."""
        name = self.model or self.kind
        return f"{name}, above 1000 V" if self.high_voltage else name

    @property
    def told(self) -> str:
        """The mean with its interval, and what it is based on."""
        failures = counted(self.failures, "failure") if self.failures else "no failures"
        years = number(float(f"{self.device_years:.3g}"))
        text = f"{self.mean.told} a year: {failures} in {years} device-years of {counted(len(self.plants), 'plant')}"
        one = self.doubtful == 1
        told = f"{'names' if one else 'name'} no device and {'is' if one else 'are'} left out"
        doubt = f"; {self.doubtful} more {told}" if self.doubtful else ""
        left = f"; {counted(len(self.left_out), 'plant')} with such devices told nothing" if self.left_out else ""
        edge = "; the plants differ by more than is assumed: the intervals are too narrow" if self.beyond_spread else ""
        return f"{text}{doubt}{left}{edge}"


def published(table: Table) -> dict[tuple[str, bool], float]:
    """The published rate of each kind, at low and (True) at high voltage, from the table `failure-rates`."""
    return {
        (str(kind), high): float(table.columns[f"failures_per_year{'_above_600_v' if high else ''}"][row])
        for row, kind in enumerate(table.columns["device_kind"])
        for high in (False, True)
    }


def by_kind(rows: Iterable[Watched], published_rates: Mapping[tuple[str, bool], float]) -> tuple[PooledRate, ...]:
    """The pooled rate of each kind of device, at low and high voltage, by name; devices of unknown kind are left out.

    Parameters
    ----------
    rows : what every plant counted.
    published_rates : of each kind at low and high voltage, a device and year [1/a].
    """
    groups = (((row.kind, row.high_voltage, None), row) for row in rows if row.kind is not None)
    return _pooled(groups, published_rates, whole=True)


def by_model(rows: Iterable[Watched], published_rates: Mapping[tuple[str, bool], float]) -> tuple[PooledRate, ...]:
    """The pooled rate of each model; the parameters are those of `by_kind`. No priors are given."""
    groups = (((row.kind, row.high_voltage, row.model), row) for row in rows if row.kind is not None and row.model)
    return _pooled(groups, published_rates, whole=False)


_Key = tuple[str, bool, str | None]


@dataclass
class _Count:
    failures: int = 0
    doubtful: int = 0
    years: float = 0.0


def _pooled(
    rows: Iterable[tuple[_Key, Watched]], published_rates: Mapping[tuple[str, bool], float], *, whole: bool
) -> tuple[PooledRate, ...]:
    groups: dict[_Key, dict[str, _Count]] = defaultdict(lambda: defaultdict(_Count))
    for key, row in rows:
        own = groups[key][row.plant]
        own.failures += row.failures
        own.doubtful += row.doubtful
        own.years += row.device_years
    return tuple(
        _of_group(key, groups[key], published_rates[key[:2]], whole=whole)
        for key in sorted(groups, key=lambda key: (key[0], key[1], key[2] or ""))
        if key[:2] in published_rates
    )


def _of_group(key: _Key, counts: Mapping[str, _Count], published_rate: float, *, whole: bool) -> PooledRate:
    told = {plant: counts[plant] for plant in sorted(counts) if counts[plant].years > 0.0}
    failures = np.array([one.failures for one in told.values()], float)
    years = np.array([one.years for one in told.values()], float)
    found = posterior(failures, years, published_per_year=published_rate)
    edge = float(found.weight[found.spread > 0.9 * MOST_SPREAD].sum())
    return PooledRate(
        kind=key[0],
        high_voltage=key[1],
        model=key[2],
        published_per_year=published_rate,
        failures=int(failures.sum()),
        doubtful=sum(one.doubtful for one in told.values()),
        device_years=float(years.sum()),
        plants=_plants(found, told, failures, years, published_rate) if whole else (),
        left_out=tuple(plant for plant in sorted(counts) if plant not in told),
        mean=_band(_mean(found), mean_quantile(found, _TAIL), mean_quantile(found, 1.0 - _TAIL)),
        new_plant=_band(_mean(found), plant_quantile(found, _TAIL), plant_quantile(found, 1.0 - _TAIL)),
        spread=_spread(found),
        beyond_spread=edge > AT_EDGE,
        prior=_gammas(found)[0],
        prior_without=_without(found, tuple(told), failures, years, published_rate) if whole else {},
    )


_TAIL = (1.0 - LEVEL_PCT / 100.0) / 2.0


def _mean(found: Posterior) -> np.ndarray:
    return (found.weight * found.mean).sum(axis=1)


def _band(middle: np.ndarray, low: np.ndarray, high: np.ndarray) -> Band:
    return Band(float(middle[0]), float(low[0]), float(high[0]))


def _spread(found: Posterior) -> Band:
    """The spread, and where it lies with 90 %."""
    order = np.argsort(found.spread[0], kind="stable")
    spread, below = found.spread[0, order], np.cumsum(found.weight[0, order])
    low, high = (float(spread[np.searchsorted(below, share)]) for share in (_TAIL, 1.0 - _TAIL))
    return Band(float((found.weight * found.spread).sum()), low, high)


def _plants(
    found: Posterior, told: Mapping[str, _Count], failures: np.ndarray, years: np.ndarray, published_rate: float
) -> tuple[PlantRate, ...]:
    if not told:
        return ()
    shape = 1.0 / found.spread**2
    means = (found.weight * (shape + failures[:, None]) / (shape / found.mean + years[:, None])).sum(axis=1)
    low, high = (plant_quantile(found, share, failures=failures, years=years) for share in (_TAIL, 1.0 - _TAIL))
    return tuple(
        PlantRate(plant, one.failures, one.years, Band(*band), _alone(one, published_rate))
        for (plant, one), *band in zip(told.items(), means.tolist(), low.tolist(), high.tolist(), strict=True)
    )


def _alone(one: _Count, published_rate: float) -> Band:
    own = {"prior_per_year": published_rate, "failures": float(one.failures), "unit_years": one.years}
    low, high = failure_rate_band_per_year(**own, level_pct=LEVEL_PCT)
    return Band(float(failure_rate_per_year(**own)), float(low), float(high))


def _gammas(found: Posterior) -> list[Gamma]:
    """The rate of a new plant as a gamma distribution of the same mean and variance, for each history.

    It is worth half a failure at least, as a published rate is: else no failure in a few years would seem to show that
    there never is one.
    """
    mean = _mean(found)
    variance = (found.weight * found.mean**2 * (1.0 + found.spread**2)).sum(axis=1) - mean**2
    shape = np.maximum(mean**2 / variance, PRIOR_FAILURES)
    return [Gamma(*pair) for pair in zip(shape.tolist(), (shape / mean).tolist(), strict=True)]


def _without(
    found: Posterior, plants: tuple[str, ...], failures: np.ndarray, years: np.ndarray, published_rate: float
) -> dict[str, Gamma]:
    """For each plant the rate of a new one as the others tell it; none for one that is the only one."""
    if len(plants) < 2:
        return {}
    rest = without_each(found, failures, years, published_per_year=published_rate)
    return dict(zip(plants, _gammas(rest), strict=True))
