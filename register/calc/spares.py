"""How often devices fail, and how many spares a store has to hold until more can come."""

from __future__ import annotations

import numpy as np
from scipy.special import gammaincinv

Numbers = np.ndarray | float

DAYS_PER_YEAR = 365.25

# Half a failure: what a prior is worth of which only the mean is known.
PRIOR_FAILURES = 0.5


def failure_rate_per_year(
    *, prior_per_year: Numbers, failures: Numbers, unit_years: Numbers, prior_failures: Numbers = PRIOR_FAILURES
) -> np.ndarray:
    """Failures a unit and year, from a published mean and what the plant has seen itself.

    Parameters
    ----------
    prior_per_year : published mean failures of one unit in a year [1/a]
    failures : failures seen
    unit_years : years under observation, summed over the units [a]
    prior_failures : failures that the published mean is worth

    Returns
    -------
    failure_rate_per_year : mean of the posterior [1/a]

    Notes
    -----
    Gamma prior of shape 1/2 with the published mean, worth half a failure; the Poisson likelihood
    adds failures to the shape and years to the rate:  (1/2 + n) / (1/2/prior + T). Where the prior is
    known better than by its mean, its shape takes the place of 1/2.

    References
    ----------
    NUREG/CR-6823, constrained noninformative prior for a Poisson rate (from memory).

    Examples
    --------
    >>> round(float(failure_rate_per_year(prior_per_year=0.0139, failures=0, unit_years=0.0)), 4)
    0.0139
    """
    shape, years = _posterior(prior_per_year, failures, unit_years, prior_failures)
    return shape / years


def failure_rate_band_per_year(
    *,
    prior_per_year: Numbers,
    failures: Numbers,
    unit_years: Numbers,
    prior_failures: Numbers = PRIOR_FAILURES,
    level_pct: float = 90.0,
) -> tuple[np.ndarray, np.ndarray]:
    """Where the rate of failures lies with that probability, as much left out on either side.

    Parameters
    ----------
    prior_per_year : published mean failures of one unit in a year [1/a]
    failures : failures seen
    unit_years : years under observation, summed over the units [a]
    prior_failures : failures that the published mean is worth
    level_pct : probability of the band [%]

    Returns
    -------
    low, high : quantiles of the posterior [1/a]

    References
    ----------
    NUREG/CR-6823, Bayesian interval of a Poisson rate (from memory).

    Examples
    --------
    >>> low, high = failure_rate_band_per_year(prior_per_year=0.02, failures=4, unit_years=200.0)
    >>> round(float(low), 4), round(float(high), 4)
    (0.0074, 0.0376)
    """
    shape, years = _posterior(prior_per_year, failures, unit_years, prior_failures)
    tail = (1.0 - level_pct / 100.0) / 2.0
    return gammaincinv(shape, tail) / years, gammaincinv(shape, 1.0 - tail) / years


def _posterior(prior: Numbers, failures: Numbers, years: Numbers, worth: Numbers) -> tuple:
    shape = np.asarray(worth, float) + np.asarray(failures, float)
    return shape, np.asarray(worth, float) / np.asarray(prior, float) + np.asarray(years, float)


def demand_expected(*, units: Numbers, failure_rate_per_year: Numbers, lead_time_days: Numbers) -> np.ndarray:
    """Failures to be expected among some units while a new spare is on its way.

    Parameters
    ----------
    units : units in service that the spare stands behind
    failure_rate_per_year : failures of one unit in a year [1/a]
    lead_time_days : from the order to the delivery [d]

    Returns
    -------
    demand_expected : NaN where any is unknown

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> demand = demand_expected(units=40, failure_rate_per_year=0.0139, lead_time_days=56.0)
    >>> round(float(demand), 4)
    0.0852
    """
    units, rate = np.asarray(units, float), np.asarray(failure_rate_per_year, float)
    return units * rate * np.asarray(lead_time_days, float) / DAYS_PER_YEAR


def spares_enough_pct(*, demand_expected: Numbers, held: Numbers) -> np.ndarray:
    """Probability that what is held covers every failure until more comes.

    Parameters
    ----------
    demand_expected : failures to be expected in that time
    held : spares held

    Returns
    -------
    spares_enough_pct : P(X ≤ held) of a Poisson X; NaN where either is unknown [%]

    References
    ----------
    Poisson distribution; any text on reliability.

    Examples
    --------
    >>> round(float(spares_enough_pct(demand_expected=2.0, held=3)), 2)
    85.71
    """
    demand, held = np.broadcast_arrays(np.asarray(demand_expected, float), np.asarray(held, float))
    found = np.full(demand.shape, np.nan)
    for at in np.ndindex(demand.shape):
        if np.isfinite(demand[at]) and np.isfinite(held[at]):
            found[at] = 100.0 * _cumulative(demand[at], int(held[at]))[-1]
    return found


def spares_needed(*, demand_expected: Numbers, service_level_pct: Numbers) -> np.ndarray:
    """Fewest spares with which no failure has to wait, with that probability.

    Parameters
    ----------
    demand_expected : failures to be expected until more spares come
    service_level_pct : probability asked for, below 100 [%]

    Returns
    -------
    spares_needed : smallest k with P(X ≤ k) at least so high; NaN where either is unknown

    Notes
    -----
    Exact sum of the Poisson distribution, not its normal approximation: demands are far below one.

    References
    ----------
    Poisson distribution; any text on spares.

    Examples
    --------
    >>> float(spares_needed(demand_expected=4.32, service_level_pct=95.0))
    8.0
    """
    demand, level = np.broadcast_arrays(
        np.asarray(demand_expected, float), np.asarray(service_level_pct, float) / 100.0
    )
    found = np.full(demand.shape, np.nan)
    for at in np.ndindex(demand.shape):
        if np.isfinite(demand[at]) and 0.0 <= level[at] < 1.0:
            # A hundred standard deviations beyond the mean, where nothing is left to add.
            most = int(demand[at] + 100.0 * np.sqrt(demand[at]) + 100.0)
            found[at] = np.searchsorted(_cumulative(demand[at], most), level[at] * (1.0 - 1e-12))
    return found


def _cumulative(demand: float, most: int) -> np.ndarray:
    """P(X ≤ k) for k = 0 … most; summed from logarithms, so that no demand is too large."""
    if demand == 0.0:
        return np.ones(most + 1)
    k = np.arange(most + 1.0)
    log_factorial = np.cumsum(np.log(np.maximum(k, 1.0)))
    return np.minimum(np.cumsum(np.exp(k * np.log(demand) - demand - log_factorial)), 1.0)
