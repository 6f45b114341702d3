"""A crew's page filled in here and there at random and taken back: nothing lost, nothing twice, half-done said."""

import json
import sqlite3
from collections import Counter
from contextlib import closing
from dataclasses import replace
from itertools import pairwise

import pytest
from crew_day import TODAY, filled, page_of
from on_trial import trials
from sqlite_utils import Database

from register.maintenance.due import due_list
from register.rounds.saved_file import ACTION, RECORD, VALUE, WORK, read_saved, saved_text
from register.rounds.take_round import take_round
from register.store import clock
from register.store.database import opened, writing

BUS = "MCC-21"
ACTIONS = (
    ("tag", "P-2117", "settings/limit-enough-to-start"),
    ("tag", "P-2125", "line-protection/present"),
    ("bus", BUS, "line-protection/fault-current-believable"),
)
LINEUP = ("breaker test", "connections verified", "insulation test")
CHANGES = {"P-2117": [("current_limit_xfla", 1.5, 2.6), ("ramp_s", 10.0, 12.0)]}


@pytest.fixture(scope="module")
def day(demo, tmp_path_factory):
    """The demo plant with work assigned, and the crew's page of a lineup."""
    path = tmp_path_factory.mktemp("crew") / "plant.db"
    path.write_bytes(demo.path.read_bytes())
    with opened(path, write=True) as db, writing(db, reason="assigned"):
        for column, at, rule in ACTIONS:
            db.execute(
                f"INSERT INTO action ({column}, against_rule, assigned_to, assigned_on, due_on)"
                " VALUES (?, ?, 'rk', '2026-11-20', '2026-12-10')",
                [at, rule],
            )
        db.execute("UPDATE bus SET bus_physical_condition = '2', bus_criticality_condition = '2'")
        db.execute("UPDATE bus SET bus_environment_condition = '1'")
        for kind in LINEUP:  # of the tasks of the lineup, these are overdue and among the most pressing
            db.execute(
                "INSERT INTO record (bus, record_kind, done_on, result) VALUES (?, ?, '2018-01-10', 'passed')",
                [BUS, kind],
            )
    return path, page_of(path, bus=BUS, changes=CHANGES, top=40)


def test_random_partial_fills_come_back_whole(day, tmp_path, tally):
    path, made = day
    assert sum(job.table == ACTION for _, job in made.jobs) == len(ACTIONS)
    assert {job.name for stop, job in made.jobs if stop.is_bus and job.table == RECORD} == set(LINEUP)
    total = Counter()
    for seed in range(count := trials(25, 1000)):
        file = tmp_path / "crew.json"
        file.write_text(saved_text(filled(made, seed)), "utf-8")
        saved = read_saved(file, made.register)
        assert replace(saved, sha256="") == replace(filled(made, seed), sha256="")
        with closing(sqlite3.connect(":memory:", isolation_level=None)) as copy, opened(path) as db:
            db.conn.backup(copy)
            copy.execute("PRAGMA foreign_keys = ON")
            total += _taken_whole(Database(copy), saved)
    assert all(total[word] for word in ("passed", "failed", "done", "half done", "not done", "as found", "left")), total
    tally("fills of a crew's page", count)


def _taken_whole(db, saved):
    before = _counts(db)
    dry = take_round(db, saved, file="crew.json", dry=True)
    assert _counts(db) == before and dry.change_set is None
    got = take_round(db, saved, file="crew.json")
    assert (got.recorded, got.closed, got.undone) == (dry.recorded, dry.closed, dry.undone)
    accounted = got.taken + got.same + got.kept + got.recorded + got.closed + len(got.undone)
    assert accounted + len(got.conflicts) + len(got.refused) == len(saved.answers) and not got.refused
    waiting = {(c.table, c.tag, c.column) for c in got.conflicts}
    found = Counter()
    for answer in saved.answers:
        if (answer.table, answer.at, answer.column) not in waiting:
            found += {RECORD: _record, ACTION: _action}.get(answer.table, _cell)(db, answer, saved)
    tasks = sum(a.table == RECORD for a in saved.answers)
    after = _counts(db)
    assert after["record"] == before["record"] + tasks and after["answer"] == len(saved.answers) - len(waiting)
    again = take_round(db, saved, file="crew.json")
    assert (again.change_set, again.before) == (None, len(saved.answers) - len(waiting)) and _counts(db) == after
    assert again.conflicts == got.conflicts
    if saved.page.endswith("0"):  # each tenth: the list of a lineup takes as long as all the rest
        _counts_as_last_done(db, saved)
    return found


