"""The back-test against scipy and against simulated plants whose truth is known."""

import os
from datetime import date, timedelta
from itertools import pairwise

import by_path
import numpy as np
import pytest
from scipy.stats import binom, binomtest, poisson
from years_plant import FIRST, SECOND, SMALL, edit

from register.maintenance.back_test import FAILED, MORE, NO_DIFFERENCE, PASSED, TOO_FEW, Period, back_test, outcomes
from register.maintenance.rate_ratio import rate_ratio
from register.rulebook.model import Outcome
from register.store.audits import kept_audits, verdicts_of
from register.store.database import create, opened

# How many simulated plants; from 4,000 on the share is held to 88 to 92 % without allowance for the sample.
MANY = 4000
PLANTS = int(os.environ.get("STARTROLL_PLANTS", MANY if "STARTROLL_EXAMPLES" in os.environ else 100))
START, YEARS = date(2021, 1, 1), 5


def _scaled(share, t1, t2):
    return share / (1 - share) * t2 / t1 if share < 1 else np.inf


@pytest.mark.parametrize(("x", "y"), [(12, 10), (3, 9), (0, 7), (7, 0), (1, 1), (40, 5)])
def test_the_interval_lies_within_scipys_exact_one(x, y):
    """Clopper and Pearson's interval of scipy covers at least as much; at its ends the mid-P tail is below 5 %."""
    exact = binomtest(x, x + y).proportion_ci(0.9, method="exact")
    _, low, high = rate_ratio(x, 100.0, y, 300.0)
    outer = [_scaled(share, 100.0, 300.0) for share in exact]
    assert outer[0] <= low <= high <= outer[1]
    for bound, upper in ((low, True), (high, False)):
        if 0 < bound < np.inf:
            share = bound * 100 / (bound * 100 + 300)
            one = binom.sf(x, x + y, share) if upper else binom.cdf(x - 1, x + y, share)
            assert one + 0.5 * binom.pmf(x, x + y, share) == pytest.approx(0.05, abs=1e-6)


@pytest.mark.parametrize(("ratio", "mean"), [(1.0, 20), (2.5, 20), (2.5, 60), (0.4, 30), (5.0, 40)])
def test_coverage_by_summing_every_outcome(ratio, mean):
    """Not sampled: each pair of Poisson counts with its probability, and whether its interval holds the true ratio."""
    t1, t2 = 100.0, 300.0
    share = ratio * t1 / (ratio * t1 + t2)
    totals = np.arange(1, int(mean + 8 * mean**0.5))
    covered = weight = 0.0
    for n in totals:
        x = np.arange(n + 1)
        p = binom.pmf(x, n, share)
        inside = (binom.sf(x, n, share) + p / 2 > 0.05) & (binom.cdf(x - 1, n, share) + p / 2 > 0.05)
        covered += poisson.pmf(n, mean) * p[inside].sum()
        weight += poisson.pmf(n, mean)
    assert 0.88 <= covered / weight <= 0.92


def _plant(rng, ratio, *, positions=240, share=0.3, rate=0.06):
    """Verdicts and first failures of a plant in which positions that fail have `ratio` times the failures."""
    failing = rng.random(positions) < share
    verdicts = {f"P-{i}": FAILED if failing[i] else PASSED for i in range(positions)}
    events = []
    for i, n in enumerate(rng.poisson(np.where(failing, rate * ratio, rate) * YEARS)):
        days = rng.integers(1, YEARS * 365, n)
        events += [(f"P-{i}", (START + timedelta(days=int(day))).isoformat(), "UST") for day in days]
    ends = [date(START.year + k, 1, 1).isoformat() for k in range(YEARS + 1)]
    periods = [Period(a, b, ("overload/present",), verdicts) for a, b in pairwise(ends)]
    return periods, events


