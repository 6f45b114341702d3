"""Rates by kind and model from what every plant counted, and the file that a plant's own store begins with."""

import json

import numpy as np
import pytest
from scipy import stats

from register.calc.spares import failure_rate_per_year
from register.facts.standard_tables import load_tables
from register.fleet.between_plants import posterior
from register.fleet.rates import Watched, by_kind, by_model, published
from register.fleet.rates_file import LEAST_PLANTS, rates_file
from register.maintenance.rates_file import read_rates

PUBLISHED = published(load_tables()["failure-rates"])


def row(plant, failures, years, kind="drive", model="M", year=2024, high=False, doubtful=0):
    return Watched(plant, kind, high, model, year, failures, doubtful, years)


def plants(count, seed=4, mean=0.03, shape=1.5):
    """Plants with rates drawn from a gamma distribution, each watched for two years."""
    random = np.random.default_rng(seed)
    for n in range(count):
        rate, years = random.gamma(shape, mean / shape), random.uniform(40.0, 200.0)
        for year in (2024, 2025):
            yield row(f"P{n:02}", int(random.poisson(rate * years)), years, year=year)


def test_published_rates_are_those_of_the_table():
    # Source: IEEE 493, motor starters to 600 V and above (from memory).
    assert PUBLISHED["across-the-line", False] == 0.0139
    assert PUBLISHED["across-the-line", True] == 0.0153


def test_a_plants_years_are_summed_and_kinds_and_voltages_kept_apart():
    rows = [row("A", 1, 10.0), row("A", 2, 20.0, model="N"), row("B", 0, 5.0), row("A", 1, 9.0, high=True)]
    low, high = by_kind([*rows, row("A", 4, 9.0, kind=None)], PUBLISHED)
    assert [(p.plant, p.failures, p.device_years) for p in low.plants] == [("A", 3, 30.0), ("B", 0, 5.0)]
    assert (low.failures, low.device_years, low.name) == (3, 35.0, "drive")
    assert (high.failures, high.name) == (1, "drive, above 1000 V")
    assert [(m.name, m.failures) for m in by_model(rows, PUBLISHED)] == [("M", 1), ("N", 2), ("M, above 1000 V", 1)]


def test_the_rate_of_one_plant_leans_to_all_the_others():
    (found,) = by_kind([*plants(30), row("Silent", 0, 3.0), row("Bad", 40, 100.0)], PUBLISHED)
    by_name = {one.plant: one for one in found.plants}
    # Little was seen at the one, much at the other.
    assert by_name["Silent"].rate.per_year == pytest.approx(found.mean.per_year, rel=0.25)
    assert by_name["Bad"].rate.per_year == pytest.approx(0.4, rel=0.2)
    # Source: calc.spares, which is tested against scipy.stats.gamma.
    alone = failure_rate_per_year(prior_per_year=0.0139, failures=np.array(40), unit_years=np.array(100.0))
    assert by_name["Bad"].alone.per_year == pytest.approx(float(alone))
    assert found.mean.low < found.mean.per_year < found.mean.high < found.new_plant.high
    assert found.new_plant.low < found.mean.low


def test_one_plant_and_none_both_have_a_rate():
    (found,) = by_kind([row("A", 0, 12.0)], PUBLISHED)
    assert found.mean.high > found.mean.per_year > found.mean.low > 0.0
    assert found.prior_without == {}
    (found,) = by_kind([row("A", 2, 0.0, year=None)], PUBLISHED)
    assert (found.plants, found.left_out, found.failures) == ((), ("A",), 0)
    # Source: nothing but the published rate is known.
    assert found.mean.per_year == pytest.approx(0.0139, rel=1e-3)
    assert by_kind([], PUBLISHED) == ()


def test_what_it_is_based_on_is_told():
    (found,) = by_kind([*plants(6), row("A", 0, 10.0, doubtful=2), row("B", 1, 0.0, year=None)], PUBLISHED)
    assert f"{found.failures} failures in" in found.told
    assert "of 7 plants; 2 more name no device and are left out; 1 plant with such devices told nothing" in found.told


