"""The history of a position, through the library and through the command."""

import json
import sqlite3
from itertools import pairwise

import pytest
from typer.testing import CliRunner

from register.cli.app import app
from register.errors import StartrollError
from register.intake.correct import add_record
from register.store.database import create, opened, writing
from register.store.history import OUTSIDE, lineup_history, position_history


@pytest.fixture
def path(tmp_path):
    made = tmp_path / "plant.db"
    create(made, {"site": "Oldmarrow Works", "practice": "us"})
    with opened(made, write=True) as db:
        with writing(db, reason="walk", author="rk"):
            db.conn.execute("INSERT INTO position (tag) VALUES ('P-101'), ('P-102')")
            db.conn.execute("INSERT INTO motor (motor, tag, fla_a) VALUES ('M1', 'P-101', 65)")
        with writing(db, reason="moved after rewind", author="rk"):
            db.conn.execute("UPDATE motor SET tag = 'P-102'")
    connection = sqlite3.connect(made)
    connection.execute("UPDATE motor SET fla_a = NULL")
    connection.commit()
    connection.close()
    return made


def test_a_move_shows_at_both_places_and_later_edits_only_where_it_stands(path):
    with opened(path) as db:
        left = [(e.action, e.column) for e in position_history(db, "P-101")]
        there = position_history(db, "P-102")
    assert left == [("insert", ""), ("insert", ""), ("update", "tag")]
    assert [(e.column, e.before, e.after) for e in there[1:]] == [("tag", "P-101", "P-102"), ("fla_a", 65.0, None)]
    assert there[1].reason == "moved after rewind" and there[2].reason == OUTSIDE


def test_an_unknown_tag_is_said(path):
    with opened(path) as db, pytest.raises(StartrollError, match="knows no position"):
        position_history(db, "P-999")


def test_the_command_prints_units_and_json(path):
    shown = CliRunner().invoke(app, ["history", "P-102", "--register", str(path)])
    assert shown.exit_code == 0 and "65 A → unknown" in shown.stdout
    data = CliRunner().invoke(app, ["history", "P-102", "--register", str(path), "--json"])
    assert json.loads(data.stdout)[-1]["before"] == 65.0


def test_a_lineup_has_a_history_of_its_own_under_every_name_it_had(path):
    with opened(path, write=True) as db:
        with writing(db, reason="list", author="rk"):
            db.conn.execute("INSERT INTO bus (bus) VALUES ('MCC-1'), ('MCC-2')")
            db.conn.execute("UPDATE position SET bus = 'MCC-1'")
        with writing(db, reason="outage", author="ml"):
            add_record(db, "MCC-1", "cleaning", "failed", subject="bus", on="2026-01-10")
            add_record(db, "MCC-2", "cleaning", "passed", subject="bus", on="2026-01-10")
            add_record(db, "P-101", "cleaning", "passed", on="2026-01-10")
        with writing(db, reason="new names", author="rk"):
            db.conn.execute("UPDATE bus SET bus = 'MCC-1A' WHERE bus = 'MCC-1'")
            db.conn.execute("UPDATE record SET result = 'passed' WHERE bus = 'MCC-1A'")
        told = [(e.reason, e.table, e.action, e.column, e.after) for e in lineup_history(db, "MCC-1A")]
        told[2:4] = sorted(told[2:4])  # the name changes in the record first
        assert told == [
            ("list", "bus", "insert", "", None), ("outage", "record", "insert", "", None),
            ("new names", "bus", "update", "bus", "MCC-1A"), ("new names", "record", "update", "bus", "MCC-1A"),
            ("new names", "record", "update", "result", "passed"),
        ]  # fmt: skip
        with writing(db, reason="typed twice", author="rk"):
            db.conn.execute("DELETE FROM record WHERE bus = 'MCC-1A'")
        assert (lineup_history(db, "MCC-1A")[-1].reason, lineup_history(db, "MCC-1A")[-1].action) == (
            "typed twice",
            "delete",
        )
        assert [e.table for e in position_history(db, "P-101") if e.table == "record"] == ["record"]
        with pytest.raises(StartrollError, match="no lineup 'MCC-1'"):
            lineup_history(db, "MCC-1")


TEXTS = [None, "0", "0.0", "1", "1e0", 'it\'s "3B"\\\n', ""]
VALUES = {
    ("position", "cubicle"): TEXTS,
    ("record", "value_unit"): TEXTS,
    ("position", "ambient_c"): [None, 0.0, 1 / 3, 0.1, 1e-300, 1e22, 40.0],
    ("position", "motors_on_device"): [None, 0, 1, 2**62],
}


@pytest.mark.parametrize(("table", "name"), VALUES)
def test_what_changes_is_kept_to_the_last_digit_and_what_does_not_is_not(path, table, name):
    values = VALUES[table, name]
    written = [None, *(value for a in values for b in values for value in (a, b))]
    with opened(path, write=True) as db, writing(db, reason="walk", author="rk"):
        db.conn.execute(
            "INSERT INTO record (tag, record_kind, done_on, result) VALUES ('P-101', 'cleaning', '2026-01-10', 'passed')"
        )
        for value in written:
            db.conn.execute(f"UPDATE {table} SET {name} = ? WHERE tag = 'P-101'", [value])
        sql = "SELECT before, after FROM change WHERE action = 'update' AND table_name = ? AND tag = 'P-101'"
        rows = db.execute(sql, [table]).fetchall()
    # By Python's own comparison: a text is another one where the number that it tells would be the same.
    changes = [({name: a}, {name: b}) for a, b in pairwise(written) if a != b]
    assert [tuple(json.loads(half) for half in row) for row in rows] == changes
