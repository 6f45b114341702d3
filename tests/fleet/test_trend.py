"""Whether failures come more often than before: against another library, by counting all cases, and by simulation."""

from itertools import product
from math import inf

import numpy as np
import pytest
from scipy import stats

from register.fleet.rates import Watched
from register.fleet.trend import ALIKE, LESS, MORE, TOO_FEW, YearCount, trend, trends
from register.maintenance.rate_ratio import rate_ratio


def counts(failures, years, since=2020):
    return [YearCount(since + n, f, y) for n, (f, y) in enumerate(zip(failures, years, strict=True))]


@pytest.mark.parametrize(
    ("failures", "years"), [((3, 9), (100.0, 100.0)), ((2, 6), (300.0, 80.0)), ((0, 4), (9.0, 50.0))]
)
def test_two_years_are_the_binomial_test(failures, years):
    # Source: scipy.stats.binomtest of the failures in the later year.
    found = trend([counts(failures, years)])
    asked = {"k": failures[1], "n": sum(failures), "p": years[1] / sum(years)}
    assert found.chance_more == pytest.approx(stats.binomtest(**asked, alternative="greater").pvalue)
    assert found.chance_less == pytest.approx(stats.binomtest(**asked, alternative="less").pvalue)


def by_counting(strata):
    """Chances of so late and of so early a sum, from every way in which the failures could have fallen."""
    seen = sum(one.failures * one.year for own in strata for one in own)
    ways = []
    for own in strata:
        total, years = sum(one.failures for one in own), np.array([one.device_years for one in own])
        fallen = [w for w in product(range(total + 1), repeat=len(own)) if sum(w) == total]
        # Source: scipy.stats.multinomial.
        chance = stats.multinomial(total, years / years.sum()).pmf(fallen) if total else [1.0]
        ways.append([(np.dot(w, [one.year for one in own]), c) for w, c in zip(fallen, chance, strict=True)])
    sums = [(sum(s for s, _ in case), np.prod([c for _, c in case])) for case in product(*ways)]
    return sum(c for s, c in sums if s >= seen), sum(c for s, c in sums if s <= seen)


@pytest.mark.parametrize(
    "strata",
    [
        [counts((1, 0, 2, 4), (50.0, 60.0, 60.0, 20.0))],
        [counts((2, 1, 0), (10.0, 40.0, 40.0)), counts((0, 1, 3), (5.0, 20.0, 30.0), since=2018)],
    ],
)
def test_more_years_and_plants_are_as_when_all_cases_are_counted(strata):
    found = trend(strata)
    assert (found.chance_more, found.chance_less) == pytest.approx(by_counting(strata))


def test_of_many_failures_it_is_the_laplace_test():
    # Source: MIL-HDBK-189, IEC 61649 (from memory): the failures' mean time, in the middle of each year, against that
    # of a uniform distribution; by scipy.stats.norm. Grouping adds a little.
    failures = [200, 215, 205, 230, 240, 225, 250, 235, 245, 260]
    found = trend([counts(failures, [500.0] * 10)])
    middles = np.arange(10) + 0.5
    total = sum(failures)
    laplace = (np.dot(failures, middles) / total - 5.0) / (10.0 / np.sqrt(12.0 * total))
    assert stats.norm.isf(found.chance_more) == pytest.approx(laplace, rel=0.02)


def test_the_ratio_is_that_of_the_programme_of_maintenance():
    found = trend([counts((3, 2, 7, 5), (100.0, 100.0, 100.0, 100.0))])
    assert found.split == 2022
    assert (found.ratio, found.ratio_low, found.ratio_high) == rate_ratio(12, 200.0, 5, 200.0)
    # Two plants that were watched alike are as one.
    halves = trend([counts((1, 2), (80.0, 80.0)), counts((4, 10), (80.0, 80.0))])
    assert (halves.ratio_low, halves.ratio_high) == pytest.approx(rate_ratio(12, 160.0, 5, 160.0)[1:], rel=1e-6)


def test_a_worse_plant_that_was_watched_later_makes_no_trend():
    # Source: arithmetic: either plant fails as often as ever, and the mixture would seem to fail ten times as often.
    good = counts((1, 1, 1, 1, 0, 0), (100.0, 100.0, 100.0, 100.0, 1.0, 1.0))
    bad = counts((0, 0, 0, 0, 11, 10), (1.0, 1.0, 1.0, 1.0, 100.0, 100.0))
    assert trend([counts((1, 1, 1, 1, 11, 10), (101.0,) * 6)]).verdict == MORE
    assert trend([good, bad]).chance_more > 0.3


