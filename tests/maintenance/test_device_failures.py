"""Failures and watched days by model and calendar year; by hand, from the calendar."""

from datetime import date

import numpy as np
import pytest

from register.maintenance.device_failures import failure_record
from register.store.database import create, opened, writing

TODAY = date(2026, 7, 1)


@pytest.fixture
def of(tmp_path):
    """What a register of two positions tells, once these rows are in it."""

    def filled(*inserts, **how):
        path = tmp_path / "plant.db"
        create(path, {"site": "Oldmarrow Works", "practice": "us", "site_frequency_hz": 60.0})
        places = [("position", {"tag": f"P-{n}"}) for n in (1, 2)]
        models = [("model", {"model": m, "device_kind": "soft starter"}) for m in ("SS-1", "SS-2")]
        with opened(path, write=True) as db, writing(db, reason="walk", author="rk"):
            for table, row in (*places, *models, *inserts):
                db[table].insert(row)
        with opened(path) as db:
            return failure_record(db, today=TODAY, **how)

    return filled


def device(serial, tag=None, model="SS-1", **more):
    row = {"device": serial, "model": model, "tag": tag, "device_status": "in service"}
    return "device", row | {"device_installed_on": "2016-01-01"} | more


def event(tag, on, mode="BRD", **more):
    return "event", {"tag": tag, "happened_on": on, "failure_mode": mode} | more


def test_days_and_failures_go_to_their_year(of):
    found = of(
        device("S1", "P-1"),
        event("P-1", "2024-03-01", device="S1"),
        event("P-1", "2026-01-01", device="S1"),
        event("P-1", "2025-12-31"),
    )
    # Source: the calendar. 2024 has 366 days, 60 of them before 1 March; 2026 has 181 before 1 July.
    rows = [(r.year, r.days, r.failures, r.doubtful) for r in found.rows]
    assert rows == [(2024, 306, 1, 0), (2025, 365, 0, 1), (2026, 181, 1, 0)]
    assert sum(r.days for r in found.rows) == (TODAY - date(2024, 3, 1)).days
    assert found.since == "2024-03-01"


def test_models_are_counted_apart_and_one_without_a_model_too(of):
    found = of(
        device("S1", "P-1"),
        device("S2", "P-2", "SS-2", device_installed_on="2026-06-01"),
        device("S3", None, None, stored_since="2026-01-11", device_status="in store"),
        event("P-1", "2026-01-01", "UST"),
    )
    assert [(r.model, r.days) for r in found.rows] == [(None, 10), ("SS-1", 181), ("SS-2", 30)]
    assert [r.kind for r in found.rows] == [None, "soft starter", "soft starter"]


def test_one_out_of_order_without_its_event_has_no_year(of):
    found = of(device("S1", "P-1", device_status="failed"), event("P-2", "2026-01-01", "UST"))
    assert [(r.year, r.failures) for r in found.rows] == [(2026, 0), (None, 1)]


def test_without_events_nothing_is_counted_and_without_a_day_a_device_is_named(of):
    assert of(device("S1", "P-1"), device("S2", "P-2", device_installed_on=None)).rows == ()


def test_a_device_without_its_day_is_named(of):
    found = of(device("S1", "P-1", device_installed_on=None), event("P-1", "2026-01-01", device="S1"))
    assert found.rows == ()
    assert found.undated == {("soft starter", False): ("S1",)}


def test_the_failure_that_opens_the_record_can_be_left_out(of):
    rows = device("S1", "P-1"), event("P-1", "2025-01-01", device="S1"), event("P-1", "2025-01-01")
    found = of(*rows, event("P-1", "2025-06-01", device="S1"), opening=False)
    assert [(r.year, r.days, r.failures, r.doubtful) for r in found.rows] == [(2025, 365, 1, 0), (2026, 181, 0, 0)]


def test_where_it_is_left_out_the_rate_of_many_plants_is_not_too_high():
    # Failures at random for ten years, each plant's record begun by its first; 0.4 a year, so that many begin late.
    random = np.random.default_rng(4)
    all_of_them = kept = years = 0.0
    for _ in range(3000):
        days = np.cumsum(random.exponential(1 / 0.4, 30))
        days = days[days < 10.0]
        if days.size:
            all_of_them, kept, years = all_of_them + days.size, kept + days.size - 1, years + 10.0 - days[0]
    # Source: a Poisson process that is looked at from any of its events on goes on as before.
    assert kept / years == pytest.approx(0.4, rel=0.03)
    assert all_of_them / years > 0.5
