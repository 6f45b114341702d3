"""The register as a file: made, opened, refused, written once, copied."""

import json
import sqlite3

import pytest

from register.errors import RegisterBusy, RegisterDamaged, RegisterMissing, RegisterNewer, StartrollError
from register.store import database
from register.store.database import backup, create, opened, writing

SITE = {"site": "Oldmarrow Works", "practice": "us", "site_frequency_hz": 60.0}


@pytest.fixture
def path(tmp_path):
    made = tmp_path / "plant.db"
    create(made, SITE)
    return made


def _changes(path, table):
    with opened(path) as db:
        return list(db.query("SELECT * FROM change WHERE table_name = ? ORDER BY change_id", [table]))


def test_a_second_register_never_overwrites(path):
    with pytest.raises(StartrollError, match="already"):
        create(path, SITE)


def test_practice_is_needed(tmp_path):
    with pytest.raises(StartrollError, match="practice"):
        create(tmp_path / "x.db", {"site": "X", "practice": "mars"})
    assert not (tmp_path / "x.db").exists()


def test_missing_text_truncated_foreign_and_newer_files_are_refused(path, tmp_path):
    with pytest.raises(RegisterMissing), opened(tmp_path / "none.db"):
        pass
    text = tmp_path / "text.db"
    text.write_text("this is a letter and not a database, long enough to have a header\n" * 20)
    with pytest.raises(RegisterDamaged), opened(text):
        pass
    cut = tmp_path / "cut.db"
    cut.write_bytes(path.read_bytes()[:6000])
    with pytest.raises(RegisterDamaged), opened(cut):
        pass
    foreign = tmp_path / "foreign.db"
    sqlite3.connect(foreign).execute("CREATE TABLE t (a)").connection.close()
    with pytest.raises(RegisterDamaged, match="another program"), opened(foreign):
        pass
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA user_version = 99")
    connection.close()
    with pytest.raises(RegisterNewer), opened(path):
        pass


def test_unknown_to_measured_and_back_is_recorded_with_its_reason(path):
    with opened(path, write=True) as db:
        with writing(db, reason="walk", author="rk"):
            db.conn.execute("INSERT INTO position (tag) VALUES ('P-101')")
        with writing(db, reason="counted", author="rk"):
            db.conn.execute("UPDATE position SET starts_per_hour = 6")
        with writing(db, reason="doubted", author="rk"):
            db.conn.execute("UPDATE position SET starts_per_hour = NULL")
    made, counted, doubted = _changes(path, "position")
    assert made["action"] == "insert" and made["tag"] == "P-101"
    assert json.loads(counted["before"]) == {"starts_per_hour": None}
    assert json.loads(counted["after"]) == {"starts_per_hour": 6.0}
    assert json.loads(doubted["after"]) == {"starts_per_hour": None}
    assert len({made["change_set"], counted["change_set"], doubted["change_set"]}) == 3


def test_an_edit_by_another_program_is_recorded_too(path):
    connection = sqlite3.connect(path)
    connection.execute("INSERT INTO position (tag) VALUES ('P-102')")
    connection.commit()
    connection.close()
    (change,) = _changes(path, "position")
    assert change["change_set"] is None and change["row_key"] == "P-102"


def test_what_fails_inside_a_write_leaves_nothing(path):
    with opened(path, write=True) as db:
        with pytest.raises(ZeroDivisionError), writing(db, reason="half"):
            db.conn.execute("INSERT INTO position (tag) VALUES ('P-103')")
            raise ZeroDivisionError
        assert db["position"].count == 0
        assert db["open_change_set"].count == 0


def test_the_second_writer_is_told(path):
    with opened(path, write=True) as first, writing(first, reason="long job"):  # noqa: SIM117
        with opened(path, write=True) as second:
            second.conn.execute("PRAGMA busy_timeout = 0")
            with pytest.raises(RegisterBusy, match="another program"), writing(second, reason="x"):
                pass


def test_a_full_disk_leaves_nothing(path):
    with opened(path, write=True) as db:
        pages = db.conn.execute("PRAGMA page_count").fetchone()[0]
        db.conn.execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(RegisterBusy, match="full"), writing(db, reason="too much"):
            for n in range(5000):
                db.conn.execute("INSERT INTO position (tag) VALUES (?)", [f"P-{n}"])
        assert db["position"].count == 0


def test_one_motor_stands_at_a_position(path):
    with opened(path, write=True) as db, writing(db, reason="set up"):
        db.conn.execute("INSERT INTO position (tag) VALUES ('P-1')")
        db.conn.execute("INSERT INTO motor (motor, tag) VALUES ('A', 'P-1')")
        with pytest.raises(sqlite3.IntegrityError):
            db.conn.execute("INSERT INTO motor (motor, tag) VALUES ('B', 'P-1')")


def test_backup_is_equal_checked_and_never_overwrites(path, tmp_path):
    copy = backup(path, tmp_path / "copy.db")
    with opened(copy) as db:
        assert next(db["site"].rows)["site"] == "Oldmarrow Works"
    with pytest.raises(StartrollError, match="already"):
        backup(path, copy)


@pytest.mark.parametrize("missing", [1, 4096, 5 * 4096])
def test_a_large_register_that_was_cut_off_is_refused(path, monkeypatch, missing):
    monkeypatch.setattr("register.store.database.CHECKED_WHOLE_BYTES", 0)
    with opened(path) as db:
        assert db["site"].count == 1
    path.write_bytes(path.read_bytes()[:-missing])
    with pytest.raises(RegisterDamaged), opened(path):
        pass


def test_what_an_interrupt_leads_to_ends_as_an_interrupt(tmp_path):
    """A statement is interrupted before its savepoint is there, and taking that back fails."""
    with pytest.raises(KeyboardInterrupt), database.translated(tmp_path):
        try:
            raise KeyboardInterrupt
        except KeyboardInterrupt:
            raise sqlite3.OperationalError("no such savepoint") from None
