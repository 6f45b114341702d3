"""Spares shared by plants: against another library, a simulated store, and every place it could be put."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from register.fleet.pooled_spares import Need, folders, pooled

YEAR = 365.25
PLACES = {"A": ("north", "Alder"), "B": ("north", "Alder"), "C": ("north", "Birch"), "D": ("south", "Cedar")}
DAYS = (0.5, 2.0, 7.0)


def need(plant, devices=10, rate=0.02, lead=YEAR, model="M", **more):
    return Need(plant, model, devices, rate, lead, **more)


def test_reach_grows_from_class_to_class():
    found = pooled([need(plant) for plant in "ABCD"], PLACES, DAYS)
    assert [(one.days, one.plants) for one in found.shared] == [
        (0.5, ("A", "B")),
        (2.0, ("A", "B", "C")),
        (7.0, ("A", "B", "C", "D")),
    ]
    assert [one.store for one in found.shared] == ["A", "A", "A"]
    # Source: arithmetic; 0.2 failures a year at each: B 0.5 days, C 2, D 7.
    assert [one.wait_days_per_year for one in found.shared] == pytest.approx([0.1, 0.5, 1.9])
    assert found.shared[2].wait_days == pytest.approx(1.9 / 0.8)


def test_the_numbers_are_those_of_another_library():
    found = pooled([need("A", 30), need("B", 4), need("C", 9, lead=50.0), need("D", 9)], PLACES, DAYS)
    demands = np.array([0.6, 0.08, 0.18 * 50 / YEAR, 0.18])
    for one, count in zip(found.shared, (2, 3, 4), strict=True):
        # Source: scipy.stats.poisson; sums of Poisson counts are Poisson.
        assert one.needed == stats.poisson.ppf(0.95, demands[:count].sum())
        assert one.alone == stats.poisson.ppf(0.95, demands[:count]).sum()
        assert one.enough_pct == pytest.approx(100 * stats.poisson.cdf(one.needed, demands[:count].sum()))
        assert one.held_enough_pct == pytest.approx(100 * stats.poisson.cdf(0, demands[:count].sum()))
        each = stats.poisson.cdf(stats.poisson.ppf(0.95, demands[:count]), demands[:count])
        assert one.alone_enough_pct == pytest.approx(100 * each.prod())


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 60), st.floats(0.001, 0.3), st.floats(1.0, 500.0)), min_size=2, max_size=9),
    st.floats(50.0, 99.9),
)
def test_shared_they_are_enough_more_surely_than_one_by_one(plants, level):
    needs = [need(f"P{n}", *own) for n, own in enumerate(plants)]
    (one,) = pooled(needs, {}, (3.0,), service_level_pct=level).shared
    # Source: scipy.stats.poisson; what is enough at each plant is enough for the sum.
    assert 100 * stats.poisson.cdf(one.alone, one.demand) >= one.alone_enough_pct - 1e-9
    assert one.enough_pct >= level - 1e-9
    if one.alone_enough_pct >= level:
        assert one.needed <= one.alone


def test_the_chance_is_that_of_a_simulated_store():
    # Failures at three plants, a spare ordered for each, deliveries that take a lead time drawn about its mean.
    random = np.random.default_rng(6)
    needs = [need("A", 20, 0.05, 120.0), need("B", 30, 0.03, 120.0), need("C", 50, 0.02, 60.0)]
    (one,) = [s for s in pooled(needs, PLACES, DAYS).shared if len(s.plants) == 3]
    end, starts, arrivals = 40_000.0, [], []
    for own in needs:
        begun = np.cumsum(random.exponential(1.0 / own.failures_per_year, int(1.2 * end * own.failures_per_year)))
        starts.append(begun)
        arrivals.append(begun + own.lead_time_days / YEAR * random.uniform(0.5, 1.5, len(begun)))
    starts, arrivals = np.sort(np.concatenate(starts)), np.sort(np.concatenate(arrivals))
    looked = np.linspace(10.0, end, 400_000)
    on_order = np.searchsorted(starts, looked) - np.searchsorted(arrivals, looked)
    for held in range(4):
        waiting = stats.poisson.cdf(held, one.demand)
        assert np.mean(on_order <= held) == pytest.approx(waiting, abs=0.004)
    assert np.mean(on_order <= one.needed) >= 0.95 > np.mean(on_order <= one.needed - 1)


def test_one_spare_serves_six_plants():
    needs = [need(f"P{n}", 8, 0.014, 60.0, at_least_one=True) for n in range(6)]
    found = pooled(needs, {own.plant: ("north",) for own in needs}, (1.0, 5.0))
    (one,) = found.one_for_many(6)
    assert (one.needed, one.alone, one.saved) == (1, 6, 5)
    # Source: arithmetic; five of six failures wait a day.
    assert one.wait_days == pytest.approx(5 / 6)
    assert found.one_for_many(7) == ()


def test_no_plant_is_one_spare_for_many_where_none_is_needed():
    needs = [need(f"P{n}", 1, 0.001, 5.0) for n in range(8)]
    (one,) = pooled(needs, {}, (3.0,)).shared
    assert (one.needed, one.alone) == (0, 0)
    assert pooled(needs, {}, (3.0,)).one_for_many() == ()


def test_the_store_is_where_failures_wait_least():
    random = np.random.default_rng(8)
    plants = [f"P{n}" for n in range(7)]
    places = {plant: (f"r{random.integers(2)}", f"t{random.integers(3)}") for plant in plants}
    needs = [need(plant, int(random.integers(1, 40))) for plant in plants]
    one = pooled(needs, places, DAYS).shared[-1]
    assert one.plants == tuple(plants)

    def days(a, b):
        same = places[a][0] == places[b][0]
        return 0.0 if a == b else DAYS[0] if places[a] == places[b] else DAYS[1] if same else DAYS[2]

    # Source: every plant tried.
    waits = {a: sum(days(a, own.plant) * own.failures_per_year for own in needs) for a in plants}
    assert one.wait_days_per_year == pytest.approx(min(waits.values()))
    assert waits[one.store] == pytest.approx(min(waits.values()))


def test_what_is_not_known_is_named_and_shares_nothing():
    needs = [need("A"), need("B", lead=None), need("C"), need("X"), need("Y")]
    found = pooled(needs, PLACES | {"X": ("north",)}, DAYS)
    assert [own.plant for own in found.unknown] == ["B"]
    # X tells no town, Y nothing: they share with the others only as far as they tell.
    assert [(one.days, one.plants) for one in found.shared] == [(2.0, ("A", "C", "X")), (7.0, ("A", "C", "X", "Y"))]


def test_models_are_apart_and_what_is_not_installed_shares_nothing():
    found = pooled([need("A"), need("B", model="N"), need("C", 0), need("D")], PLACES, DAYS)
    assert [(one.model, one.plants) for one in found.shared] == [("M", ("A", "D"))]
    assert pooled([], {}, (3.0,)).shared == ()


def test_folders_tell_which_plants_are_near():
    assert folders({}) == {}
    assert folders({"a": "/all/a.db"}) == {"a": ()}
    assert folders({"a": "s3://store/north/a.db", "b": "s3://store/south/b.db"}) == {"a": ("north",), "b": ("south",)}
    places = folders({"A": "C:\\all\\north\\a.db", "B": "C:\\all\\north\\b.db", "C": "C:\\all\\south\\c.db"})
    found = pooled([need(plant) for plant in "ABC"], places, (1.0, 6.0))
    assert [(one.days, one.plants) for one in found.shared] == [(1.0, ("A", "B")), (6.0, ("A", "B", "C"))]


def test_without_the_days_between_plants_the_wait_is_unknown():
    (one,) = pooled([need(plant) for plant in "ABCD"], PLACES, (np.nan,)).shared
    assert (one.store, len(one.plants)) == ("", 4)
    assert np.isnan([one.days, one.wait_days, one.wait_days_per_year]).all()
