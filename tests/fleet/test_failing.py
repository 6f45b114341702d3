"""What fails over all plants, from the rows of their summaries."""

from math import isnan

import pytest
from scipy import stats

from register.facts.standard_tables import load_tables
from register.fleet.failing import failing, folders
from register.fleet.rates import published

PUBLISHED = published(load_tables()["failure-rates"])
PLANTS = [f"p{n}" for n in range(8)]
PLACES = {plant: f"/works/{'north' if n < 5 else 'south'}/{plant}.db" for n, plant in enumerate(PLANTS)}


def failures(plant, kind="drive", year=2025, count=1, years=40.0, **more):
    row = {"plant": plant, "kind": kind, "high_voltage": False, "maker": "Tarn", "model": "T-9", "year": year}
    return row | {"failures": count, "doubtful": 0, "device_years": years} | more


def model(plant, kind="drive", positions=12, **more):
    row = {"plant": plant, "maker": "Tarn", "model": "T-9", "kind": kind, "lead_time_days": 60.0, "in_store": 1}
    return row | {"positions": positions, "critical": 0} | more


def test_rates_trends_and_stocks_are_of_the_rows():
    rows = [failures(plant, year=year) for plant in PLANTS for year in (2024, 2025)]
    found = failing(rows, [model(plant) for plant in PLANTS], PLACES, PUBLISHED, days=(1.0, 4.0))
    assert [(rate.name, rate.failures, len(rate.plants)) for rate in found.kinds] == [("drive", 16, 8)]
    assert [rate.name for rate in found.models] == ["Tarn T-9"]
    assert [(one.plant, one.failures) for one in found.trends][:2] == [("", 16), ("p0", 2)]
    assert [(one.days, len(one.plants), one.held) for one in found.spares.shared] == [
        (1.0, 5, 5),
        (1.0, 3, 3),
        (4.0, 8, 8),
    ]
    # Source: scipy.stats.poisson, of the rate that is found for these plants.
    demand = sum(one.rate.per_year for one in found.kinds[0].plants) * 12 * 60 / 365.25
    assert found.spares.shared[2].needed == stats.poisson.ppf(0.95, demand)


def test_a_plant_that_tells_nothing_has_the_rate_of_all_and_a_kind_of_which_nobody_told_the_published_one():
    rows = [failures(plant, count=4) for plant in PLANTS[:6]]
    models = [
        model("p6"),
        model("p7"),
        model("p6", kind="soft starter", model="S"),
        model("p7", kind="soft starter", model="S"),
    ]
    found = failing(rows, models, PLACES, PUBLISHED)
    drives, starters = sorted(found.spares.shared, key=lambda one: one.model, reverse=True)
    assert drives.demand == pytest.approx(24 * found.kinds[0].mean.per_year * 60 / 365.25)
    assert starters.demand == pytest.approx(24 * 0.0139 * 60 / 365.25)


def test_without_the_days_between_plants_the_wait_is_unknown():
    (one,) = failing([], [model(plant) for plant in PLANTS], PLACES, PUBLISHED).spares.shared
    assert (one.store, isnan(one.days), isnan(one.wait_days)) == ("", True, True)
    assert len(one.plants) == 8


def test_a_model_of_no_known_kind_has_no_rate_and_no_stock():
    found = failing([failures("p0", kind=None)], [model(plant, kind=None) for plant in PLANTS], PLACES, PUBLISHED)
    assert (found.kinds, found.models, found.trends, found.spares.shared) == ((), (), (), ())


def test_folders_tell_which_plants_are_near():
    assert folders({}) == {}
    assert folders({"a": "/all/a.db"}) == {"a": ()}
    assert folders({"a": "s3://store/north/a.db", "b": "s3://store/south/b.db"}) == {"a": ("north",), "b": ("south",)}
