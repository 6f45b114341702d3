"""A swap in one step: who stands where afterwards, what the history keeps, what is refused."""

from datetime import date

import pytest
from by_path import register_as_of as as_of
from sqlite_utils import Database

from register.columns import TABLES
from register.errors import StartrollError
from register.intake.replace_device import Swap, swap
from register.store.database import create, opened, writing
from register.store.history import position_history
from register.store.queries import position

TODAY = date(2026, 11, 25)


@pytest.fixture
def db(tmp_path):
    create(tmp_path / "plant.db", {"site": "Oldmarrow Works", "practice": "us"})
    with opened(tmp_path / "plant.db", write=True) as db:
        with writing(db, reason="walk", author="rk"):
            for sql in (
                "INSERT INTO position (tag) VALUES ('P-1'), ('P-2'), ('P-3')",
                "INSERT INTO model (model, device_kind) VALUES ('S-40', 'soft starter')",
                "INSERT INTO device (device, model, device_status, tag, device_installed_on)"
                " VALUES ('OLD', 'S-40', 'in service', 'P-1', '2019-05-01'),"
                " ('ELSE', 'S-40', 'in service', 'P-2', '2019-05-01')",
                "INSERT INTO device (device, model, device_status, stored_since)"
                " VALUES ('SPARE', 'S-40', 'in store', '2024-01-17'),"
                " ('DEAD', 'S-40', 'failed', NULL), ('GONE', 'S-40', 'scrapped', NULL)",
                "INSERT INTO setting (device, setting_recorded_on, current_limit_xfla, ramp_s)"
                " VALUES ('OLD', '2019-05-02', 3, 10), ('SPARE', '2023-02-01', 4.5, 20)",
            ):
                db.conn.execute(sql)
        yield db


def _done(db: Database, **more) -> tuple[str, ...]:
    asked = Swap(
        **{
            "tag": "P-1",
            "out": "failed",
            "cause": "thyristor shorted",
            "stored": "SPARE",
            "on": "2026-11-24",
            "by": "rk",
            **more,
        }
    )
    with writing(db, reason=f"device swapped: {asked.cause}", author="rk"):
        return swap(db, asked, today=TODAY)


def _whole(db: Database) -> dict[str, list]:
    names = (*TABLES, "change_set", "change", "blank")
    return {name: db.execute(f"SELECT * FROM {name}").fetchall() for name in names}


def _device(db: Database, serial: str) -> dict:
    return next(db.query("SELECT * FROM device WHERE device = ?", [serial]))


def test_the_old_one_leaves_and_the_spare_stands_there_under_one_change_set(db):
    _done(db, values={"current_limit_xfla": "3.5", "overload_place": "device"}, mode="FTS")
    old, new = _device(db, "OLD"), _device(db, "SPARE")
    assert (old["device_status"], old["tag"]) == ("failed", None)
    assert (new["device_status"], new["tag"]) == ("in service", "P-1")
    assert new["device_installed_on"] == "2026-11-24"
    (event,) = db.query("SELECT * FROM event")
    assert event["tag"] == "P-1" and event["device"] == "OLD" and event["failure_mode"] == "FTS"
    assert (event["happened_on"], event["cause"]) == ("2026-11-24", "thyristor shorted")
    sets = db.execute("SELECT DISTINCT change_set FROM change WHERE change_set > 1").fetchall()
    assert sets == [(2,)] and db["change_set"].count == 2
    assert db.execute("PRAGMA foreign_key_check").fetchall() == []
    assert position_history(db, "P-1")[-1].reason == "device swapped: thyristor shorted"


def test_settings_as_left_are_a_reading_of_that_day_and_the_last_places_stay(db):
    _done(db, values={"current_limit_xfla": 3.5, "ramp_s": "12 s", "relay_set_a": 41.0})
    now = position(db, "P-1")["tables"]
    assert now["setting"]["setting_recorded_on"] == "2026-11-24"
    assert now["setting"]["setting_recorded_by"] == "rk"
    assert (now["setting"]["current_limit_xfla"], now["setting"]["ramp_s"]) == (3.5, 12)
    assert now["protection"]["relay_set_a"] == 41
    before = db.execute(
        "SELECT current_limit_xfla FROM setting WHERE device = 'SPARE' AND setting_recorded_on = '2023-02-01'"
    ).fetchone()
    assert before == (4.5,)


