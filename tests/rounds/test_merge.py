"""Two registers of one origin merged: no edit lost, each conflict shown once, any order, twice, and killed meanwhile."""

import multiprocessing
import os
import random
import shutil
import time
from collections import Counter
from dataclasses import replace
from functools import partial

import pytest
from sample_plant import Sample
from two_surveyors import content, copied, held, trial

from register.errors import StartrollError
from register.intake.correct import add_record, move, set_value
from register.intake.undo import retire, undo
from register.rounds.merge import merge
from register.store.as_of import Point, as_at
from register.store.database import backup, create, opened, writing
from register.store.history import position_history
from register.store.origins import origin_of

TRIALS = int(os.environ.get("STARTROLL_EXAMPLES", "5"))


@pytest.fixture(scope="module")
def base(tmp_path_factory):
    with Sample("small-plant", tmp_path_factory.mktemp("plant")).copy() as db:
        db.conn.isolation_level = None
        yield db


@pytest.fixture
def two(base):
    return copied(base), copied(base)


def back(db, copy, side=None):
    return merge(db, copy, decide=lambda conflict: side, reason="back from the walk", author="desk")


def work(db, *edits, who="ann"):
    with writing(db, reason=f"walk of {who}", author=who) as number:
        for edit, *given in edits:
            edit(db, *given)
    return number


def test_random_work_of_two_surveyors(base):
    """The oracle works on plain dicts of values and knows no history."""
    tags = [row[0] for row in base.execute("SELECT tag FROM position ORDER BY tag LIMIT 7")]
    seen = sum((trial(base, seed, tags) for seed in range(TRIALS)), Counter())
    assert seen["trials"] == TRIALS and seen["edits"] > TRIALS


def test_each_change_keeps_who_when_why(base, two):
    mine, copy = two
    work(copy, (set_value, "C-002", "fla_a", "40 A"), (set_value, "C-002", "fla_a", "40.5 A"))
    told = _history(copy)
    made = back(mine, copy)
    assert _history(mine) == told and told[-1].author == "ann"
    assert made.taken == 1 and (made.change_sets, made.conflicts) == (1, ())
    assert "by ann" in origin_of(mine, ["C-002"], ["fla_a"])["C-002", "fla_a"]


def _history(db):
    """The last two entries; each register numbers its change-sets for itself."""
    return [replace(entry, change_set=None) for entry in position_history(db, "C-002")[-2:]]


def test_a_conflict_names_both_and_nothing_is_written_before_it_is_decided(two):
    mine, copy = two
    work(mine, (set_value, "C-002", "fla_a", "40 A"), who="desk")
    work(copy, (set_value, "C-002", "fla_a", "42 A"), (set_value, "C-003", "service_factor", "1.15"))
    before = mine.conn.serialize()
    (one,) = back(mine, copy).conflicts
    assert (one.base, one.here.value, one.here.who, one.there.value, one.there.who) == (
        "41.1 A", "40 A", "desk", "42 A", "ann",
    )  # fmt: skip
    assert mine.conn.serialize() == before
    assert back(mine, copy, "ours").decided == 1
    assert mine.execute("SELECT fla_a FROM motor WHERE tag = 'C-002'").fetchone()[0] == 40.0
    assert [e.after for e in position_history(mine, "C-002") if e.action == "kept"] == [42.0]
    assert back(mine, copy).change_set is None


def test_work_that_goes_on_in_the_copy_is_merged_again_without_old_conflicts(two):
    mine, copy = two
    work(mine, (set_value, "C-002", "fla_a", "40 A"), who="desk")
    work(copy, (set_value, "C-002", "fla_a", "42 A"), (add_record, "C-003", "bump test", "passed"))
    back(mine, copy, "ours")
    work(copy, (set_value, "C-002", "service_factor", "1.15"), who="ann")
    made = back(mine, copy)
    assert (made.taken, made.conflicts) == (1, ())
    work(copy, (set_value, "C-002", "fla_a", "43 A"))
    assert len(back(mine, copy).conflicts) == 1


def test_two_devices_brought_to_one_position_are_one_conflict(two):
    mine, copy = two
    stored = [row[0] for row in mine.execute("SELECT device FROM device WHERE tag IS NOT NULL ORDER BY tag LIMIT 3")]
    for db, one in ((mine, stored[1]), (copy, stored[2])):
        work(db, (move, "device", stored[0], None), (move, "device", one, "C-002"))
    (conflict,) = back(mine, copy).conflicts
    assert conflict.column == "place" and stored[1] in conflict.here.value and stored[2] in conflict.there.value
    back(mine, copy, "theirs")
    assert mine.execute("SELECT device FROM device WHERE tag = 'C-002'").fetchall() == [(stored[2],)]
    was = copy.execute("SELECT tag FROM device WHERE device = ?", [stored[1]]).fetchone()
    assert mine.execute("SELECT tag FROM device WHERE device = ?", [stored[1]]).fetchone() == was


