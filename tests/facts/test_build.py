"""The facts table: calculated from what is entered, kept fresh at the cost of what was touched."""

import os
import shutil
import sqlite3
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from register import columns
from register.facts.build import refresh
from register.store.database import opened, writing


def test_entered_and_calculated_facts_stand_side_by_side(db, fact):
    assert fact(db, "P-1", "motor_voltage_v") == 460
    # 1 hp = 0.745 699 87 kW, NIST SP 811 appendix B.8
    assert fact(db, "P-1", "power_hp") == pytest.approx(10.0, rel=1e-4)
    assert fact(db, "P-1", "slip_pct") == pytest.approx(2.5)
    assert fact(db, "P-2", "slip_pct") is None
    # 37.3 kW / (√3 · 460 V · 60 A), by arithmetic
    assert fact(db, "P-2", "implied_efficiency_factor") == pytest.approx(0.7803, abs=1e-4)


def test_a_whole_number_stays_whole(db, fact):
    assert repr(fact(db, "P-1", "poles")) == "4"


def bits(assumptions, *names):
    return sum(1 << a.bit for a in assumptions if a.column in names)


def stood_in(assumptions, mask):
    return {a.column for a in assumptions if mask >> a.bit & 1}


def test_a_stand_in_fills_a_blank_and_says_so(db, fact, method):
    assert fact(db, "P-1", "ambient_c") == 38
    assert fact(db, "P-1", "motor_frequency_hz") == 60
    used = stood_in(method["assumptions"], fact(db, "P-1", "stand_ins"))
    assert used >= {"ambient_c", "altitude_m", "motor_frequency_hz", "derate_above_c"}
    refresh(db, **method, measured_only=True)
    (entered,) = db.conn.execute(f"SELECT {', '.join(sorted(used))} FROM facts WHERE tag = 'P-1'")
    assert set(entered) == {None}


def test_a_stand_in_may_rest_on_another(db, fact, method):
    db.conn.execute("UPDATE motor SET poles = NULL WHERE motor = 'm1'")
    db.conn.execute("UPDATE position SET load_kind = 'centrifugal fan' WHERE tag = 'P-1'")
    assert fact(db, "P-1", "poles") == 4
    # 60 % and 5 % of the largest load of 10 hp at 1800 r/min, 51 lb·ft² (NEMA MG 1, Table 12-7,
    # from memory), in kg·m².
    assert fact(db, "P-1", "load_inertia_kgm2") == pytest.approx(0.6 * 51 * 0.04214, rel=0.035)
    assert fact(db, "P-1", "rotor_inertia_kgm2") == pytest.approx(0.05 * 51 * 0.04214, rel=0.035)
    used = stood_in(method["assumptions"], fact(db, "P-1", "stand_ins"))
    assert used >= {"poles", "load_inertia_kgm2", "rotor_inertia_kgm2"}


def test_what_is_entered_is_never_replaced(db, fact, method):
    db.conn.execute("UPDATE position SET ambient_c = 52 WHERE tag = 'P-1'")
    assert fact(db, "P-1", "ambient_c") == 52
    assert not fact(db, "P-1", "stand_ins") & bits(method["assumptions"], "ambient_c")
    assert fact(db, "P-2", "derate_above_c") == 50


def test_nothing_stands_in_where_there_is_no_motor_or_device(db, fact, method):
    assert fact(db, "P-4", "phases") is None
    assert fact(db, "P-4", "derate_above_c") is None
    used = stood_in(method["assumptions"], fact(db, "P-4", "stand_ins"))
    assert used >= {"ambient_c", "altitude_m"}
    absent = ("motor", "model", "device", "setting", "bus", "protection")
    assert {columns.FACTS[name].table for name in used}.isdisjoint(absent)


def test_nothing_stands_in_for_what_is_blank_too(db, fact, method):
    db.conn.execute("UPDATE site SET site_ambient_c = NULL")
    assert fact(db, "P-1", "ambient_c") is None
    assert not fact(db, "P-1", "stand_ins") & bits(method["assumptions"], "ambient_c")


