"""One value or asset changed by hand: checked, with units understood, kept in the history."""

import sqlite3

import pytest

from register.errors import StartrollError
from register.intake.correct import add_record, move, set_value
from register.store.database import create, opened, writing
from register.store.history import position_history
from register.store.origins import origin_of
from register.store.queries import position, positions


@pytest.fixture
def db(tmp_path):
    create(tmp_path / "plant.db", {"site": "Oldmarrow Works", "practice": "us"})
    with opened(tmp_path / "plant.db", write=True) as db:
        with writing(db, reason="walk"):
            db.conn.execute("INSERT INTO bus (bus) VALUES ('MCC-1')")
            db.conn.execute(
                "INSERT INTO position (tag, area, bus) VALUES ('P-1', 'Wet end', 'MCC-1'), ('P-2', 'Dry end', NULL)"
            )
            db.conn.execute("INSERT INTO motor (motor, tag) VALUES ('M1', 'P-1')")
        yield db


def _set(db, *args, **more):
    with writing(db, reason="read again", author="rk"):
        return set_value(db, *args, **more)


def test_a_value_with_its_unit_is_understood_and_its_origin_told(db):
    # 50 hp = 37.285 kW (NIST SP 811).
    assert _set(db, "P-1", "power_kw", "50 HP") == ("unknown", "37.28 kW")
    assert position(db, "P-1")["tables"]["motor"]["power_kw"] == pytest.approx(37.285, abs=1e-3)
    assert "rk" in origin_of(db, ["P-1"], ["power_kw"])["P-1", "power_kw"]
    assert position_history(db, "P-1")[-1].reason == "read again"


@pytest.mark.parametrize(
    ("column", "text", "said"),
    [
        ("fla_a", "many", "fla_a"),
        ("fla_a", "90000", "5000"),
        ("criticality", "very", "critical"),
        ("fla", "65", "fla_a"),
        ("power_hp", "50", "worked out"),
        ("bump_test_on", "2026-01-01", "record"),
        ("bus", "MCC-9", "MCC-9"),
    ],
)
def test_a_value_that_will_not_do_is_refused_with_a_remedy(db, column, text, said):
    with pytest.raises(StartrollError, match=said):
        _set(db, "P-1", column, text)
    assert db["change_set"].count == 1


def test_rows_that_were_not_there_are_made(db):
    for column, value in (
        ("protection_rating_a", "100 A"),
        ("device_kind", "soft starter"),
        ("ramp_s", "12"),
        ("fla_a", "65"),
    ):
        _set(db, "P-2", column, value)
    tables = position(db, "P-2")["tables"]
    assert tables["protection"]["protection_rating_a"] == 100
    assert tables["model"]["model"] == "unidentified model at P-2"
    assert tables["setting"]["ramp_s"] == 12 and tables["motor"]["fla_a"] == 65


def test_a_blank_keeps_its_reason_until_a_value_comes(db):
    assert _set(db, "P-1", "fla_a", None, blank_reason="illegible")[1] == "unknown (illegible)"
    assert position(db, "P-1")["blanks"] == {"fla_a": "illegible"}
    _set(db, "P-1", "fla_a", "65")
    assert position(db, "P-1")["blanks"] == {}
    with pytest.raises(StartrollError, match="either a value or the reason"):
        _set(db, "P-1", "fla_a", "65", blank_reason="illegible")


def test_a_serial_that_becomes_known_renames_and_keeps_the_history(db):
    _set(db, "P-2", "fla_a", "12")
    _set(db, "P-2", "motor", "K-77")
    tables = position(db, "P-2")["tables"]
    assert tables["motor"]["motor"] == "K-77" and tables["motor"]["fla_a"] == 12


def test_moving_a_motor_needs_an_empty_place(db):
    with writing(db, reason="spare"):
        db.conn.execute("INSERT INTO motor (motor) VALUES ('M2')")
    with pytest.raises(StartrollError, match="M1 is installed at P-1"), writing(db, reason="swap"):
        move(db, "motor", "M2", "P-1")
    with writing(db, reason="swap"):
        move(db, "motor", "M1", None, on="2026-05-01")
        move(db, "motor", "M2", "P-1", on="2026-05-01")
    motor = position(db, "P-1")["tables"]["motor"]
    assert (motor["motor"], motor["motor_installed_on"]) == ("M2", "2026-05-01")
    moved = [(e.before, e.after) for e in position_history(db, "P-1") if e.column == "tag"]
    assert moved == [("P-1", None), (None, "P-1")]


def test_positions_are_listed_by_area_and_an_unknown_area_is_said(db):
    assert [r["tag"] for r in positions(db, area="Wet end")] == ["P-1"]
    with pytest.raises(StartrollError, match="did you mean 'Wet end'"):
        positions(db, area="Wet endd")


