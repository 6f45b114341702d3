"""Work taken back from a crew's page: a record of its day, a closed action, a setting as found and left; half-done said."""

from dataclasses import replace

import pytest

from register.intake.correct import add_record, set_value
from register.intake.undo import retire, undo
from register.rounds.saved_file import Answer, SavedRound, read_saved, saved_text
from register.rounds.take_round import take_round
from register.store import actions
from register.store.database import create, opened, writing
from register.store.history import position_history
from register.store.identity import register_id

NOON = "2026-11-25T12:00:00+00:00"
LATER = "2026-11-25T13:00:00+00:00"


@pytest.fixture
def db(tmp_path):
    path = tmp_path / "works.db"
    create(path, {"site": "Oldmarrow Works", "practice": "iec", "time_zone": "UTC"})
    with opened(path, write=True) as db:
        with writing(db, reason="list", author="desk"):
            db.execute("INSERT INTO bus (bus) VALUES ('MCC-1')")
            db.execute("INSERT INTO position (tag, bus) VALUES ('P-1', 'MCC-1'), ('P-2', 'MCC-1')")
            db.execute("INSERT INTO device (device, tag, device_status) VALUES ('D1', 'P-1', 'in service')")
            db.execute("INSERT INTO setting (device, setting_recorded_on, ramp_s) VALUES ('D1', '2026-01-01', 10)")
            db.execute(
                "INSERT INTO action (tag, bus, against_rule, task, assigned_to, assigned_on, due_on) VALUES"
                " ('P-1', NULL, 'overload/present', NULL, 'rk', '2026-11-01', '2026-12-01'),"
                " (NULL, 'MCC-1', 'sizing/supply-balanced', NULL, 'rk', '2026-11-01', '2026-12-01')"
            )
        yield db


def task(value="passed", *, at="P-1", kind="thermography", **more):
    usual = Answer("record", at, kind, "position", None, "value", value, value, "", "", NOON)
    return replace(usual, **more)


def action(number, value="done", *, at="P-1", row="position", **more):
    return task(value, at=at, kind=str(number), table="action", row=row, **more)


def ramp(left, *, base=10.0, found=None, **more):
    usual = Answer("setting", "P-1", "ramp_s", "D1 | 2026-01-01", base, "value", left, str(left), "s", "", NOON)
    seen = {} if found is None else {"found": found, "found_typed": str(found), "found_unit": "s"}
    return replace(usual, **seen, **more)


def taken(db, *answers, page="page-1", decide=lambda cell: None):
    title = "crew's page of MCC-1, 2026-11-25"
    saved = SavedRound(register_id(db), page, "Oldmarrow Works", title, NOON, "R. Kvernø", NOON, answers, "0" * 64)
    return take_round(db, saved, file="crew.json", file_sha256="ab" * 32, decide=decide, author="desk")


def records(db, tag="P-1", column="tag"):
    return list(db.query(f"SELECT * FROM record WHERE {column} = ? ORDER BY record_id", [tag]))


def test_a_task_becomes_a_record_with_who_when_and_what_was_measured(db):
    made = taken(db, task(note="lug L2 warm", found=96.0, found_typed="96", found_unit="A"))
    (row,) = records(db)
    assert made.recorded == 1 and {k: row[k] for k in ("record_kind", "done_on", "done_by", "result")} == {
        "record_kind": "thermography", "done_on": "2026-11-25", "done_by": "R. Kvernø", "result": "passed",
    }  # fmt: skip
    assert (row["value"], row["value_unit"], row["note"]) == (96.0, "A", "lug L2 warm")
    last = position_history(db, "P-1")[-1]
    assert (last.author, last.source_file, last.table) == ("R. Kvernø", "round crew.json", "record")
    assert "crew's page of MCC-1" in last.reason and "taken back by desk" in last.reason


def test_a_measurement_that_is_no_number_is_kept_as_it_was_typed(db):
    taken(db, task(found=None, found_typed="about 90", found_unit="A"))
    assert records(db)[0]["note"] == "about 90" and records(db)[0]["value"] is None


@pytest.mark.parametrize("word", ["half done", "not done"])
def test_half_done_is_said_and_counts_for_nothing(db, word):
    made = taken(db, task(word, note="no outage"), action(1, word, note="part is wrong"))
    assert (made.recorded, made.closed, made.change_set is not None) == (0, 0, True)
    assert made.undone == (f"P-1 thermography: {word}; no outage", f"P-1 action 1: {word}; part is wrong")
    assert records(db)[0]["result"] == "not done" and actions.row(db, 1)["closed_on"] is None
    history = [(h.table, h.action, h.after) for h in position_history(db, "P-1")]
    assert ("action", "kept", f"{word}; part is wrong") in history