def test_nothing_stands_in_for_what_does_not_apply(db, fact, method):
    assert fact(db, "P-1", "ambient_c") == 38
    db.conn.execute(
        "INSERT INTO blank (table_name, row_key, column_name, reason) VALUES"
        " ('position', 'P-1', 'ambient_c', 'not applicable'),"
        " ('position', 'P-2', 'ambient_c', 'not surveyed')"
    )
    assert refresh(db, **method).rebuilt == 1
    assert fact(db, "P-1", "ambient_c") is None
    assert fact(db, "P-2", "ambient_c") == 38
    db.conn.execute("DELETE FROM blank")
    assert fact(db, "P-1", "ambient_c") == 38


def test_measured_only_leaves_every_stand_in_out_and_the_register_alone(db, fact):
    assert fact(db, "P-1", "ambient_c") == 38
    assert fact(db, "P-1", "ambient_c", measured_only=True) is None
    assert fact(db, "P-1", "stand_ins", measured_only=True) == 0
    assert db.conn.execute("SELECT ambient_c FROM main.facts").fetchone()[0] == 38
    assert fact(db, "P-1", "ambient_c") == 38


def test_a_register_that_cannot_be_written_is_judged_all_the_same(path, fact, method):
    with opened(path) as db:
        assert refresh(db, **method).relation == "temp.facts"
        assert fact(db, "P-1", "fla_a") == 12.5
    assert sqlite3.connect(path).execute("SELECT count(*) FROM facts").fetchone() == (0,)


def test_facts_that_are_fresh_serve_a_reader_too(path, method):
    with opened(path, write=True) as db:
        refresh(db, **method)
    with opened(path) as db:
        facts = refresh(db, **method)
    assert (facts.relation, facts.rebuilt) == ("main.facts", 0)


def test_while_another_program_writes_facts_are_built_beside(path, method):
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with opened(path, write=True) as db:
        db.conn.execute("PRAGMA busy_timeout = 1")
        assert refresh(db, **method).relation == "temp.facts"
    other.close()


