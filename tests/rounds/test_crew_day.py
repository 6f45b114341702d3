"""A crew's day on lineups: their own work first, what goes dead with them, what to bring and to beware of."""

from dataclasses import replace

import pytest
from crew_day import page_of

from register.rounds.crew_page import IN_STORE
from register.rounds.crew_tools import LINEUP_CAUTION, tools
from register.rounds.saved_file import Answer, SavedRound
from register.rounds.stations import LINEUP_OFF, RUNNING
from register.rounds.take_round import take_round
from register.store.database import create, opened, writing

NOON = "2026-11-25T12:00:00+00:00"


@pytest.fixture
def path(tmp_path):
    """A switchboard that feeds two lineups and no motor; every task of a lineup is years old."""
    made = tmp_path / "works.db"
    create(made, {"site": "Oldmarrow Works", "practice": "us", "time_zone": "UTC"})
    with opened(made, write=True) as db, writing(db, reason="list", author="desk"):
        db.execute(
            "INSERT INTO bus (bus, fed_from, bus_voltage_v, main_kind, bus_load_a) VALUES ('SB', NULL, 480, 'breaker', 900),"
            " ('MCC-1', 'SB', 480, 'breaker', 400), ('MCC-2', 'SB', 480, 'fuse', NULL)"
        )
        names = ", ".join(f"bus_{name}_condition = '1'" for name in ("physical", "criticality", "environment"))
        db.execute(f"UPDATE bus SET {names}")
        db.execute(
            "INSERT INTO position (tag, bus, cubicle, criticality) VALUES"
            " ('P-1', 'MCC-1', '1A', 'ordinary'), ('P-2', 'MCC-2', '1A', 'critical'), ('P-3', 'MCC-2', '2B', NULL)"
        )
        for bus in ("SB", "MCC-1", "MCC-2"):
            for kind in ("thermography", "cleaning", "insulation test", "breaker test"):
                db.execute(
                    "INSERT INTO record (bus, record_kind, done_on, result) VALUES (?, ?, '2020-01-10', 'passed')",
                    [bus, kind],
                )
        db.execute(
            "INSERT INTO record (tag, record_kind, done_on, result) VALUES ('P-1', 'thermography', '2020-01-10', 'failed')"
        )
        db.execute("INSERT INTO motor (motor, tag) VALUES ('M1', 'P-1')")
        db.execute("INSERT INTO device (device, tag) VALUES ('D1', 'P-1')")
    return made


def test_the_work_of_a_lineup_stands_before_that_of_its_positions(path):
    made = page_of(path)
    assert [(stop.at, stop.is_bus) for stop in made.stops] == [
        ("MCC-1", True), ("P-1", False), ("MCC-2", True), ("SB", True),
    ]  # fmt: skip
    own = {(stop.at, job.name): job for stop, job in made.jobs}
    assert own["SB", "cleaning"].station is LINEUP_OFF and own["SB", "thermography"].station is RUNNING
    assert own["SB", "breaker test"].caution == LINEUP_CAUTION["breaker test"]
    assert not own["P-1", "thermography"].caution  # what the part itself says is enough there
    assert ("MCC-2", "breaker test") not in own  # its main is a fuse


def test_what_goes_dead_names_every_lineup_below_and_who_is_critical(path):
    assert page_of(path, bus="SB").crew.off == (
        "SB: the whole lineup, and what it feeds: MCC-1, MCC-2; 3 motors in all; critical: P-2",
    )
    assert page_of(path, bus="MCC-1").crew.off == ("MCC-1: the whole lineup, with its 1 motor",)


def test_what_to_bring_has_the_ranges_of_the_lineup(path):
    brought = {one.what for one in page_of(path, bus="SB").crew.bring}
    # Common practice: a clamp meter shows half as much again as the load, 1.5 × 900 A = 1350 A, and is made for 1500.
    assert {"clamp meter to 1500 A or more", "insulation tester: by the maker's voltage for the bus bars"} <= brought
    assert "voltage tester for 480 V, with a source to prove it on" in brought and "locks and tags" in brought
    assert "clamp meter: read its range off the plate first" in {o.what for o in page_of(path, bus="MCC-2").crew.bring}
    assert "insulation tester, 500 V" in tools("insulation test", "stopped", {"motor_voltage_v": 460})


def test_with_nothing_off_only_the_infrared_look_is_left(path):
    made = page_of(path, needs="running")
    assert {job.name for _, job in made.jobs} == {"thermography"} and not made.crew.off
    assert any("need more to be off" in reason for reason in made.left_out)


def test_half_done_on_a_lineup_stands_on_its_next_page_until_it_is_done(path):
    def told():
        made = page_of(path, bus="SB")
        return next(job.told for stop, job in made.jobs if (stop.at, job.name) == ("SB", "cleaning"))

    before = told()
    answer = Answer(
        "record", "SB", "cleaning", "bus", None, "value", "half done", "half done", "", "section 3 left", NOON
    )
    made = page_of(path, bus="SB")
    saved = SavedRound(made.register, "p1", made.site, made.title, made.made_on, "rk", NOON, (answer,), "0" * 64)
    with opened(path, write=True) as db:
        take_round(db, saved, file="crew.json")
    assert told() == (*before, "half done on 2026-11-25: section 3 left")
    with opened(path, write=True) as db:
        later = replace(answer, value="passed", as_typed="passed", answered_at="2026-11-25T13:00:00+00:00")
        assert take_round(db, replace(saved, answers=(later,)), file="crew.json").recorded == 1
    assert not [job for stop, job in page_of(path, bus="SB").jobs if job.name == "cleaning"]


def test_what_lies_in_store_has_no_place_on_a_walk(path):
    with opened(path, write=True) as db, writing(db, reason="list", author="desk"):
        db.execute("INSERT INTO device (device, device_status, stored_since) VALUES ('D9', 'in store', '2015-01-01')")
        db.execute(
            "INSERT INTO action (device, against_rule, assigned_to, assigned_on, due_on)"
            " VALUES ('D9', 'lifecycle/spare-powered', 'rk', '2026-11-01', '2026-12-01')"
        )
    assert page_of(path).left_out[f"actions {IN_STORE}"] == 1