def test_the_history_gives_the_register_back_as_it_stood_before(db, tmp_path):
    before = {name: list(db.query(f"SELECT * FROM {name}")) for name in TABLES}
    db.conn.execute("UPDATE change SET at = '2026-01-01T08:00:00.000Z'")
    _done(db, values={"current_limit_xfla": "3.5", "overload_place": "device"})
    earlier = as_of(tmp_path / "plant.db", date(2026, 6, 1))
    assert {name: list(earlier.query(f"SELECT * FROM {name}")) for name in TABLES} == before


def test_a_new_one_of_a_known_type_and_one_whose_serial_nobody_has_read(db):
    _done(db, stored="", model="S-40", serial="N-1")
    assert _device(db, "N-1")["model"] == "S-40" and _device(db, "N-1")["tag"] == "P-1"
    _done(db, stored="", model="S-40", out="in store")
    assert position(db, "P-1")["tables"]["device"]["device"] == "unmarked device at P-1"
    stored = _device(db, "N-1")
    assert (stored["device_status"], stored["stored_since"]) == ("in store", "2026-11-24")


def test_where_no_device_was_known_one_comes_in_all_the_same(db):
    said = _done(db, tag="P-3")
    assert said[0] == "no device was known at P-3"
    assert next(db.query("SELECT * FROM event"))["device"] is None


def test_a_mode_is_unknown_where_a_device_failed_and_none_where_it_goes_to_store(db):
    _done(db)
    _done(db, stored="", model="S-40", serial="N-1", out="in store", cause="too small")
    modes = [row["failure_mode"] for row in db.query("SELECT * FROM event ORDER BY event_id")]
    assert modes == ["UNK", None]


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"tag": "P-9"}, "no position 'P-9'"),
        ({"out": "scrapped"}, "failed or in-store"),
        ({"cause": " "}, "needs its cause"),
        ({"mode": "XXX"}, "no failure mode"),
        ({"stored": ""}, "nothing is said to come in"),
        ({"stored": "", "serial": "N-1"}, "nothing is said to come in"),
        ({"model": "S-40"}, "cannot both come in"),
        ({"stored": "SPAER"}, "did you mean 'SPARE'"),
        ({"stored": "ELSE"}, "is installed at P-2"),
        ({"stored": "OLD"}, "is the one that is installed at P-1"),
        ({"stored": "DEAD"}, "is failed"),
        ({"stored": "GONE"}, "is scrapped"),
        ({"stored": "", "model": "S-41", "serial": "N-1"}, "did you mean 'S-40'"),
        ({"stored": "", "model": "S-40", "serial": "DEAD"}, "there is a device 'DEAD' already"),
        ({"on": "2026-11-26"}, "has not come yet"),
        ({"on": "yesterday"}, "is not a day"),
        ({"on": "2018-01-01"}, "put at P-1 on 2019-05-01, after 2018-01-01"),
        ({"on": "2020-01-01"}, "went into store on 2024-01-17"),
        ({"values": {"current_limit_xfla": "90"}}, "current_limit_xfla"),
        ({"values": {"curent_limit_xfla": "3"}}, "did you mean current_limit_xfla"),
        ({"values": {"fla_a": "30 A"}}, "not a setting that a swap leaves"),
    ],
    ids=lambda v: " ".join(v) if isinstance(v, dict) else "",
)
def test_what_cannot_be_is_refused_and_nothing_is_left(db, more, said):
    before = _whole(db)
    with pytest.raises(StartrollError) as error:
        _done(db, **more)
    assert said in str(error.value)
    assert _whole(db) == before


def test_everything_that_hinders_it_is_told_at_once(db):
    with pytest.raises(StartrollError) as error:
        _done(db, tag="P-9", stored="DEAD", out="lost", on="soon", values={"ramp_s": "long"})
    assert len(error.value.problems) == 5


def test_a_swap_that_fails_midway_leaves_nothing(db, monkeypatch):
    before = _whole(db)
    monkeypatch.setattr("register.intake.replace_device._event", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        _done(db, values={"current_limit_xfla": "3.5"})
    assert _whole(db) == before and not db.conn.in_transaction
