"""What is counted round a position: spares in store, past events, first checks."""

import pytest

from register.facts.build import refresh

WITHDRAWN = "UPDATE model SET lifecycle = 'withdrawn'"


@pytest.mark.parametrize(
    ("edits", "spares"),
    [
        # The store of this plant holds one B80, in store as d4; P-1 has an A16, P-2 a B80.
        ((), {"P-1": None, "P-2": 1}),
        # A current type has no successor that could lie there under another number.
        (("UPDATE model SET lifecycle = 'current'",), {"P-1": 0, "P-2": 1}),
        (
            (
                "UPDATE model SET lifecycle = 'current'",
                "UPDATE device SET device_status = 'failed' WHERE device = 'd4'",
            ),
            {"P-1": None, "P-2": None},
        ),
        ((WITHDRAWN, "UPDATE model SET successor = 'B80' WHERE model = 'A16'"), {"P-1": 1, "P-2": 1}),
        ((WITHDRAWN,), {"P-1": None, "P-2": 1}),
        # Something lies in store, and nobody has read what it is.
        (
            (
                "UPDATE model SET lifecycle = 'current'",
                "INSERT INTO device (device, device_status) VALUES ('d5', 'in store')",
            ),
            {"P-1": None, "P-2": 1},
        ),
        (
            ("UPDATE model SET lifecycle = 'current'", "INSERT INTO device (device) VALUES ('d5')"),
            {"P-1": None, "P-2": 1},
        ),
        (
            ("INSERT INTO device (device, model, device_status) VALUES ('d5', 'B80', 'in store')",),
            {"P-1": None, "P-2": 2},
        ),
        (("UPDATE device SET model = NULL WHERE device = 'd2'",), {"P-2": None}),
    ],
)
def test_no_spare_is_known_only_where_the_store_is(db, fact, edits, spares):
    for sql in edits:
        db.conn.execute(sql)
    assert {tag: fact(db, tag, "spares_in_store") for tag in spares} == spares


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE device SET device_status = 'in service' WHERE device = 'd4'",
        "UPDATE device SET model = 'A16' WHERE device = 'd4'",
        "UPDATE device SET last_powered_on = '2026-01-01' WHERE device = 'd4'",
        "INSERT INTO device (device, model, device_status) VALUES ('d5', 'A16', 'in store')",
        "DELETE FROM device WHERE device = 'd4'",
        "UPDATE model SET successor = 'B80', lifecycle = 'withdrawn' WHERE model = 'A16'",
        "UPDATE device SET device = 'd9' WHERE device = 'd4'",
    ],
)
def test_a_change_in_the_store_reaches_the_positions_it_counts_at(db, method, whole, contents_of, sql):
    db.conn.execute("UPDATE model SET lifecycle = 'current'")
    db.conn.execute(
        "INSERT INTO device (device, model, device_status) VALUES ('d6', 'A16', 'in store'), ('d7', 'A16', 'in store')"
    )
    refresh(db, **method)
    db.conn.execute(sql)
    refresh(db, **method)
    assert contents_of(db.conn) == whole(db)


def test_a_move_in_service_builds_only_its_own_positions(db, method):
    refresh(db, **method)
    db.conn.execute("UPDATE device SET tag = 'P-3' WHERE device = 'd1'")
    assert refresh(db, **method).rebuilt == 2


def test_the_third_latest_event_counts_back_from_the_newest(db, fact):
    days = ("2024-01-01", "2026-03-01", "2025-02-01", "2026-04-01")
    for number, day in enumerate(days):
        assert fact(db, "P-1", "third_last_event_on") == (days[0] if number == 3 else None)
        db.conn.execute("INSERT INTO event (tag, happened_on) VALUES ('P-1', ?)", (day,))
    assert fact(db, "P-1", "third_last_event_on") == "2025-02-01"
    assert fact(db, "P-2", "third_last_event_on") is None


def test_the_first_review_and_bump_are_those_since_the_device_came(db, fact):
    assert fact(db, "P-1", "first_bumped_on") is None, "nobody knows when the device came"
    db.conn.execute("UPDATE device SET device_installed_on = '2024-12-01' WHERE device = 'd1'")
    db.conn.execute(
        "INSERT INTO record (tag, record_kind, done_on, result) VALUES"
        " ('P-1', 'parameters reviewed', '2024-12-02', 'not done'),"
        " ('P-1', 'parameters reviewed', '2025-01-03', 'failed'),"
        " ('P-1', 'parameters reviewed', '2026-01-03', 'passed')"
    )
    assert fact(db, "P-1", "first_reviewed_on") == "2025-01-03"
    assert fact(db, "P-1", "first_bumped_on") == "2025-01-01", "that of 2019 was another device's"
