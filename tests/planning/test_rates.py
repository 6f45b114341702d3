"""Which failures and which years of the register count; by hand."""

from datetime import date

import pytest
from scipy import stats

from register.facts.standard_tables import load_tables
from register.maintenance.rates_file import Gamma, RatesFile, SharedRate
from register.planning.years.failure_rates import rates
from register.store.database import create, opened, writing

TODAY = date(2026, 1, 1)
TABLES = load_tables()
SOFT = {"model": "SS-1", "device_kind": "soft starter"}


@pytest.fixture
def bare(tmp_path):
    """A register with a site and nothing else; told what to insert, it opens it to read."""
    path = tmp_path / "plant.db"
    create(path, {"site": "Oldmarrow Works", "practice": "us", "site_frequency_hz": 60.0})

    def filled(*inserts):
        with opened(path, write=True) as db, writing(db, reason="walk", author="rk"):
            for table, row in inserts:
                db[table].insert(row)
        return opened(path)

    return filled


def device(serial, tag=None, **more):
    row = {"device": serial, "model": "SS-1", "tag": tag, "device_status": "in service"}
    return "device", row | {"device_installed_on": "2016-01-01"} | more


def event(tag, on, mode="BRD", **more):
    return "event", {"tag": tag, "happened_on": on, "failure_mode": mode} | more


def of_soft_starters(bare, *inserts):
    places = [("position", {"tag": f"P-{n}"}) for n in range(1, 4)]
    with bare(*places, ("model", SOFT), *inserts) as db:
        return rates(db, tables=TABLES, today=TODAY)["soft starter", False]


def pooled(shape=2.0, years=100.0, **without):
    """A file of rates of soft starters from eight plants, those named `without` among them."""
    own = {number: Gamma(*pair) for number, pair in without.items()}
    rate = SharedRate("soft starter", False, Gamma(shape, years), shape / years, 0.001, 0.06, 8, 90, 4321.0, own)
    return RatesFile("2025-12-01", (rate,), "rates.json", "1a2b3c4d" * 8)


def test_what_other_plants_saw_takes_the_place_of_what_was_published(bare):
    with bare(
        ("position", {"tag": "P-1"}), ("model", SOFT), device("S1", "P-1"), event("P-1", "2022-01-01", device="S1")
    ) as db:
        found = rates(db, tables=TABLES, today=TODAY, shared=pooled())
        plain = rates(db, tables=TABLES, today=TODAY)
        number = db.execute("SELECT register_id FROM identity").fetchone()[0]
        own = rates(db, tables=TABLES, today=TODAY, shared=pooled(**{number: (1.5, 90.0)}))
    rate = found["soft starter", False]
    # Source: the gamma distribution is conjugate to Poisson counts: (2 + 1) / (100 + 4), and scipy.stats.gamma.
    assert rate.per_year == pytest.approx(3 / 104, rel=1e-3)
    there = stats.gamma(3, scale=1 / (100.0 + rate.unit_years))
    assert (rate.low_per_year, rate.high_per_year) == pytest.approx((there.ppf(0.05), there.ppf(0.95)))
    assert "0.02 a year from rates.json of 2025-12-01 (8 plants, 90 failures in 4 320 device years; " in rate.explained
    assert "SHA-256 1a2b3c4d), worth 2 failures; 1 failure in 4 device years since 2022-01-01" in rate.explained
    # A plant that was counted there begins without its own failures, which it adds itself.
    assert own["soft starter", False].per_year == pytest.approx(2.5 / 94, rel=1e-3)
    assert "without what this plant brought to it" in own["soft starter", False].explained
    # Kinds of which the file does not tell, and the high voltage, are as before.
    assert {key: rate for key, rate in found.items() if key != ("soft starter", False)} == {
        key: rate for key, rate in plain.items() if key != ("soft starter", False)
    }


def test_without_an_event_only_what_was_published_counts(bare):
    rate = of_soft_starters(bare, device("S1", "P-1"), device("S2", "P-2"))
    assert (rate.failures, rate.unit_years, rate.records_since) == (0, 0.0, None)
    # Source: IEEE 493, motor starters to 600 V (from memory).
    assert rate.per_year == pytest.approx(0.0139)
    assert "no event" in rate.explained


