"""The base row: the whole of a position, side by side, and nothing that is not there."""

from register import columns
from register.facts.base import BASE, base_sql
from register.facts.changes import hold


def base(db):
    cursor = db.conn.execute(base_sql())
    names = [name for name, *_ in cursor.description]
    return names, {row[0]: dict(zip(names, row, strict=True)) for row in cursor}


def test_the_columns_are_the_facts_less_what_is_calculated(db):
    names, _ = base(db)
    derived = {c.name for c in columns.DERIVED}
    assert names == [n for n in columns.FACTS if n not in derived] == list(BASE)


def test_one_row_a_position_with_all_that_stands_there(db):
    _, rows = base(db)
    assert list(rows) == ["P-1", "P-2", "P-3", "P-4"]
    first = rows["P-1"]
    assert (first["site"], first["bus_voltage_v"], first["motor"]) == ("Low Mill", 480, "m1")
    assert (first["model"], first["rated_current_a"]) == ("A16", 16)
    assert first["protection_kind"] == "inverse-time breaker"


def test_what_is_not_there_is_unknown(db):
    _, rows = base(db)
    own = {n for n, c in BASE.items() if c.table in ("position", "site")}
    assert all(value is None for name, value in rows["P-4"].items() if name not in own)


def test_a_scrapped_motor_stands_nowhere(db):
    db.conn.execute("UPDATE motor SET motor_status = 'scrapped' WHERE motor = 'm1'")
    assert base(db)[1]["P-1"]["motor"] is None
    db.conn.execute("UPDATE motor SET tag = 'P-1' WHERE motor = 'm3'")
    assert base(db)[1]["P-1"]["motor"] == "m3"


def test_a_scrapped_device_stands_nowhere(db):
    _, rows = base(db)
    assert rows["P-1"]["device"] == "d1"
    db.conn.execute("UPDATE device SET device_status = 'scrapped' WHERE device = 'd1'")
    _, rows = base(db)
    assert rows["P-1"]["device"] is None
    assert rows["P-1"]["model"] is None


def test_a_device_of_unknown_status_stands_where_it_is_said_to(db):
    assert base(db)[1]["P-2"]["device"] == "d2"


def test_the_latest_setting_counts(db):
    first = base(db)[1]["P-1"]
    assert (first["setting_recorded_on"], first["ramp_s"]) == ("2025-02-01", 12)


def test_the_latest_record_of_each_kind_counts_and_of_one_day_the_last_entered(db):
    rows = base(db)[1]
    assert rows["P-1"]["bump_test_on"] == "2025-01-01"
    assert rows["P-1"]["bump_test_result"] == "passed"
    assert rows["P-1"]["load_test_on"] is None
    assert (rows["P-2"]["load_test_on"], rows["P-2"]["load_test_result"]) == ("2024-01-01", "not done")


def test_one_position_is_read_without_going_through_any_table(db):
    hold(db.conn, ["P-1"])
    plan = db.conn.execute("EXPLAIN QUERY PLAN " + base_sql(touched_only=True)).fetchall()
    scanned = {line.split()[1] for *_, line in plan if line.startswith("SCAN")}
    # The site is one row; records have no index by position.
    assert scanned <= {"record", "site"}