def test_an_action_is_closed_only_where_its_box_says_done(db):
    made = taken(db, action(1), action(2, "half done", at="MCC-1", row="bus"))
    closed = actions.row(db, 1)
    assert made.closed == 1 and (closed["closed_on"], closed["closed_by"]) == ("2026-11-25", "R. Kvernø")
    assert (closed["evidence_file"], closed["evidence_hash"]) == ("crew.json", "ab" * 32)
    assert actions.row(db, 2)["closed_on"] is None and made.undone == ("MCC-1 action 2: half done",)
    made = taken(db, action(1), action(2, at="MCC-1", row="bus", answered_at=LATER))
    assert (made.closed, made.before) == (1, 1) and actions.row(db, 2)["closed_on"] == "2026-11-25"


def test_an_action_that_someone_else_closed_stays_closed_and_it_is_told(db):
    with writing(db, reason="closed at the desk", author="anna"):
        actions.change(db, 1, {"closed_on": "2026-11-20", "closed_by": "anna"})
    made = taken(db, action(1, "half done"))
    assert made.kept == 1 and "was closed by anna on 2026-11-20" in made.told[0]
    assert taken(db, action(1), page="page-2").same == 1 and actions.row(db, 1)["closed_by"] == "anna"


def test_a_setting_is_entered_as_found_and_as_left(db):
    made = taken(db, ramp(12.0, found=8.0, note="potentiometer"))
    assert made.taken == 1
    steps = [(h.before, h.after) for h in position_history(db, "P-1") if h.column == "ramp_s"]
    assert steps == [(10.0, 8.0), (8.0, 12.0)]
    assert next(db.query("SELECT note FROM answer"))["note"] == "as found 8.0 s; potentiometer"


def test_a_setting_left_as_it_was_on_file_still_says_how_it_was_found(db):
    taken(db, ramp(10.0, found=8.0))
    steps = [(h.before, h.after) for h in position_history(db, "P-1") if h.column == "ramp_s"]
    assert steps == [(10.0, 8.0), (8.0, 10.0)]


def test_a_setting_found_as_the_register_has_it_now_is_no_conflict(db):
    with writing(db, reason="read", author="anna"):
        set_value(db, "P-1", "ramp_s", "8 s")
    assert len(taken(db, ramp(12.0)).conflicts) == 1
    assert taken(db, ramp(12.0, found=8.0)).taken == 1


def test_as_found_without_as_left_changes_nothing_and_is_told(db):
    made = taken(db, ramp(None, found=8.0, state="not known", as_typed=""))
    assert made.kept == 1 and "as found 8.0 s, and nobody says how it was left" in made.told[0]
    assert db.execute("SELECT ramp_s FROM setting").fetchone()[0] == 10.0


def test_twice_changes_nothing(db):
    page = task(), task("half done", kind="cleaning"), action(1), ramp(12.0, found=8.0)
    taken(db, *page)
    before = db.execute("SELECT count(*) FROM change").fetchone()
    made = taken(db, *page)
    assert (made.change_set, made.before) == (None, 4) and db.execute(
        "SELECT count(*) FROM change"
    ).fetchone() == before


def test_a_later_file_of_the_page_changes_its_own_record_and_opens_its_own_action(db):
    taken(db, task("half done"), action(1))
    made = taken(db, task(answered_at=LATER), action(1, "half done", answered_at=LATER))
    assert made.recorded == 1 and [r["result"] for r in records(db)] == ["passed"]
    assert made.undone == ("P-1 action 1: half done",) and actions.row(db, 1)["closed_on"] is None
    assert actions.row(db, 1)["evidence_hash"] is None


@pytest.mark.parametrize(("side", "ends"), [("ours", "passed"), ("theirs", "failed")])
def test_a_record_edited_here_since_is_a_conflict_told_once(db, side, ends):
    taken(db, task())
    with writing(db, reason="the note was wrong", author="anna"):
        db.execute("UPDATE record SET note = 'all phases alike'")
    again = task("failed", answered_at=LATER)
    (one,) = taken(db, again).conflicts
    assert (one.here.value, one.here.who, one.there.value) == ("passed: all phases alike", "anna", "failed")
    assert records(db)[0]["result"] == "passed"
    made = taken(db, again, decide={("record", "P-1", "thermography"): side}.get)
    assert not made.conflicts and [r["result"] for r in records(db)] == [ends]
    assert taken(db, again).before == 1


def test_the_same_record_typed_at_the_desk_is_not_doubled(db):
    with writing(db, reason="typed", author="desk"):
        add_record(db, "P-1", "thermography", "passed", on="2026-11-25", by="R. Kvernø")
    assert taken(db, task()).same == 1 and len(records(db)) == 1
    assert taken(db, task("failed", answered_at=LATER), page="page-2").recorded == 1 and len(records(db)) == 2