def test_the_history_tells_what_was_said_of_a_blank_and_of_what_is_shared(db):
    _set(db, "P-1", "fla_a", None, blank_reason="illegible")
    _set(db, "P-1", "fla_a", "65")
    _set(db, "P-1", "site_altitude_m", "300 m")
    _set(db, "P-1", "device_kind", "soft starter")
    _set(db, "P-1", "ramp_s", "12")
    told = [(e.action, e.column, e.before, e.after) for e in position_history(db, "P-1")]
    assert ("note", "fla_a", None, "illegible") in told
    assert ("note gone", "fla_a", "illegible", None) in told
    for column, after in (("site_altitude_m", 300), ("device_kind", "soft starter"), ("ramp_s", 12)):
        assert ("update", column, None, after) in told


def test_a_check_is_entered_and_a_word_that_is_none_is_refused(db):
    with writing(db, reason="bump test done", author="rk"):
        said = add_record(db, "P-1", "bump test", "passed", on="2026-05-02", by="rk")
    assert said == "P-1: bump test passed, 2026-05-02"
    assert position(db, "P-1")["records"][0]["done_by"] == "rk"
    with pytest.raises(StartrollError, match="bump test"), writing(db, reason="x"):
        add_record(db, "P-1", "bumb test", "passed")
    assert db["record"].count == 1


def test_a_device_without_a_serial_may_go_and_another_come(db):
    _set(db, "P-1", "firmware", "1.2")
    with writing(db, reason="out"):
        move(db, "device", "unmarked device at P-1", None, status="in store")
    _set(db, "P-1", "firmware", "1.3")
    rows = db.execute("SELECT device, tag, firmware FROM device ORDER BY device").fetchall()
    assert rows == [("unmarked device at P-1", None, "1.2"), ("unmarked device at P-1, 2", "P-1", "1.3")]
    _set(db, "P-1", "device", "S 4711")  # read at last
    assert position(db, "P-1")["tables"]["device"]["device"] == "S 4711"


def test_a_list_gives_the_serial_of_the_second_one_too(db, tmp_path):
    from register.intake.take_in import take_in

    _set(db, "P-1", "firmware", "1.2")
    with writing(db, reason="out"):
        move(db, "device", "unmarked device at P-1", None, status="in store")
    _set(db, "P-1", "firmware", "1.3")
    (tmp_path / "list.csv").write_text("tag,device\nP-1,S 4711\n", encoding="utf-8")
    db.conn.close()
    take_in(tmp_path / "plant.db", [tmp_path / "list.csv"], reason="walk", author="rk")
    with opened(tmp_path / "plant.db") as again:
        rows = again.execute("SELECT device, tag, firmware FROM device ORDER BY device").fetchall()
    assert rows == [("S 4711", "P-1", "1.3"), ("unmarked device at P-1", None, "1.2")]


def test_a_column_of_a_lineup_is_set_by_its_name_also_where_nothing_stands_on_it(db):
    db.conn.execute("INSERT INTO bus (bus) VALUES ('SB')")
    for bus in ("MCC-1", "SB"):
        assert _set(db, bus, "bus_physical_condition", "2", sure=False) == ("unknown", "2")
        assert _set(db, bus, "bus_voltage_v", "0.48 kV", sure=False) == ("unknown", "480 V")
    assert db.execute("SELECT DISTINCT bus_physical_condition, bus_voltage_v FROM bus").fetchall() == [("2", 480.0)]
    assert _set(db, "P-1", "bus_physical_condition", "3") == ("2", "3")  # by a position on it, as before
    for column in ("fla_a", "cubicle"):  # of a position, and not of a lineup
        with pytest.raises(StartrollError, match="no position 'SB'"):
            _set(db, "SB", column, "1")


def test_a_check_of_a_lineup_is_entered_for_it_alone(db):
    with writing(db, reason="outage", author="rk"):
        said = add_record(db, "MCC-1", "cleaning", "passed", subject="bus", on="2026-01-10", value=2.0, unit="h")
        assert said == "bus MCC-1: cleaning passed, 2 h, 2026-01-10"
        for at, subject in (("MCC-9", "bus"), ("MCC-1", "position"), ("P-1", "bus")):
            with pytest.raises(StartrollError, match="there is no"):
                add_record(db, at, "cleaning", "passed", subject=subject)
    assert db.execute("SELECT tag, bus FROM record").fetchall() == [(None, "MCC-1")]
    with pytest.raises(sqlite3.IntegrityError, match="CHECK"):
        db.conn.execute(
            "INSERT INTO record (tag, bus, record_kind, done_on, result)"
            " VALUES ('P-1', 'MCC-1', 'cleaning', '2026-01-10', 'passed')"
        )


def test_the_lineup_of_a_record_cannot_go_without_it(db):
    with writing(db, reason="outage"):
        add_record(db, "MCC-1", "cleaning", "passed", subject="bus", on="2026-01-10")
    db.conn.execute("UPDATE position SET bus = NULL")
    with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        db.conn.execute("DELETE FROM bus WHERE bus = 'MCC-1'")