@pytest.mark.parametrize("ratio", [1.0, 2.5])
def test_coverage_in_simulated_plants(ratio):
    """88 to 92 % of the 90 % intervals hold the truth, through the whole count; 100 plants, or as many as asked."""
    rng = np.random.default_rng(18)
    covered = 0
    for _ in range(PLANTS):
        (made,) = outcomes(*_plant(rng, ratio))
        covered += (made.low or 0) <= ratio <= (made.high or np.inf)
    spread = (
        0.0 if PLANTS >= MANY else 2 * (0.9 * 0.1 / PLANTS) ** 0.5
    )  # two standard errors of the share that is sampled
    assert 0.88 - spread <= covered / PLANTS <= 0.92 + spread, covered / PLANTS


def test_counts_are_those_counted_by_hand():
    periods = [
        Period("2024-01-01", "2025-01-01", ("overload/present",), {"A": "F", "B": "P", "C": "?"}),
        Period("2025-01-01", "2026-01-01", ("overload/present", "duty/x"), {"A": "PF", "B": "PP", "C": "-P"}),
    ]
    events = [
        ("A", "2024-01-01", "UST"),  # on the day of the audit: not since
        ("A", "2024-07-01", "UST"), ("A", "2024-08-01", "UST"),  # twice in one period counts once
        ("B", "2024-03-01", "VIB"),  # of another kind
        ("B", "2025-01-01", "OHE"),  # on the last day of the first period
        ("C", "2024-06-01", "UST"),  # was neither failed nor passed
    ]  # fmt: skip
    made = {rule.rule: rule for rule in outcomes(periods, events)}
    one = made["overload/present"]
    assert (one.failures_failed, one.failures_passed, one.says) == (1, 1, TOO_FEW)
    assert one.years_failed == pytest.approx(182 / 365.25)  # 1 January to 1 July of a leap year
    assert one.years_passed == pytest.approx((366 + 365 + 365) / 365.25)
    assert (made["duty/x"].failures_failed, made["duty/x"].ratio) == (0, None)


def test_a_large_difference_is_told_and_none_is_not():
    rng = np.random.default_rng(5)
    told = [next(outcomes(*_plant(rng, ratio, positions=600))).says for ratio in (5.0, 1.0)]
    assert told == [MORE, NO_DIFFERENCE]


def test_letters_are_those_that_audits_keep():
    assert (Outcome.FAILED.letter, Outcome.PASSED.letter) == (FAILED, PASSED)


def test_a_register_without_kept_audits_has_nothing_to_say(demo):
    with opened(demo.path) as db:
        made = back_test(db, today=date(2026, 11, 25))
    assert made.rules == () and made.audits == ()


def test_a_kept_audit_and_a_failure_since(tmp_path):
    """Through the register: the verdict of the kept audit says in which group a position's year counts."""
    path = tmp_path / "small.db"
    create(path, {"site": "Oldmarrow Works", "practice": "us", "site_frequency_hz": 60.0})
    edit(path, *SMALL)
    by_path.of_register(path, today=FIRST, keep_as="rk")
    by_path.of_register(
        path, today=FIRST + timedelta(days=3), keep_as="rk", area="Dry end"
    )  # of one area: it ends none
    edit(path, "INSERT INTO event (tag, happened_on, failure_mode) VALUES ('P-1', '2026-05-26', 'FTS')")
    with opened(path) as db:
        made = back_test(db, today=SECOND)
        audit, *_ = kept_audits(db)
        letters = dict(zip(audit.rules, verdicts_of(db, audit)["P-1"], strict=True))
    assert made.audits == ("audit 1 of 2025-11-25", "audit 2 of 2025-11-28") and made.failures == 1
    counted = 0
    for rule in made.rules:
        follows = "FTS" in rule.modes or not rule.modes
        assert rule.failures_failed == (letters[rule.rule] == "F" and follows), rule
        assert rule.failures_passed == (letters[rule.rule] == "P" and follows), rule
        assert rule.says == TOO_FEW
        counted += rule.failures_failed
    assert counted >= 1
    bypass = next(rule for rule in made.rules if rule.rule == "bypass/critical-has-bypass")
    assert bypass.years_failed == pytest.approx(182 / 365.25)  # 25 November 2025 to 26 May 2026
