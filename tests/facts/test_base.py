"""The base rows: one a position, whatever is or is not known there."""

from pathlib import Path

import pytest

from register.errors import RuleError
from register.facts.assumptions import load_assumptions, mask_for
from register.facts.base import BASE, base_sql
from register.store.database import create, opened, writing

RULES = Path(__file__).parents[2] / "rules"


@pytest.fixture
def db(tmp_path):
    create(tmp_path / "plant.db", {"site": "Oldmarrow Works", "practice": "us"})
    with opened(tmp_path / "plant.db", write=True) as db:
        yield db


def _row(db, tag):
    return next(r for r in db.query(base_sql()) if r["tag"] == tag)


def test_the_row_has_exactly_the_columns_of_the_base_and_a_bare_position_is_unknown(db):
    with writing(db, reason="walk"):
        db.conn.execute("INSERT INTO position (tag) VALUES ('P-1')")
    row = _row(db, "P-1")
    assert list(row) == list(BASE)
    assert {n for n, v in row.items() if v is not None} == {"tag", "site", "practice"}


def test_scrapped_things_stand_nowhere_and_the_latest_reading_counts(db):
    with writing(db, reason="walk"):
        for sql in (
            "INSERT INTO position (tag) VALUES ('P-1')",
            "INSERT INTO motor (motor, tag, motor_status) VALUES ('OLD', 'P-1', 'scrapped')",
            "INSERT INTO motor (motor, tag) VALUES ('NEW', 'P-1')",
            "INSERT INTO device (device, tag) VALUES ('D', 'P-1')",
            "INSERT INTO setting (device, setting_recorded_on, ramp_s) VALUES"
            " ('D', '2025-01-31', 20), ('D', '2026-02-01', 8)",
            "INSERT INTO record (tag, record_kind, done_on, result) VALUES"
            " ('P-1', 'bump test', '2026-03-01', 'failed'),"
            " ('P-1', 'bump test', '2026-03-01', 'passed'),"
            " ('P-1', 'bump test', '2024-01-01', 'not done')",
        ):
            db.conn.execute(sql)
    row = _row(db, "P-1")
    assert (row["motor"], row["ramp_s"]) == ("NEW", 8.0)
    assert (row["bump_test_on"], row["bump_test_result"]) == ("2026-03-01", "passed")
    assert row["load_test_on"] is None and row["load_test_result"] is None


def test_the_shipped_stand_ins_load_and_reach_the_columns_behind_a_calculation():
    assumptions = load_assumptions(RULES / "assumptions.yml")
    frequency = next(a for a in assumptions if a.column == "motor_frequency_hz")
    assert mask_for(["slip_pct"], assumptions) & (1 << frequency.bit)
    assert mask_for(["service_factor"], assumptions) == 0


def test_a_stand_in_for_a_column_that_is_not_there_is_refused(tmp_path):
    wrong = tmp_path / "assumptions.yml"
    wrong.write_text("- column: ambiant_c\n  stands_in: 40\n  sentence: x\n  basis: y\n")
    with pytest.raises(RuleError, match="ambient_c"):
        load_assumptions(wrong)
