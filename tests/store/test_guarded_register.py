"""A register that another program was at: its triggers and views, and the seals on its history."""

import json
import sqlite3
from contextlib import closing

import pytest

from register.errors import RegisterDamaged, RegisterError
from register.store import check_history, database, seals
from register.store.database import create, opened, repair, writing
from register.store.odd_values import odd_values


@pytest.fixture
def path(tmp_path):
    made = tmp_path / "plant.db"
    create(made, {"site": "Oldmarrow Works", "practice": "us"})
    for number in (1, 2, 3):
        with opened(made, write=True) as db, writing(db, reason=f"walk {number}", author="rk"):
            db.execute("INSERT INTO position (tag) VALUES (?)", [f"P-{number}"])
    return made


@pytest.fixture(autouse=True)
def no_notices(monkeypatch):
    monkeypatch.setattr(database, "NOTICES", [])


def elsewhere(path, *statements):
    """Done with another program."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for sql in statements:
            connection.execute(sql)


# fmt: off
TOUCHED = {
    "a trigger gone": ("DROP TRIGGER position_updated", "the trigger position_updated is missing"),
    "a trigger that records nothing": (
        "DROP TRIGGER position_updated; CREATE TRIGGER position_updated AFTER UPDATE ON position BEGIN SELECT 1; END",
        "the trigger position_updated was changed",
    ),
    "a trigger added": (
        "CREATE TRIGGER mine AFTER UPDATE ON position BEGIN UPDATE position SET starts_per_hour = 1; END",
        "a trigger of another program, mine, on position",
    ),
    "a trigger without end": (
        "CREATE TRIGGER \"a \"\"name\"\"\" AFTER UPDATE ON facts BEGIN INSERT INTO gap_reason WITH RECURSIVE n(i) AS"
        " (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i, i FROM n; END",
        "of another program",
    ),
    "a view that says something else": (
        "DROP VIEW positions_overview; CREATE VIEW positions_overview AS SELECT 'P-9' AS tag",
        "the view positions_overview was changed",
    ),
}
# fmt: on


@pytest.mark.parametrize("name", TOUCHED)
def test_what_another_program_did_to_triggers_and_views_is_told_refused_and_put_back(path, name):
    sql, said = TOUCHED[name]
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript(sql)
    before = path.read_bytes()
    with opened(path, write=True) as db:
        assert [r["tag"] for r in db.query("SELECT tag FROM positions_overview ORDER BY tag")] == ["P-1", "P-2", "P-3"]
        with pytest.raises(RegisterError, match="startroll repair"), writing(db, reason="walk", author="rk"):
            pass
    assert path.read_bytes() == before
    assert said in database.NOTICES[0].cause and "repair" in database.NOTICES[0].remedy

    assert any(said in fault for fault in repair(path, author="rk"))
    database.NOTICES.clear()
    with opened(path, write=True) as db, writing(db, reason="counted", author="rk"):
        db.execute("UPDATE position SET starts_per_hour = 6 WHERE tag = 'P-1'")
    with opened(path) as db:
        assert db.execute("SELECT count(*) FROM position WHERE starts_per_hour IS NOT NULL").fetchone()[0] == 1
        recorded = db.execute("SELECT count(*) FROM change WHERE action = 'update'").fetchone()[0]
        reasons = [r for (r,) in db.execute("SELECT reason FROM change_set ORDER BY change_set")]
    assert recorded == 1 and not database.NOTICES
    assert reasons[-1] == "counted" and reasons[-2].startswith("triggers and views put back")
    assert repair(path) == []


def test_tables_and_views_of_other_programs_are_their_own_affair(path):
    elsewhere(path, "CREATE VIEW ours AS SELECT tag FROM position", "CREATE TABLE notes_of_ours (a)")
    with opened(path, write=True) as db, writing(db, reason="walk 4", author="rk"):
        db.execute("INSERT INTO position (tag) VALUES ('P-4')")
    assert not database.NOTICES


def test_seals_fit_a_history_that_nobody_altered_whoever_made_it(path):
    elsewhere(path, "UPDATE position SET starts_per_hour = 4 WHERE tag = 'P-2'")
    told = "\n".join(check_history.check_history(path))
    assert "3 seals" in told and "1 change since, by another program" in told
    with opened(path, write=True) as db, writing(db, reason="walk 4", author="rk"):
        db.execute("INSERT INTO position (tag) VALUES ('P-4')")
    told = "\n".join(check_history.check_history(path))
    assert "4 seals" in told and "since, by" not in told and "1 change in all by other programs" in told


# fmt: off
FORGED = {
    "a reason": ("UPDATE change_set SET reason = 'walk 9' WHERE change_set = 2", 2),
    "who": ("UPDATE change_set SET author = NULL WHERE change_set = 1", 1),
    "a value": ("UPDATE change SET row_key = 'P-9' WHERE change_set = 3", 3),
    "a change gone": ("DELETE FROM change WHERE change_set = 2", 2),
    "the last change gone": ("DELETE FROM change WHERE change_set = 3", 3),
    "a seal gone": ("DELETE FROM change_seal WHERE change_set = 2", 3),
    "a seal": ("UPDATE change_seal SET seal = 'x' WHERE change_set = 2", 2),
    "a change put under another set": ("UPDATE change SET change_set = 1 WHERE change_set = 2", 2),
}
# fmt: on


@pytest.mark.parametrize("name", FORGED)
def test_the_first_change_set_that_was_altered_is_named(path, name):
    sql, number = FORGED[name]
    elsewhere(path, sql)
    with pytest.raises(RegisterError, match=f"of change-set {number}"):
        check_history.check_history(path)


def test_a_history_made_anew_is_noticed_by_who_noted_the_last_seal(path):
    noted = check_history.check_history(path)[-1]
    assert check_history.check_history(path, expect=noted)[-1] == noted
    elsewhere(path, "UPDATE change_set SET reason = 'walk 9' WHERE change_set = 2", "DELETE FROM change_seal")
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        seals.seal(connection, 3)
    check_history.check_history(path)
    with pytest.raises(RegisterError, match="lacks the seal that was expected"):
        check_history.check_history(path, expect=noted)


def test_a_number_that_no_entry_may_hold_is_told_with_its_place_and_stands_in_the_history_as_json(path):
    with opened(path, write=True) as db, writing(db, reason="walk", author="rk"):
        db.execute("INSERT INTO motor (motor, tag, fla_a, power_kw) VALUES ('M1', 'P-1', 62, 37)")
    elsewhere(path, "UPDATE motor SET fla_a = -9e999, power_kw = -5")
    with opened(path) as db:
        (after,) = (json.loads(a) for (a,) in db.execute("SELECT after FROM change WHERE action = 'update'"))
        assert after == {"fla_a": float("-inf"), "power_kw": -5.0}
        assert odd_values(db) == [
            "motor M1: power_kw is -5; it lies from 0.02 kW to 30000 kW",
            "motor M1: fla_a is infinite; it lies from 0.05 A to 5000 A",
        ]


def test_a_write_ahead_log_of_another_program_is_given_up(tmp_path):
    """A register often lies on a share, where such a log fails (SQLite, Write-Ahead Logging, section 1)."""
    path = tmp_path / "plant.db"
    create(path, {"site": "Oldmarrow Works", "practice": "iec"})
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA journal_mode = WAL").fetchone() == ("wal",)
    with opened(path, write=True):
        pass
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA journal_mode").fetchone() == ("delete",)


def test_damage_that_is_told_in_letters_that_are_none_is_damage(path):
    """SQLite names the table that it cannot read, and here the name is no UTF-8."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("CREATE TABLE other (name)")
        connection.execute("PRAGMA writable_schema = ON")
        spoilt = "UPDATE sqlite_schema SET name = CAST(? AS TEXT), sql = 'CREATE TABLE (' WHERE name = 'other'"
        connection.execute(spoilt, [b"oth\xe4r"])
    with pytest.raises(RegisterDamaged, match="go back to the last backup"), opened(path):
        pass
