"""Rates over plants that are not alike: against another library, a published example, and histories whose truth is known."""

import numpy as np
import pytest
from scipy import stats

from register.fleet.between_plants import (
    MOST_SPREAD,
    mean_below,
    mean_quantile,
    plant_below,
    plant_quantile,
    posterior,
    without_each,
)

PUBLISHED = 0.0139
SOME = np.array([3, 0, 7, 1]), np.array([150.0, 40.0, 180.0, 90.0])


def summed(failures, years, published=PUBLISHED):
    """Weights on a grid of 3000 means and 200 spreads, straight from the distributions of another library."""
    roots = np.linspace(1e-4, 0.75, 3000)
    mean, spread = np.meshgrid(roots**2, np.linspace(0.005, MOST_SPREAD - 0.005, 200), indexing="ij")
    shape = 1 / spread**2
    # Source: scipy.stats: a Poisson count whose rate is gamma distributed is negative binomial.
    logs = stats.gamma(0.5, scale=2 * published).logpdf(mean) + np.log(roots)[:, None]
    for n, years_of in zip(failures, years, strict=True):
        logs = logs + stats.nbinom(shape, shape / (shape + mean * years_of)).logpmf(n)
    weight = np.exp(logs - logs.max())
    return weight / weight.sum(), mean, spread


def test_the_posterior_is_that_of_another_library():
    weight, mean, spread = summed(*SOME)
    found = posterior(*SOME, published_per_year=PUBLISHED)
    assert (found.weight * found.mean).sum() == pytest.approx((weight * mean).sum(), rel=2e-3)
    assert (found.weight * found.spread).sum() == pytest.approx((weight * spread).sum(), rel=2e-3)
    for rate in (0.005, 0.02, 0.05):
        of_mean = mean_below(found, np.array([rate]))[0]
        assert of_mean == pytest.approx(weight[mean < rate].sum(), abs=4e-3)
        new = (weight * stats.gamma(1 / spread**2, scale=mean * spread**2).cdf(rate)).sum()
        assert plant_below(found, np.array([rate]))[0] == pytest.approx(new, abs=3e-3)
        own = (weight * stats.gamma(1 / spread**2 + 7, scale=1 / (1 / spread**2 / mean + 180)).cdf(rate)).sum()
        assert plant_below(found, np.array([rate]), failures=7, years=180.0)[0] == pytest.approx(own, abs=2e-3)


def test_quantiles_are_where_the_probability_is_reached():
    random = np.random.default_rng(5)
    years = random.uniform(0.01, 900.0, 60)
    failures = random.poisson(random.gamma(1.0, 0.02, 60) * years)
    found = posterior(failures, years, published_per_year=PUBLISHED)
    for share in (0.05, 0.5, 0.95):
        own = plant_quantile(found, share, failures=failures, years=years)
        assert plant_below(found, own, failures=failures, years=years) == pytest.approx(share, abs=1e-5)
        assert plant_below(found, plant_quantile(found, share)) == pytest.approx(share, abs=1e-5)
        assert mean_below(found, mean_quantile(found, share)) == pytest.approx(share, abs=1e-5)


def test_the_published_example_of_ten_pumps():
    # Source: George, Makov and Smith (1993), ten pumps of a plant, failures and thousands of hours, as in the examples
    # of BUGS, volume 1, where the rates' posterior means are so (from memory). Priors of the mean differ there, so only
    # the pumps with failures enough are compared.
    failures = np.array([5, 1, 5, 14, 3, 19, 1, 1, 4, 22])
    hours = np.array([94.3, 15.7, 62.9, 126.0, 5.24, 31.4, 1.05, 1.05, 2.1, 10.5])
    there = {0: 0.060, 2: 0.089, 3: 0.116, 4: 0.60, 5: 0.609, 9: 1.99}
    found = posterior(failures, hours, published_per_year=0.7)
    shape = 1 / found.spread**2
    means = (found.weight * (shape + failures[:, None]) / (shape / found.mean + hours[:, None])).sum(axis=1)
    for pump, rate in there.items():
        assert means[pump] == pytest.approx(rate, rel=0.05)


def drawn(random, plants, spread, mean, histories):
    """Histories: each plant's true rate, its failures and years; and the rate of a plant that is not among them."""
    years = random.uniform(20.0, 600.0, (histories, plants))
    shape = 1.0 / np.broadcast_to(spread, histories) ** 2
    scale = np.broadcast_to(mean, histories) / shape
    rates = random.gamma(shape[:, None], scale[:, None], (histories, plants))
    return rates, random.poisson(rates * years), years, random.gamma(shape, scale)