def test_plants_that_differ_by_more_than_is_assumed_are_named():
    rows = [row(f"P{n}", 0, 500.0) for n in range(20)] + [row("Bad", 400, 500.0)]
    (found,) = by_kind(rows, PUBLISHED)
    assert found.beyond_spread
    assert "too narrow" in found.told
    assert not by_kind(plants(20), PUBLISHED)[0].beyond_spread


def test_the_prior_is_the_gamma_distribution_of_a_new_plants_mean_and_variance():
    (found,) = by_kind(plants(25), PUBLISHED)
    counts = [(one.failures, one.device_years) for one in found.plants]
    weights = posterior(*np.array(counts).T, published_per_year=0.0139)
    # Source: scipy.stats: rates drawn from the posterior, then a plant's from the gamma distribution of each.
    random = np.random.default_rng(2)
    at = random.choice(weights.weight.shape[1], 400_000, p=weights.weight[0])
    shape = 1.0 / weights.spread[0, at] ** 2
    drawn = random.gamma(shape, weights.mean[0, at] / shape)
    prior = stats.gamma(found.prior.shape, scale=1 / found.prior.device_years)
    assert (prior.mean(), prior.std()) == pytest.approx((drawn.mean(), drawn.std()), rel=0.01)
    assert (found.new_plant.low, found.new_plant.high) == pytest.approx(np.quantile(drawn, [0.05, 0.95]), rel=0.03)
    # The upper end, which decides how many spares are held, is kept; the lower one is not as well.
    assert prior.ppf(0.95) == pytest.approx(found.new_plant.high, rel=0.1)


def test_the_prior_is_worth_half_a_failure_at_least():
    (found,) = by_kind([row(f"P{n}", 0, 6.0) for n in range(40)], PUBLISHED)
    assert found.prior.shape == 0.5
    # Source: arithmetic; the mean of a gamma distribution is its shape over its rate.
    assert found.prior.shape / found.prior.device_years == pytest.approx(found.new_plant.per_year)


def test_the_file_gives_each_plant_what_the_others_saw(tmp_path):
    found = by_kind([*plants(12), row("P00", 1, 9.0, kind="soft starter")], PUBLISHED)
    data, left_out = rates_file(found, {f"P{n:02}": f"reg-{n}" for n in range(12)}, made_on="2026-11-25")
    path = tmp_path / "rates.json"
    path.write_bytes(data)
    read = read_rates(path)
    assert [rate.kind for rate in read.rates] == ["drive"]
    assert left_out == [f"soft starter: 1 of {LEAST_PLANTS} plants that are needed tell what failed"]
    assert sorted(read.rates[0].without) == sorted(f"reg-{n}" for n in range(12))
    (others,) = by_kind([r for r in plants(12) if r.plant != "P03"], PUBLISHED)
    own = read.of("drive", False, "reg-3").gamma
    assert (own.shape, own.device_years) == pytest.approx((others.prior.shape, others.prior.device_years), rel=0.02)
    assert read.of("drive", False, "elsewhere").gamma == found[0].prior


def test_the_file_is_the_same_in_any_order():
    rows = list(plants(8))
    numbers = {f"P{n:02}": f"reg-{n}" for n in range(8)}
    texts = {rates_file(by_kind(some, PUBLISHED), numbers, made_on="2026-11-25")[0] for some in (rows, rows[::-1])}
    assert len(texts) == 1
    assert json.loads(texts.pop())["made_on"] == "2026-11-25"


def test_shared_rates_hit_nearer_than_published_ones():
    # Forty plants of known rates; each store's mean from what the others saw and its own, against the published start.
    random = np.random.default_rng(12)
    truth = random.gamma(1.5, 0.04 / 1.5, 40)
    years = random.uniform(10.0, 60.0, 40)
    failures = random.poisson(truth * years)
    (found,) = by_kind([row(f"P{n:02}", int(failures[n]), float(years[n])) for n in range(40)], PUBLISHED)
    alone = np.array([one.alone.per_year for one in found.plants])
    priors = [found.prior_without[one.plant] for one in found.plants]
    shared = np.array([(p.shape + n) / (p.device_years + t) for p, n, t in zip(priors, failures, years, strict=True)])
    assert np.mean((shared - truth) ** 2) < 0.8 * np.mean((alone - truth) ** 2)
