"""The facts table: right when whole, the same when only what changed was built again."""

import sqlite3
from pathlib import Path

import pytest

from register.facts.assumptions import load_assumptions
from register.facts.build import gaps, refresh
from register.store.database import create, opened, writing

ASSUMPTIONS = load_assumptions(Path(__file__).parents[2] / "rules" / "assumptions.yml")


@pytest.fixture
def path(tmp_path):
    made = tmp_path / "plant.db"
    create(made, {"site": "Oldmarrow Works", "practice": "iec", "site_ambient_c": 35.0})
    with opened(made, write=True) as db, writing(db, reason="walk"):
        for n in range(30):
            db.conn.execute("INSERT INTO position (tag) VALUES (?)", [f"P-{n:02}"])
            db.conn.execute(
                "INSERT INTO motor (motor, tag, power_kw, motor_voltage_v, fla_a) VALUES"
                " (?, ?, 75, 400, 132)",
                [f"M{n}", f"P-{n:02}"],
            )
    return made


def _facts(db):
    rows = list(db.query("SELECT * FROM facts"))
    for row in rows:
        row.pop("gap_reasons")  # numbers of reasons, handed out in the order met
        row["gaps"] = sorted(map(str, db.query("SELECT * FROM gap WHERE tag = ?", [row["tag"]])))
    return {row["tag"]: row for row in rows}


def _fresh(db, **more):
    return refresh(db, tables={}, assumptions=ASSUMPTIONS, **more)


def test_a_stand_in_fills_a_blank_and_leaves_its_mark(path):
    with opened(path, write=True) as db:
        _fresh(db)
        row = _facts(db)["P-00"]
    ambient = next(a for a in ASSUMPTIONS if a.column == "ambient_c")
    assert row["ambient_c"] == 35.0 and row["stand_ins"] >> ambient.bit & 1
    # η·cos φ = 75 kW / (√3 · 400 V · 132 A), by arithmetic.
    assert row["implied_efficiency_factor"] == pytest.approx(0.8201, abs=1e-4)


def test_without_stand_ins_the_blank_stays_and_the_gap_names_it(path):
    with opened(path, write=True) as db:
        _fresh(db, measured_only=True)
        row = _facts(db)["P-00"]
        assert row["ambient_c"] is None and row["implied_efficiency_factor"] is None
        assert set(gaps(db, "P-00", ["implied_efficiency_factor"])) == {"phases"}


def test_a_gap_leads_to_the_entered_fields(path):
    with opened(path, write=True) as db:
        _fresh(db)
        found = set(gaps(db, "P-00", ["fla_mismatch_pct"]))
    assert found == {"efficiency_pct", "power_factor"}


def test_only_what_changed_is_built_again_whoever_changed_it(path):
    with opened(path, write=True) as db:
        assert _fresh(db).rebuilt == 30
        assert _fresh(db).rebuilt == 0
    connection = sqlite3.connect(path)
    connection.execute("UPDATE motor SET fla_a = 140 WHERE tag = 'P-07'")
    connection.execute("DELETE FROM motor WHERE tag = 'P-08'")
    connection.commit()
    connection.close()
    with opened(path, write=True) as db:
        assert _fresh(db).rebuilt == 2
        kept = _facts(db)
        db.conn.execute("DROP TABLE facts_state")
        db.conn.execute("DROP TABLE facts")
        assert _fresh(db).rebuilt == 30
        assert _facts(db) == kept
    assert kept["P-07"]["fla_a"] == 140.0 and kept["P-08"]["fla_a"] is None


def test_a_register_that_may_only_be_read_is_judged_too(path):
    with opened(path) as db:
        assert _fresh(db).rows == 30
        assert len(_facts(db)) == 30