def covered(random, rates, failures, years, new, mean):
    """Share of the histories whose 90 % interval has the truth: of the mean, of one plant, of a new plant [%]."""
    found = posterior(failures, years, published_per_year=PUBLISHED)
    rows = np.arange(len(failures))
    one = rows, random.integers(0, failures.shape[1], len(rows))
    below = (
        mean_below(found, np.broadcast_to(mean, len(rows))),
        plant_below(found, rates[one], failures=failures[one], years=years[one]),
        plant_below(found, new),
    )
    return [100.0 * np.mean((part >= 0.05) & (part <= 0.95)) for part in below]


@pytest.mark.parametrize(("plants", "least"), [(12, 88.0), (3, 86.0)])
def test_intervals_cover_what_they_say_where_the_spread_is_any_that_is_assumed(plants, least):
    # 2,000 histories; the standard error of a share is 0.7 %. The true mean is a third to four times the published one:
    # with three plants that still counts, and the intervals cover a little less.
    random = np.random.default_rng(20)
    spread = random.uniform(0.0, MOST_SPREAD, 2000)
    mean = PUBLISHED * random.choice([1 / 3, 1.0, 2.0, 4.0], 2000)
    shares = covered(random, *drawn(random, plants, spread, mean, 2000), mean)
    assert all(least <= share <= 92.0 for share in shares), shares


def test_intervals_cover_nearly_as_much_at_each_spread_that_is_usual():
    random = np.random.default_rng(21)
    for spread in (0.6, 1.0):
        shares = covered(random, *drawn(random, 12, spread, 0.02, 1000), 0.02)
        assert all(86.0 <= share <= 93.0 for share in shares), (spread, shares)


def test_the_intervals_are_wide_where_plants_are_alike_and_too_narrow_where_they_differ_by_more():
    random = np.random.default_rng(22)
    alike = covered(random, *drawn(random, 12, 0.02, 0.02, 1000), 0.02)
    assert all(share >= 92.0 for share in alike), alike
    apart = covered(random, *drawn(random, 12, 1.5 * MOST_SPREAD, 0.02, 1000), 0.02)
    assert all(50.0 <= share <= 80.0 for share in apart), apart


@pytest.mark.parametrize(
    ("failures", "years"),
    [([], []), ([0], [0.0]), ([0], [1e-6]), ([0] * 40, [1e-3] * 40), ([0] * 40, [1e4] * 40), ([1e5] * 3, [1e6] * 3)],
)
def test_little_and_much_both_have_an_interval(failures, years):
    failures, years = np.array(failures, float), np.array(years, float)
    found = posterior(failures, years, published_per_year=PUBLISHED)
    ends = [mean_quantile(found, share)[0] for share in (0.05, 0.95)]
    new = [plant_quantile(found, share)[0] for share in (0.05, 0.95)]
    assert 0.0 < ends[0] < ends[1] < np.inf
    assert 0.0 < new[0] < new[1] < np.inf
    if years.sum() < 1.0:
        # Source: scipy.stats.gamma, what was published and worth half a failure.
        there = stats.gamma(0.5, scale=2 * PUBLISHED)
        assert ends == pytest.approx([there.ppf(0.05), there.ppf(0.95)], rel=0.02)
    if failures.sum() > 1e5:
        assert ends[0] < 0.1 < ends[1]


def test_many_plants_that_are_alike_are_one_plant():
    failures, years = np.full(60, 10.0), np.full(60, 500.0)
    found = posterior(failures, years, published_per_year=PUBLISHED)
    # Source: scipy.stats.gamma: 600 failures in 30,000 years, and half a failure published.
    there = stats.gamma(600.5, scale=1 / (30000 + 0.5 / PUBLISHED))
    assert mean_quantile(found, 0.05)[0] == pytest.approx(there.ppf(0.05), rel=0.005)
    assert mean_quantile(found, 0.95)[0] == pytest.approx(there.ppf(0.95), rel=0.005)


def test_one_history_is_the_same_alone_and_among_others():
    random = np.random.default_rng(3)
    _, failures, years, _ = drawn(random, 5, 0.8, 0.02, 7)
    together = posterior(failures, years, published_per_year=PUBLISHED)
    for row in range(7):
        alone = posterior(failures[row], years[row], published_per_year=PUBLISHED)
        assert (alone.weight * alone.mean).sum() == pytest.approx((together.weight * together.mean)[row].sum())


def test_without_a_plant_is_as_if_it_were_not_there():
    failures, years = np.array([2, 60, 1, 0, 4]), np.array([100.0, 200.0, 90.0, 300.0, 150.0])
    found = posterior(failures, years, published_per_year=PUBLISHED)
    rest = without_each(found, failures, years, published_per_year=PUBLISHED)
    for plant in range(5):
        others = np.arange(5) != plant
        there = posterior(failures[others], years[others], published_per_year=PUBLISHED)
        own = (rest.weight * rest.mean)[plant].sum()
        assert own == pytest.approx((there.weight * there.mean).sum(), rel=0.01)