def _counts(db):
    names = ("record", "action", "answer", "change", "change_set", "setting", "position")
    return {name: db.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in names}


def _record(db, answer, saved):
    column = "bus" if answer.row == "bus" else "tag"
    sql = (
        f"SELECT result, done_by, value, value_unit, note FROM record WHERE {column} = ? AND record_kind = ?"
        " AND done_on = ?"
    )
    day = clock.day_of(db, answer.answered_at).isoformat()
    ((result, who, value, unit, note),) = db.execute(sql, [answer.at, answer.column, day]).fetchall()
    assert who == saved.who and value == answer.found and (unit or "") == answer.found_unit
    assert result == (answer.value if answer.value in ("passed", "failed") else "not done")
    assert answer.note in (note or "") and (answer.value != "half done" or note.startswith("half done"))
    return Counter([answer.value])


def _action(db, answer, saved):
    row = next(db.query("SELECT * FROM action WHERE action_id = ?", [int(answer.column)]))
    if answer.value == "done":
        assert row["closed_on"] == clock.day_of(db, answer.answered_at).isoformat() and row["closed_by"] == saved.who
        assert row["evidence_file"] == "crew.json" and len(row["evidence_hash"]) == 64
    else:
        assert row["closed_on"] is None
        sql = "SELECT after FROM change WHERE table_name = 'action' AND row_key = ? AND action = 'kept'"
        ((said,),) = db.execute(sql, [answer.column]).fetchall()
        assert str(answer.value) in json.loads(said)["closed_on"] and answer.note in json.loads(said)["closed_on"]
    return Counter([answer.value])


def _cell(db, answer, saved):
    assert answer.state == VALUE
    sql = "SELECT row_key, note FROM answer WHERE table_name = ? AND column_name = ?"
    ((key, note),) = db.execute(sql, [answer.table, answer.column]).fetchall()
    assert answer.note in note and answer.found_typed in note
    device, _, on = key.partition(" | ")
    now = f"SELECT {answer.column} FROM setting WHERE device = ? AND setting_recorded_on = ?"
    assert db.execute(now, [device, on]).fetchone()[0] == answer.value
    sql = "SELECT json_extract(after, ?) FROM change WHERE table_name = 'setting' AND row_key = ? AND action = 'update'"
    steps = [value for (value,) in db.execute(sql, [f"$.{answer.column}", key]) if value is not None]
    course = [answer.base] + ([answer.found] if answer.found is not None else []) + [answer.value]
    assert steps == [b for a, b in pairwise(course) if a != b]
    return Counter(["left", *(["as found"] if answer.found is not None else [])])


def _counts_as_last_done(db, saved):
    """What is recorded is what the due list counts from; what was half done leaves it as it was."""
    items = {(i.tag, i.what): i for i in due_list(db, today=TODAY, until=TODAY, bus=BUS).items if i.kind == "task"}
    for answer in (a for a in saved.answers if a.table == RECORD):
        done = items[f"bus {answer.at}" if answer.row == "bus" else answer.at, answer.column]
        if answer.value in ("passed", "failed"):
            day = clock.day_of(db, answer.answered_at).isoformat()
            assert (done.last_on, done.last_result) == (day, answer.value)
        else:
            assert done.last_on < "2026-11-20"


def test_work_is_all_that_the_page_asks(day):
    _, made = day
    assert {job.table for _, job in made.jobs} == set(WORK)
