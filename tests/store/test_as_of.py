"""The register as it stood: after random edits over days, each day's snapshot comes back."""

import json
import random
from datetime import date, timedelta

import pytest
from by_path import register_as_of as as_of

from register.columns import TABLES
from register.store.database import create, opened, writing

FIRST = date(2026, 1, 1)


def _snapshot(db):
    return {name: sorted(json.dumps(row, default=str) for row in db.query(f"SELECT * FROM {name}")) for name in TABLES}


def _edit(db, rng):
    """One random edit: rows come, change (to unknown and back), move, are renamed and go."""
    tag, motor = f"P-{rng.randrange(5)}", f"M{rng.randrange(4)}"
    bus, kind = f"MCC-{rng.randrange(3)}", rng.randrange(10)
    execute = db.conn.execute
    if kind == 0:
        execute("INSERT OR IGNORE INTO position (tag, area) VALUES (?, ?)", [tag, rng.choice("ab")])
    elif kind == 1:
        value = rng.choice([None, 3.0, 6.5])
        execute("UPDATE position SET starts_per_hour = ? WHERE tag = ?", [value, tag])
    elif kind == 2:
        execute("INSERT OR IGNORE INTO motor (motor, fla_a) VALUES (?, ?)", [motor, rng.choice([None, 65.0])])
    elif kind == 3:
        execute(
            "UPDATE OR IGNORE motor SET tag = (SELECT tag FROM position WHERE tag = ?) WHERE motor = ?", [tag, motor]
        )
    elif kind == 4:
        execute("UPDATE OR IGNORE position SET tag = ? WHERE tag = ?", [f"P-{rng.randrange(5)}", tag])
    elif kind == 5:
        execute("DELETE FROM motor WHERE motor = ?", [motor])
    elif kind == 6:
        execute("INSERT OR IGNORE INTO bus (bus) VALUES (?)", [bus])
        execute(
            "INSERT INTO record (bus, record_kind, done_on, result) VALUES (?, 'cleaning', '2026-01-01', 'passed')",
            [bus],
        )
    elif kind == 7:
        execute("UPDATE OR IGNORE bus SET bus = ? WHERE bus = ?", [f"MCC-{rng.randrange(3)}", bus])
    elif kind == 8:
        execute(
            "UPDATE record SET result = ?, note = ? WHERE bus = ?",
            [rng.choice(["failed", "passed"]), rng.random(), bus],
        )
    else:
        execute("DELETE FROM record WHERE record_id = (SELECT max(record_id) FROM record WHERE bus = ?)", [bus])


@pytest.mark.parametrize("seed", range(12))
def test_every_day_comes_back_exactly(tmp_path, seed):
    rng = random.Random(seed)
    path = tmp_path / "plant.db"
    create(path, {"site": "Oldmarrow Works", "practice": "us", "time_zone": "UTC"})
    days = {}
    with opened(path, write=True) as db:
        db.conn.execute("UPDATE change SET at = '2025-12-31T00:00:00.000Z'")
        for n in range(8):
            day = FIRST + timedelta(days=n)
            last = db.conn.execute("SELECT coalesce(max(change_id), 0) FROM change").fetchone()[0]
            with writing(db, reason="edits"):
                for _ in range(6):
                    _edit(db, rng)
            # The clock of a test runs faster than the days that it plays.
            db.conn.execute("UPDATE change SET at = ? WHERE change_id > ?", [f"{day}T12:00:00.000Z", last])
            days[day] = _snapshot(db)
    for day, then in days.items():
        assert _snapshot(as_of(path, day)) == then


def test_the_copy_keeps_its_history_up_to_that_day_and_no_facts(tmp_path):
    path = tmp_path / "plant.db"
    create(path, {"site": "Oldmarrow Works", "practice": "us", "time_zone": "UTC"})
    with opened(path, write=True) as db:
        db.conn.execute("INSERT INTO facts (tag, gap_reasons) VALUES ('P-1', '[]')")
        with writing(db, reason="walk"):
            db.conn.execute("INSERT INTO position (tag) VALUES ('P-1')")
    copy = as_of(path, date(2020, 1, 1))
    assert copy["position"].count == 0 and copy["change"].count == 0
    assert "facts" not in copy.table_names()
    copy.conn.execute("INSERT INTO position (tag) VALUES ('P-2')")
    assert copy["change"].count == 1