@pytest.mark.parametrize(
    ("one", "cause"),
    [
        (task(None, state="not known", as_typed="", note="door stuck"), "no result is ticked"),
        (task(answered_at="2199-01-01T12:00:00+00:00"), "lies ahead"),
        (task(at="P-9"), "there is no position P-9 any more"),
        (action(9), "there is no action 9"),
        (action(2), "action 2 is about MCC-1"),
        (action(1, answered_at="2026-10-01T12:00:00+00:00"), "assigned on 2026-11-01"),
    ],
)
def test_what_cannot_be_taken_is_refused_with_what_to_do_and_the_rest_taken(db, one, cause):
    made = taken(db, one, task(at="P-2"))
    assert made.recorded == 1 and len(made.refused) == 1 and cause in made.refused[0].cause and made.refused[0].remedy
    assert one.note in made.refused[0].answer


def test_a_renamed_position_keeps_its_record_and_a_retired_one_is_told(db):
    with writing(db, reason="new tags", author="anna"):
        db.execute("UPDATE position SET tag = 'P-22' WHERE tag = 'P-2'")
        retire(db, "P-1")
    made = taken(db, task(at="P-2"), task())
    assert len(records(db, "P-22")) == 1 and "P-2 is called P-22 now" in made.told[0]
    assert "retired or removed" in made.refused[0].cause


def test_undone_it_can_be_taken_again(db):
    page = task(), action(1)
    made = taken(db, *page)
    with writing(db, reason="wrong plant"):
        undo(db, made.change_set)
    assert not records(db) and actions.row(db, 1)["closed_on"] is None
    made = taken(db, *page)
    assert (made.recorded, made.closed) == (1, 1)


def lineup_task(value="passed", **more):
    return task(value, **{"at": "MCC-1", "row": "bus", "kind": "cleaning"} | more)


def test_a_task_of_a_lineup_becomes_a_record_of_the_lineup(db):
    made = taken(db, lineup_task(note="dust on the bus bars"), task(kind="cleaning"))
    (row,) = records(db, "MCC-1", "bus")
    assert made.recorded == 2 and (row["tag"], row["result"], row["done_by"]) == (None, "passed", "R. Kvernø")
    assert [r["record_kind"] for r in records(db)] == ["cleaning"]
    again = taken(db, lineup_task("half done", note="section 3 left", answered_at=LATER))
    assert again.undone == ("MCC-1 cleaning: half done; section 3 left",)
    assert [r["result"] for r in records(db, "MCC-1", "bus")] == ["not done"]  # its own record, and no second one


def test_a_lineup_and_a_position_of_one_name_are_told_apart(db, tmp_path):
    with writing(db, reason="an odd name", author="anna"):
        db.execute("INSERT INTO position (tag, bus) VALUES ('MCC-1', 'MCC-1')")
    both = lineup_task(), task("failed", at="MCC-1", kind="cleaning")
    saved = SavedRound(register_id(db), "page-1", "Oldmarrow Works", "t", NOON, "rk", NOON, both, "0" * 64)
    (file := tmp_path / "crew.json").write_text(saved_text(saved), "utf-8")
    take_round(db, read_saved(file, saved.register), file="crew.json")
    assert [r["result"] for r in records(db, "MCC-1", "bus")] == ["passed"]
    assert [r["result"] for r in records(db, "MCC-1")] == ["failed"]


def test_a_renamed_lineup_keeps_its_record_and_an_unknown_one_is_told(db):
    with writing(db, reason="new names", author="anna"):
        db.execute("UPDATE bus SET bus = 'MCC-1A' WHERE bus = 'MCC-1'")
    made = taken(db, lineup_task(), lineup_task(at="MCC-9"))
    assert len(records(db, "MCC-1A", "bus")) == 1 and "MCC-1 is called MCC-1A now" in made.told[0]
    assert "there is no bus MCC-9 any more" in made.refused[0].cause
    with writing(db, reason="again", author="anna"):
        db.execute("UPDATE bus SET bus = 'MCC-1B' WHERE bus = 'MCC-1A'")
    assert [r["bus"] for r in db.query("SELECT bus FROM record")] == ["MCC-1B"]


def test_a_record_of_a_lineup_edited_here_since_is_a_conflict(db):
    taken(db, lineup_task())
    with writing(db, reason="the note was wrong", author="anna"):
        db.execute("UPDATE record SET note = 'dry'")
    (one,) = taken(db, lineup_task("failed", answered_at=LATER)).conflicts
    assert (one.tag, one.here.value, one.there.value) == ("MCC-1", "passed: dry", "failed")


def test_undone_the_record_of_a_lineup_is_gone(db):
    made = taken(db, lineup_task())
    with writing(db, reason="wrong plant"):
        undo(db, made.change_set)
    assert not records(db, "MCC-1", "bus") and taken(db, lineup_task()).recorded == 1