def test_a_build_that_breaks_off_leaves_the_old_facts(db, method, monkeypatch, contents_of):
    refresh(db, **method)
    before = contents_of(db.conn)
    db.conn.execute("UPDATE site SET practice = 'iec'")
    monkeypatch.setattr("register.facts.build._remember", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        refresh(db, **method)
    assert not db.conn.in_transaction
    assert contents_of(db.conn) == before


def test_only_what_was_touched_is_built_again(db, method):
    assert refresh(db, **method).rebuilt == 4
    assert refresh(db, **method).rebuilt == 0
    for sql, rebuilt in (
        ("UPDATE motor SET fla_a = 13 WHERE motor = 'm1'", 1),
        ("UPDATE model SET rated_current_a = 17 WHERE model = 'A16'", 1),
        ("UPDATE bus SET bus_voltage_v = 481 WHERE bus = 'MCC-1'", 2),
        ("UPDATE site SET site_ambient_c = 39", 4),
        ("INSERT INTO setting (device, setting_recorded_on) VALUES ('d2', '2025-01-01')", 1),
        ("UPDATE motor SET tag = 'P-3' WHERE motor = 'm1'", 2),
        ("UPDATE motor SET fla_a = 2 WHERE motor = 'm3'", 0),
        ("INSERT INTO position (tag) VALUES ('P-9')", 1),
    ):
        db.conn.execute(sql)
        assert refresh(db, **method).rebuilt == rebuilt, sql


def test_a_position_that_is_gone_has_no_facts(db, method):
    refresh(db, **method)
    db.conn.execute("DELETE FROM position WHERE tag = 'P-4'")
    facts = refresh(db, **method)
    assert (facts.rows, facts.rebuilt) == (3, 0)


def test_another_method_builds_all_anew(db, method):
    first = refresh(db, **method)
    fewer = refresh(db, tables=method["tables"], assumptions=method["assumptions"][:1])
    assert fewer.method_hash != first.method_hash
    assert fewer.rebuilt == fewer.rows == 4


def test_the_input_hash_tells_what_a_row_rests_on(db, fact):
    before = {tag: fact(db, tag, "input_hash") for tag in ("P-1", "P-2")}
    db.conn.execute("UPDATE motor SET fla_a = 13 WHERE motor = 'm1'")
    assert fact(db, "P-1", "input_hash") != before["P-1"]
    assert fact(db, "P-2", "input_hash") == before["P-2"]


ROWS = {
    "bus": ["MCC-1", "MCC-2", "MCC-3"],
    "position": ["P-1", "P-2", "P-3", "P-4", "P-5"],
    "motor": ["m1", "m2", "m3", "m4"],
    "model": ["A16", "B80", "C9"],
    "device": ["d1", "d2", "d3", "d4", "d5"],
}
TABLES = [name for name in columns.TABLES if name not in ("concession", "action", "site")]


def values(column):
    """Anything that a column may hold, blank included; numbers that calculations can use."""
    if column.references:
        some = st.sampled_from(ROWS[column.references])
    elif column.name in ROWS:
        some = st.sampled_from(ROWS[column.name])
    elif column.choices:
        some = st.sampled_from(column.choices)
    elif column.kind == "date":
        some = st.sampled_from(["2020-01-01", "2025-02-01", "2025-06-30"])
    elif column.name in ("record_id", "event_id"):
        some = st.integers(1, 6)
    elif column.kind == "integer":
        some = st.integers(int(column.low), int(column.high))
    elif column.kind == "real":
        some = st.sampled_from([column.low or 0.0, 4.0, column.high or 9.0])
    else:
        some = st.sampled_from(["AC-53b: 3.5-15 : 345", "x"])
    return some if column.required else st.none() | some


@st.composite
def edits(draw):
    """One statement that puts a row, changes a value or a key, or removes a row."""
    table = columns.TABLES[draw(st.sampled_from(TABLES))]
    where = " AND ".join(f"{name} = ?" for name in table.key)
    key = [draw(values(table.column(name))) for name in table.key]
    kind = draw(st.sampled_from(("insert", "update", "update", "update", "delete")))
    if kind == "delete":
        return f"DELETE FROM {table.name} WHERE {where}", key
    if kind == "insert":
        chosen = [c for c in table.columns if c.required or draw(st.booleans())]
        names = ", ".join(c.name for c in chosen)
        marks = ", ".join("?" * len(chosen))
        row = [draw(values(c)) for c in chosen]
        return f"INSERT INTO {table.name} ({names}) VALUES ({marks})", row
    column = draw(st.sampled_from(table.columns))
    return f"UPDATE {table.name} SET {column.name} = ? WHERE {where}", [draw(values(column)), *key]


SITE_EDIT = st.tuples(
    st.just("UPDATE site SET site_ambient_c = ?"), st.lists(st.none() | st.just(21.0), min_size=1, max_size=1)
)


def attempt(conn, sql, args):
    """An edit that the register's own constraints refuse is no edit."""
    with suppress(sqlite3.IntegrityError):
        conn.execute(sql, args)


def by_hand(path, batch, *, keys_held):
    """The edits of another program, which may not hold foreign keys."""
    raw = sqlite3.connect(path, isolation_level=None)
    raw.execute(f"PRAGMA foreign_keys = {int(keys_held)}")
    for sql, args in batch:
        attempt(raw, sql, args)
    raw.close()


@settings(
    max_examples=int(os.environ.get("STARTROLL_EXAMPLES", "6")),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    st.lists(st.lists(edits() | SITE_EDIT, min_size=1, max_size=6), min_size=1, max_size=3),
    st.sampled_from(["the register", "another program", "one that holds no foreign keys"]),
)
def test_kept_fresh_equals_built_whole(path, method, whole, contents_of, batches, editor):
    own = shutil.copy(path, path.with_name("copy.db"))
    with opened(Path(own), write=True) as db:
        for batch in batches:
            refresh(db, **method)
            if editor == "the register":
                with writing(db, reason="a survey"):
                    for sql, args in batch:
                        attempt(db.conn, sql, args)
            else:
                by_hand(own, batch, keys_held=editor == "another program")
            refresh(db, **method)
            assert contents_of(db.conn) == whole(db)


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE model SET model = 'Z' WHERE model = 'A16'",
        "UPDATE bus SET bus = 'Z' WHERE bus = 'MCC-1'",
        "UPDATE device SET device = 'Z' WHERE device = 'd1'",
        "UPDATE setting SET device = 'd1' WHERE device = 'd2'",
        "UPDATE setting SET device = 'Z' WHERE device = 'd1'",
        "DELETE FROM model WHERE model = 'B80'",
        "UPDATE position SET tag = 'Z' WHERE tag = 'P-1'",
    ],
)
def test_a_key_changed_without_its_references_is_noticed(path, db, method, whole, contents_of, sql):
    refresh(db, **method)
    by_hand(path, [(sql, ())], keys_held=False)
    assert refresh(db, **method).rebuilt < 4
    assert contents_of(db.conn) == whole(db)
