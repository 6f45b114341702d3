"""What the store should hold and what is replaced when, as a person asks for it."""

import json

import pytest
from python_calamine import CalamineWorkbook

from register.maintenance.rates_file import Gamma, RatesFile, SharedRate, rates_text
from register.store.database import opened, writing


@pytest.fixture
def stocked(plant):
    """A starter at P-1, one like it in store, and what is known of them."""
    with opened(plant, write=True) as db, writing(db, reason="walk", author="rk"):
        for table, row in (
            (
                "model",
                {
                    "model": "DOL-80",
                    "device_kind": "across-the-line",
                    "rated_current_a": 80.0,
                    "price": 500.0,
                    "lead_time_days": 30.0,
                    "lifecycle": "current",
                },
            ),
            (
                "device",
                {
                    "device": "S1",
                    "model": "DOL-80",
                    "tag": "P-1",
                    "device_status": "in service",
                    "device_installed_on": "2015-01-01",
                },
            ),
            ("device", {"device": "S2", "model": "DOL-80", "device_status": "in store"}),
            ("event", {"tag": "P-1", "happened_on": "2020-01-01", "failure_mode": "BRD"}),
        ):
            db[table].insert(row)
    return plant


def test_spares_say_what_to_read_where_nothing_is_known_to_fit(startroll, stocked):
    ran = startroll("spares", "--today", "2026-06-01")
    assert ran.code == 0
    assert "P-1" in ran.out and "P-2" in ran.out
    assert "can't tell" in ran.out
    assert "wanted by no group: 1" in ran.out
    assert "published" in ran.out
    assert "licensed practice" in " ".join(ran.out.split())
    for bad in ("None", "nan", "NaN"):
        assert bad not in ran.out


def test_spares_as_data(startroll, stocked):
    found = json.loads(startroll("spares", "--today", "2026-06-01", "--json").out)
    assert found["service_level_pct"] == 95.0
    assert [bare["tag"] for bare in found["bare"]] == ["P-1", "P-2"]
    assert found["bare"][0]["to_collect"]


def test_a_plan_on_a_plant_of_which_little_is_known(startroll, stocked, tmp_path):
    target = tmp_path / "plan.xlsx"
    ran = startroll("plan", "--budget", 1000, "--years", 2, "--today", "2026-06-01", "--to", target)
    assert ran.code == 0
    assert "Nothing is replaced" in ran.out
    assert "isolate, lock, prove dead" in " ".join(ran.out.split())
    for bad in ("None", "nan", "NaN"):
        assert bad not in ran.out
    assert CalamineWorkbook.from_path(target).sheet_names[0] == "plan"


def test_a_plan_as_data(startroll, stocked):
    found = json.loads(startroll("plan", "--budget", 0, "--today", "2026-06-01", "--json").out)
    assert [end["year"] for end in found["ends"]] == [0, 1, 2, 3, 4, 5]
    assert found["items"] == []


def test_an_empty_plant_has_nothing_to_hold_or_to_plan(startroll, plant):
    assert "No model is known to cover any position" in startroll("spares").out
    assert "Nothing is replaced" in startroll("plan", "--budget", 100).out


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (("plan", "--budget", 1, "--to", "plan.txt"), "name a .xlsx file"),
        (("plan", "--budget", 1, "--area", "Dry end"), "Wet end"),
        (("spares", "--area", "Dry end"), "Wet end"),
        (("spares", "--today", "soon"), "2026-03-01"),
        (("plan",), "--budget"),
        (("plan", "--budget", -1), "--budget"),
        (("spares", "--service-level", 100), "--service-level"),
    ],
)
def test_what_is_mistyped_is_told(startroll, untouched, typed, told):
    ran = startroll(*typed)
    assert ran.code == 2
    assert told in ran.err
    assert "Traceback" not in ran.err


def test_a_plan_is_not_written_over_another_file(startroll, untouched, tmp_path):
    taken = tmp_path / "plan.xlsx"
    taken.write_text("kept")
    ran = startroll("plan", "--budget", 1, "--to", taken)
    assert ran.code == 2
    assert taken.read_text() == "kept"


@pytest.fixture
def shared(tmp_path):
    """A file of rates of across-the-line starters, from nine plants."""
    gamma = Gamma(1.2, 20.0)
    rate = SharedRate("across-the-line", False, gamma, 0.06, 0.004, 0.17, 9, 75, 1300.0, {})
    path = tmp_path / "rates.json"
    path.write_text(rates_text(RatesFile("2026-05-01", (rate,))), "utf-8")
    return path


def test_spares_begin_with_the_rates_of_many_plants_and_name_the_file(startroll, stocked, shared):
    plain = startroll("spares", "--today", "2026-06-01", "--json").out
    told = startroll("spares", "--today", "2026-06-01", "--rates", shared).out
    source = "0.06 a year from rates.json of 2026-05-01 (9 plants, 75 failures in 1 300 device years; SHA-256 "
    assert source in " ".join(told.split())
    found = json.loads(startroll("spares", "--today", "2026-06-01", "--rates", shared, "--json").out)
    assert source in dict(found["rates"])["across-the-line"]
    assert startroll("spares", "--today", "2026-06-01", "--json").out == plain
    assert "published" in dict(json.loads(plain)["rates"])["across-the-line"]


def test_a_plan_begins_with_the_rates_of_many_plants_and_names_the_file(startroll, stocked, shared, tmp_path):
    target = tmp_path / "plan.xlsx"
    ran = startroll(
        "plan", "--budget", 1000, "--years", 2, "--today", "2026-06-01", "--rates", shared, "--to", target, "--json"
    )
    assert "from rates.json of 2026-05-01" in dict(json.loads(ran.out)["rates"])["across-the-line"]
    basis = CalamineWorkbook.from_path(target).get_sheet_by_name("basis").to_python()
    assert any("from rates.json of 2026-05-01" in str(cell) for row in basis for cell in row)


@pytest.mark.parametrize("command", [("spares",), ("plan", "--budget", 1)])
def test_a_file_of_rates_that_was_changed_is_refused(startroll, untouched, shared, command):
    shared.write_text(shared.read_text().replace("1.2", "1.3"))
    ran = startroll(*command, "--rates", shared)
    assert ran.code == 2
    assert "SHA-256 does not fit" in ran.err
    assert startroll(*command, "--rates", shared.with_name("none.json")).code == 2