def test_years_count_from_the_first_event_entered(bare):
    rate = of_soft_starters(
        bare,
        device("S1", "P-1"),
        device("S2", "P-2", device_installed_on="2024-01-01"),
        event("P-1", "2022-01-01", device="S1"),
    )
    # Source: the calendar: four years of S1 since events begin, two of S2.
    assert rate.unit_years == pytest.approx(4 + 2, abs=0.01)
    assert rate.failures == 1
    # Source: arithmetic, (1/2 + 1) / (1/2/0.0139 + 6).
    assert rate.per_year == pytest.approx(1.5 / (0.5 / 0.0139 + 6), rel=1e-3)
    assert rate.low_per_year < rate.per_year < rate.high_per_year
    assert "1 failure in 6 device years since 2022-01-01" in rate.explained


def test_a_trip_or_a_motors_failure_is_not_the_devices(bare):
    rate = of_soft_starters(
        bare,
        ("motor", {"motor": "M1", "tag": "P-1"}),
        device("S1", "P-1"),
        event("P-1", "2022-01-01", "UST", device="S1"),
        event("P-1", "2023-01-01", motor="M1"),
    )
    assert (rate.failures, rate.doubtful) == (0, 0)


def test_a_failure_that_names_no_device_is_in_doubt(bare):
    rate = of_soft_starters(
        bare,
        device("S1", "P-1"),
        event("P-1", "2022-01-01"),
        event("P-1", "2023-01-01", None),
        event("P-1", "2024-01-01", "OHE"),
        event("P-2", "2024-01-01"),
    )
    # That at P-2 is of no device that the register knows there, the overheating no failure.
    assert (rate.failures, rate.doubtful) == (0, 2)
    assert rate.most_per_year > rate.per_year
    assert "2 more name no device" in rate.explained


def test_a_device_taken_away_counts_until_that_day(bare):
    rate = of_soft_starters(
        bare,
        device("S1", stored_since="2024-01-01", device_status="failed"),
        event("P-1", "2022-01-01", "UNK", device="S1"),
        event("P-1", "2025-01-01", device="S1"),
    )
    assert rate.unit_years == pytest.approx(2, abs=0.01)
    assert rate.failures == 1


def test_a_device_that_stands_there_failed_is_a_failure_without_its_event(bare):
    rate = of_soft_starters(bare, device("S1", "P-1", device_status="failed"), event("P-2", "2022-01-01", "UST"))
    assert rate.failures == 1


def test_one_that_failed_and_has_its_event_is_one_failure(bare):
    rate = of_soft_starters(bare, device("S1", "P-1", device_status="failed"), event("P-1", "2025-01-01", device="S1"))
    assert rate.failures == 1


def test_a_device_without_its_day_is_left_out_and_said(bare):
    rate = of_soft_starters(
        bare, device("S1", "P-1", device_installed_on=None), event("P-1", "2022-01-01", device="S1")
    )
    assert (rate.failures, rate.unit_years, rate.undated) == (0, 0.0, ("S1",))
    assert "left out: 1 device whose day of installation is unknown" in rate.explained


def test_high_voltage_is_a_kind_of_its_own(bare):
    with bare(
        ("position", {"tag": "P-1"}),
        ("model", SOFT),
        ("motor", {"motor": "M1", "tag": "P-1", "motor_voltage_v": 4160.0}),
        device("S1", "P-1"),
        event("P-1", "2022-01-01", device="S1"),
    ) as db:
        found = rates(db, tables=TABLES, today=TODAY)
    assert found["soft starter", True].failures == 1
    assert found["soft starter", False].failures == 0
    # Source: IEEE 493, motor starters above 600 V: 0.0153 a unit and year (from memory).
    assert found["soft starter", True].prior_per_year == 0.0153


def test_repairs_take_what_the_plants_own_took_once_there_are_enough(bare):
    own = [
        event("P-1", f"2022-0{n}-01", device="S1", downtime_h=h) for n, h in enumerate((2.0, 3.0, 4.0, 9.0, 40.0), 1)
    ]
    other = event("P-1", "2022-07-01", "UST", downtime_h=900.0)
    rate = of_soft_starters(bare, device("S1", "P-1"), *own, other)
    assert (rate.repair_h, rate.repair_told) == (4.0, "median of 5 entered")


def test_too_few_repairs_leave_the_published_median(bare):
    rate = of_soft_starters(bare, device("S1", "P-1"), event("P-1", "2022-01-01", downtime_h=2.0))
    # Source: IEEE 493, motor starters to 600 V, median 24.5 h (from memory).
    assert (rate.repair_h, rate.repair_told) == (24.5, "median published")