@pytest.mark.parametrize("side", ["ours", "theirs"])
def test_retired_there_and_worked_on_here(two, side):
    mine, copy = two
    work(mine, (set_value, "C-002", "relay_set_a", "41 A"), (add_record, "C-002", "bump test", "passed"), who="desk")
    work(copy, (retire, "C-002"))
    (conflict,) = back(mine, copy).conflicts
    assert conflict.column == "retired" and conflict.there.who == "ann" and "relay_set_a" in conflict.here.value
    back(mine, copy, side)
    stays = mine.execute("SELECT count(*) FROM position WHERE tag = 'C-002'").fetchone()[0]
    motors = mine.execute("SELECT count(*) FROM motor WHERE tag = 'C-002'").fetchone()[0]
    assert stays == motors == (side == "ours")


def test_a_motor_that_failed_stays_so_where_its_position_comes_back(two):
    """Moved away and its position retired in one visit: of the two only the retirement was in conflict."""
    mine, copy = two
    motor, device = (
        mine.execute(f"SELECT {t} FROM {t} WHERE tag = 'C-002'").fetchone()[0] for t in ("motor", "device")
    )
    work(copy, (set_value, "C-002", "relay_set_a", "41 A"), who="bob")
    work(mine, (partial(move, status="failed"), "motor", motor, None), (retire, "C-002"))
    assert [c.column for c in back(mine, copy).conflicts] == ["retired"]
    back(mine, copy, "theirs")
    sql = "SELECT tag, {0}_status FROM {0} WHERE {0} = ?"
    assert mine.execute(sql.format("motor"), [motor]).fetchone() == (None, "failed")
    assert mine.execute(sql.format("device"), [device]).fetchone() == ("C-002", "in service")


def test_what_was_replaced_stays_in_store_where_its_position_comes_back(two):
    """One device replaced by another and the position retired, in one visit: only the second waited for the end."""
    mine, copy = two
    old = mine.execute("SELECT device FROM device WHERE tag = 'C-002'").fetchone()[0]
    new = mine.execute("SELECT device FROM device WHERE device_status = 'in store'").fetchone()[0]
    work(mine, (set_value, "C-002", "relay_set_a", "41 A"), who="desk")
    work(
        copy, (partial(move, status="in store"), "device", old, None), (move, "device", new, "C-002"), (retire, "C-002")
    )
    assert [c.column for c in back(mine, copy).conflicts] == ["retired"]
    back(mine, copy, "ours")
    sql = "SELECT device, tag FROM device WHERE device IN (?, ?)"
    assert dict(mine.execute(sql, [old, new]).fetchall()) == {old: None, new: "C-002"}


def test_what_cannot_go_to_a_position_that_is_gone_gives_way_to_what_a_decision_put_in_its_place(two):
    """Both took the one spare; the device that it replaced had gone to the position that is retired."""
    mine, copy = two
    stood = {t: d for d, t in mine.execute("SELECT device, tag FROM device WHERE tag IN ('C-003', 'C-007')")}
    spare = mine.execute("SELECT device FROM device WHERE device_status = 'in store'").fetchone()[0]
    failed = partial(move, status="failed")
    work(mine, (failed, "device", stood["C-007"], None), (move, "device", spare, "C-007"), who="desk")
    work(mine, (retire, "C-007"), who="desk")
    work(
        copy,
        (failed, "device", stood["C-007"], None),
        (move, "device", stood["C-003"], "C-007"),
        (move, "device", spare, "C-003"),
        (set_value, "C-007", "criticality", "ordinary"),
    )
    sides = {"retired": "ours"}
    made = merge(mine, copy, decide=lambda c: sides.get(c.column, "theirs"), reason="back", author="desk")
    assert not made.conflicts
    sql = "SELECT device, tag FROM device WHERE device IN (?, ?, ?)"
    now = dict(mine.execute(sql, [spare, *stood.values()]).fetchall())
    assert now == {spare: "C-003", stood["C-003"]: None, stood["C-007"]: None}


def test_what_follows_from_a_retirement_is_not_asked_before_that_is_decided(two):
    """A device moved on to a position that the other retired, another one put in its place: one conflict, not two."""
    mine, copy = two
    stood = {t: d for d, t in mine.execute("SELECT device, tag FROM device WHERE tag IN ('C-002', 'C-003', 'C-006')")}
    work(
        mine,
        *((move, "device", device, None) for device in stood.values()),
        (move, "device", stood["C-003"], "C-002"),
        (move, "device", stood["C-006"], "C-003"),
    )
    work(copy, (retire, "C-002"), who="bob")
    assert [c.column for c in back(mine, copy).conflicts] == ["retired"]
    back(mine, copy, "ours")
    now = dict(mine.execute("SELECT device, tag FROM device WHERE tag IN ('C-002', 'C-003', 'C-006')").fetchall())
    assert now == {stood["C-003"]: "C-002", stood["C-006"]: "C-003"}


