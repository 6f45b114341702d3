"""The history of a position, through the library and through the command."""

import json
import sqlite3

import pytest
from typer.testing import CliRunner

from register.cli.app import app
from register.errors import StartrollError
from register.store.database import create, opened, writing
from register.store.history import OUTSIDE, position_history


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