def test_the_verdicts():
    assert trend([counts((0, 1, 6), (50.0,) * 3)]).verdict == MORE
    assert trend([counts((6, 1, 0), (50.0,) * 3)]).verdict == LESS
    assert trend([counts((2, 1, 2), (50.0,) * 3)]).verdict == TOO_FEW
    assert trend([counts((0, 0), (500.0,) * 2)]).verdict == TOO_FEW
    assert trend([counts((60, 64), (500.0,) * 2)]).verdict == ALIKE
    assert trend([counts((9,), (50.0,))]).verdict == TOO_FEW
    assert trend([]).verdict == TOO_FEW


def test_each_verdict_names_its_count():
    told = trend([counts((0, 1, 6), (50.0,) * 3)]).told
    assert told.startswith("more often: 7 failures from 2020 to 2022; since ")
    assert trend([counts((0, 0), (5.0, 5.0))]).told == "too few to say: no failures from 2020 to 2021"
    assert trend([counts((1,), (5.0,))]).told == "too few to say: 1 failure in 2020"
    assert trend([counts((0, 5), (9.0, 1.0))]).ratio_high == inf
    assert " at least " in trend([counts((0, 5), (9.0, 1.0))]).told


def test_a_verdict_that_the_ratio_does_not_show_says_so():
    # Two failures in the last of five equal years: so late by chance in 1 of 25 cases, yet the later three years
    # together may have failed less often than the earlier two.
    made = trend([counts((0, 0, 0, 0, 2), (50.0,) * 5)])
    assert made.chance_more == pytest.approx(1 / 25)
    assert made.verdict == MORE and made.ratio_low < 1.0
    assert "later than by chance; not certain of all years since 2022 together: at least 0" in made.told
    assert "not certain" not in trend([counts((0, 1, 6), (50.0,) * 3)]).told


def test_a_year_without_watch_tells_nothing():
    some = counts((1, 0, 3), (50.0, 40.0, 60.0))
    assert trend([[*some, YearCount(2019, 0, 0.0)], counts((2,), (0.0,))]) == trend([some])


def test_where_nothing_changes_few_are_said_to_change():
    random = np.random.default_rng(9)
    drawn = random.poisson([2.0, 3.0, 4.0, 3.0], (800, 4))
    said = [trend([counts(own.tolist(), (20.0, 30.0, 40.0, 30.0))]).verdict for own in drawn]
    # At 5 % either way, and less as counts are whole: standard error 0.8 %.
    assert said.count(MORE) / 800 <= 0.06
    assert said.count(LESS) / 800 <= 0.06
    assert said.count(TOO_FEW) / 800 > 0.6


def test_a_rate_that_doubles_each_year_is_found():
    random = np.random.default_rng(10)
    drawn = random.poisson([2.0, 4.0, 8.0, 16.0], (200, 4))
    said = [trend([counts(own.tolist(), (30.0,) * 4)]).verdict for own in drawn]
    assert said.count(MORE) / 200 > 0.97


def rows(plant, failures, years=30.0, kind="drive"):
    return [Watched(plant, kind, False, "M", 2020 + n, f, 0, years) for n, f in enumerate(failures)]


def test_among_many_plants_one_stands_out_only_where_chance_is_unlikely():
    random = np.random.default_rng(11)
    alike = [row for n in range(60) for row in rows(f"P{n:02}", random.poisson(1.5, 4).tolist())]
    found = trends([*alike, *rows("Worse", [0, 1, 9, 14]), *rows("Odd", [0, 0, 1, 3])])
    assert [one.plant for one in found if one.plant and one.verdict == MORE] == ["Worse"]
    assert trend([counts((0, 0, 1, 3), (30.0,) * 4)]).verdict == MORE  # alone it would have been said
    assert found[0].plant == "" and found[0].failures == sum(row.failures for row in alike) + 28


def test_kinds_are_apart_and_what_is_not_dated_is_left_out():
    undated = Watched("A", "drive", False, "M", None, 5, 0, 0.0)
    found = trends([*rows("A", [1, 2]), *rows("A", [0, 1], kind="soft starter"), undated])
    assert [(one.plant, one.kind, one.failures) for one in found] == [
        ("", "drive", 3),
        ("", "soft starter", 1),
        ("A", "drive", 3),
        ("A", "soft starter", 1),
    ]
    assert [one.undated for one in found] == [5, 0, 5, 0]
    assert "3 failures from 2020 to 2021, and 5 more of no known day; since 2021" in found[0].told
    assert trends([]) == ()