def test_records_of_a_lineup_from_both_sides_are_all_there_and_a_like_one_is_one(two):
    mine, copy = two

    def cleaned(db, result, by):
        add_record(db, "LV-A", "cleaning", result, subject="bus", on="2026-11-20", by=by)

    work(mine, (cleaned, "passed", "r.k."), (cleaned, "failed", "desk"), who="desk")
    work(copy, (cleaned, "passed", "r.k."), (cleaned, "passed", "ann"))
    made = back(mine, copy)
    found = mine.execute(
        "SELECT bus, tag, result, done_by FROM record WHERE bus IS NOT NULL ORDER BY done_by"
    ).fetchall()
    assert found == [
        ("LV-A", None, "passed", "ann"),
        ("LV-A", None, "failed", "desk"),
        ("LV-A", None, "passed", "r.k."),
    ]
    assert not made.conflicts and back(mine, copy).taken == 0


def test_a_merge_is_undone_as_one_and_can_be_made_again(two):
    mine, copy = two
    before = content(held(mine, {}))
    work(copy, (set_value, "C-002", "fla_a", "40 A"))
    work(copy, (retire, "C-003"), who="bob")
    made = back(mine, copy)
    after = content(held(mine, {}))
    work(mine, (undo, made.change_set), who="desk")
    assert content(held(mine, {})) == before != after
    assert back(mine, copy).change_set and content(held(mine, {})) == after


def test_what_was_undone_of_the_time_before_both_parted_counts(base, two):
    both = copied(base)
    number = work(both, (set_value, "C-002", "fla_a", "40 A"))
    mine, copy = copied(both), copied(both)
    work(mine, (undo, number), who="desk")
    work(copy, (set_value, "C-002", "fla_a", "43 A"))
    (conflict,) = back(mine, copy).conflicts
    assert (conflict.base, conflict.here.value, conflict.there.value) == ("40 A", "41.1 A", "43 A")


def test_the_register_as_it_stood_before_a_merge(two):
    mine, copy = two
    last = mine.execute("SELECT max(change_id), max(change_set) FROM change").fetchone()
    before = content(held(mine, {}))
    work(copy, (set_value, "C-002", "fla_a", "40 A"))
    back(mine, copy)
    assert content(held(as_at(mine, Point(*last)), {})) == before


def test_what_is_no_copy_is_refused(two, tmp_path):
    create(tmp_path / "other.db", {"site": "Elsewhere", "practice": "iec"})
    with opened(tmp_path / "other.db") as other, pytest.raises(StartrollError, match="no copy of this register"):
        back(two[0], other)


def test_two_motors_under_one_serial_are_refused_with_the_remedy(two):
    mine, copy = two
    work(mine, (set_value, "C-002", "motor", "SN 7"), who="desk")
    work(copy, (set_value, "C-003", "motor", "SN 7"))
    before = mine.conn.serialize()
    with pytest.raises(StartrollError, match="two different rows of the table motor are called 'SN 7'"):
        back(mine, copy)
    assert mine.conn.serialize() == before


# Killed at any moment.


def merge_files(register, copy):
    with opened(copy) as other, opened(register, write=True) as db:
        merge(db, other, reason="back", author="desk")


def test_killed_at_any_moment_the_register_is_whole(base, tmp_path):
    register, copy = tmp_path / "works.db", tmp_path / "copy.db"
    base.conn.execute("VACUUM INTO ?", [str(register)])
    backup(register, copy)
    with opened(copy, write=True) as db:
        for tag in ("C-002", "C-003", "C-006", "C-007"):
            work(db, (set_value, tag, "fla_a", "40 A"), (add_record, tag, "bump test", "passed"), (retire, tag))
    ends = []
    for path, merged in ((register, False), (tmp_path / "after.db", True)):
        if merged:
            shutil.copy(register, path)
            merge_files(path, copy)
        with opened(path) as db:
            ends.append(content(held(db, {})))
    apart = multiprocessing.get_context("forkserver")
    apart.set_forkserver_preload(["register.rounds.merge", "register.store.database", "test_merge"])
    rng = random.Random(7)
    for number in range(min(TRIALS, 40) // 2 + 1):
        path = tmp_path / f"{number}.db"
        shutil.copy(register, path)
        child = apart.Process(target=merge_files, args=(path, copy))
        child.start()
        time.sleep(rng.uniform(0, 0.25))
        child.kill()
        child.join()
        with opened(path) as db:
            assert db.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
            assert content(held(db, {})) in ends
        merge_files(path, copy)
        with opened(path) as db:
            assert content(held(db, {})) == ends[1]
