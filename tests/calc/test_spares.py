"""Rates of failure and numbers of spares, against published examples and another library."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from register.calc import spares
from register.facts.standard_tables import load_tables


def test_the_textbook_example_of_spares():
    # Source: Blanchard, Logistics Engineering and Management, spare parts (from memory): 20 parts
    # at 0.1 failures in 1000 h, day and night, new ones every 3 months, 95 %: K·λ·T = 4.32, 8 spares.
    demand = spares.demand_expected(units=20, failure_rate_per_year=0.1 / 1000 * 8766, lead_time_days=90.0)
    assert demand == pytest.approx(4.32, abs=0.005)
    assert spares.spares_needed(demand_expected=demand, service_level_pct=95.0) == 8


@pytest.mark.parametrize(
    ("demand", "held", "pct"),
    # Source: printed tables of the cumulative Poisson distribution (from memory).
    [(0.1, 0, 90.48), (1.0, 1, 73.58), (2.0, 3, 85.71), (5.0, 8, 93.19), (10.0, 15, 95.13)],
)
def test_the_printed_table_of_poisson(demand, held, pct):
    assert spares.spares_enough_pct(demand_expected=demand, held=held) == pytest.approx(pct, abs=0.005)


@given(st.floats(0.0, 3000.0), st.floats(0.0, 99.99))
def test_spares_are_those_of_another_library(demand, level):
    # Source: scipy.stats.poisson; its ppf(0) is -1, and nobody holds fewer than none.
    found = float(spares.spares_needed(demand_expected=demand, service_level_pct=level))
    assert stats.poisson.cdf(found, demand) >= level / 100 - 1e-9
    assert found == 0 or stats.poisson.cdf(found - 1, demand) < level / 100 + 1e-9


@given(st.floats(0.0, 3000.0), st.integers(0, 4000))
def test_probabilities_are_those_of_another_library(demand, held):
    found = spares.spares_enough_pct(demand_expected=demand, held=held)
    assert found == pytest.approx(100 * stats.poisson.cdf(held, demand), abs=1e-7)


def test_a_service_level_met_exactly_is_met():
    # Source: arithmetic, P(0) = exp(-m).
    demand = -np.log(0.95)
    assert spares.spares_needed(demand_expected=demand, service_level_pct=95.0) == 0
    assert spares.spares_needed(demand_expected=demand + 1e-6, service_level_pct=95.0) == 1


def test_the_published_example_of_a_rate():
    # Source: NUREG/CR-6823, small-break losses of coolant (from memory): none in 2102 years, a prior
    # of shape 1/2 and no years: mean 2.4e-4, 90 % band 9.4e-7 to 9.1e-4. A large mean has no years.
    seen = {"prior_per_year": 1e9, "failures": 0, "unit_years": 2102.0}
    assert spares.failure_rate_per_year(**seen) == pytest.approx(2.38e-4, abs=1e-6)
    low, high = spares.failure_rate_band_per_year(**seen)
    assert low == pytest.approx(9.35e-7, abs=1e-9)
    assert high == pytest.approx(9.14e-4, abs=1e-6)


@given(st.floats(0.001, 1.0), st.integers(0, 50), st.floats(0.0, 5000.0))
def test_the_band_is_that_of_another_library(prior, failures, years):
    # Source: scipy.stats.gamma.
    seen = {"prior_per_year": prior, "failures": failures, "unit_years": years}
    posterior = stats.gamma(0.5 + failures, scale=1 / (0.5 / prior + years))
    assert spares.failure_rate_per_year(**seen) == pytest.approx(posterior.mean())
    low, high = spares.failure_rate_band_per_year(**seen)
    assert (low, high) == pytest.approx((posterior.ppf(0.05), posterior.ppf(0.95)), rel=1e-6)


def test_the_plants_own_failures_outweigh_what_was_published():
    # Source: arithmetic; the more years, the nearer to failures over years.
    found = [
        float(spares.failure_rate_per_year(prior_per_year=0.0139, failures=n, unit_years=50.0 * n))
        for n in (1, 10, 1000)
    ]
    assert np.abs(np.array(found) - 0.02)[-1] < 1e-4
    assert found == sorted(found)


def test_what_is_unknown_stays_unknown():
    for known in (
        {"units": np.nan, "failure_rate_per_year": 0.01, "lead_time_days": 50.0},
        {"units": 5.0, "failure_rate_per_year": np.nan, "lead_time_days": 50.0},
        {"units": 5.0, "failure_rate_per_year": 0.01, "lead_time_days": np.nan},
    ):
        demand = spares.demand_expected(**known)
        assert np.isnan(demand)
        assert np.isnan(spares.spares_needed(demand_expected=demand, service_level_pct=95.0))
        assert np.isnan(spares.spares_enough_pct(demand_expected=demand, held=1))


def test_all_at_once_is_one_by_one():
    demands = np.array([[0.0, 0.01, np.nan], [1.0, 7.5, 800.0]])
    found = spares.spares_needed(demand_expected=demands, service_level_pct=97.5)
    for at in np.ndindex(demands.shape):
        alone = spares.spares_needed(demand_expected=demands[at], service_level_pct=97.5)
        assert found[at] == alone or np.isnan(demands[at])


def test_every_kind_of_device_has_a_published_rate():
    from register import columns

    table = load_tables()["failure-rates"].columns
    assert tuple(table["device_kind"]) == columns.TABLES["model"].column("device_kind").choices
    # Source: IEEE 493, motor starters, contact type, to 600 V: 0.0139 a unit and year (from memory).
    assert table["failures_per_year"][0] == 0.0139
