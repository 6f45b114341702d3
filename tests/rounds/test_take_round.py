"""A round taken back: three ways, what is refused, and twice."""

from dataclasses import replace

import pytest

from register.intake.correct import move, set_value
from register.intake.undo import retire, undo
from register.rounds.saved_file import Answer, Photo, SavedRound
from register.rounds.take_round import take_round
from register.store.database import create, opened, writing
from register.store.history import position_history
from register.store.identity import register_id
from register.store.origins import origin_of

NOON = "2026-11-29T12:00:00+01:00"


@pytest.fixture
def db(tmp_path):
    path = tmp_path / "works.db"
    create(path, {"site": "Oldmarrow Works", "practice": "iec"})
    with opened(path, write=True) as db:
        with writing(db, reason="list", author="desk"):
            db.conn.execute("INSERT INTO bus (bus) VALUES ('MCC-1')")
            db.conn.execute("INSERT INTO position (tag, bus) VALUES ('P-1', 'MCC-1'), ('P-2', 'MCC-1')")
            db.conn.execute(
                "INSERT INTO motor (motor, tag, power_kw, motor_voltage_v, poles, motor_frequency_hz)"
                " VALUES ('M1', 'P-1', 5.5, 400, 4, 50)"
            )
        yield db


def answer(column, value, *, table="motor", at="P-1", row="M1", base=None, **more):
    usual = Answer(table, at, column, row, base, "value", value, "", "", "", NOON, None)
    return replace(usual, **more)


def a_round(db, *answers, page="page-1"):
    return SavedRound(
        register_id(db), page, "Oldmarrow Works", "Pulp house", NOON, "R. Kvernø", NOON, answers, "0" * 64
    )


def taken(db, *answers, decide=lambda cell: None, page="page-1", **more):
    return take_round(db, a_round(db, *answers, page=page), file="round.json", decide=decide, author="desk", **more)


def value(db, column, table="motor", key="M1"):
    return db.execute(
        f"SELECT {column} FROM {table} WHERE {table if table == 'motor' else 'tag'} = ?", [key]
    ).fetchone()[0]


def test_what_was_found_is_taken_with_who_when_and_where_from(db):
    made = taken(db, answer("fla_a", 11.0, note="plate behind the guard", photo=Photo("p.jpg", "0f" * 32)))
    assert (made.taken, made.conflicts, made.refused) == (1, (), ()) and value(db, "fla_a") == 11.0
    last = position_history(db, "P-1")[-1]
    assert (last.author, last.source_file, last.before, last.after) == ("R. Kvernø", "round round.json", None, 11.0)
    assert "Pulp house" in last.reason and "2026-11-29T12:00" in last.reason and "taken back by desk" in last.reason
    assert "by R. Kvernø" in origin_of(db, ["P-1"], ["fla_a"])["P-1", "fla_a"]
    kept = next(db.query("SELECT * FROM answer"))
    assert (kept["note"], kept["photo_file"], kept["photo_hash"]) == ("plate behind the guard", "p.jpg", "0f" * 32)


@pytest.mark.parametrize(
    ("base", "now", "theirs", "outcome"),
    [
        (None, None, 11.0, "taken"),
        (10.0, 10.0, 11.0, "taken"),
        (10.0, 12.0, 10.0, "kept"),
        (None, 11.0, 11, "same"),
        (None, 12.0, 11.0, "conflict"),
        (10.0, 12.0, 11.0, "conflict"),
    ],
)
def test_base_now_and_answer(db, base, now, theirs, outcome):
    """The six ways in which three values can differ (three-way merge, common practice)."""
    with writing(db, reason="desk", author="anna"):
        db.conn.execute("UPDATE motor SET fla_a = ?", [now])
    made = taken(db, answer("fla_a", theirs, base=base))
    found = {"taken": made.taken, "kept": made.kept, "same": made.same, "conflict": len(made.conflicts)}
    assert found == {**dict.fromkeys(found, 0), outcome: 1}
    assert value(db, "fla_a") == (theirs if outcome == "taken" else now)
    if outcome == "conflict":
        (one,) = made.conflicts
        assert (one.here.value, one.here.who, one.there.value, one.there.who) == ("12 A", "anna", "11 A", "R. Kvernø")


@pytest.mark.parametrize(("said", "ends"), [("theirs", 11.0), ("ours", 12.0), ("11,5 A", 11.5)])
def test_a_conflict_waits_and_is_asked_once(db, said, ends):
    with writing(db, reason="desk", author="anna"):
        set_value(db, "P-1", "fla_a", "12 A")
    asked = answer("fla_a", 11.0), answer("service_factor", 1.15)
    first = taken(db, *asked)
    assert first.taken == 1 and len(first.conflicts) == 1 and value(db, "fla_a") == 12.0
    assert taken(db, *asked).conflicts == first.conflicts
    assert not taken(db, *asked, decide={("motor", "P-1", "fla_a"): said}.get).conflicts
    assert value(db, "fla_a") == ends
    again = taken(db, *asked)
    assert (again.change_set, again.before, again.conflicts) == (None, 2, ())


def test_twice_changes_nothing_also_when_it_was_corrected_since(db):
    taken(db, answer("fla_a", 11.0))
    with writing(db, reason="typed wrong", author="anna"):
        set_value(db, "P-1", "fla_a", "11.2 A")
    made = taken(db, answer("fla_a", 11.0))
    assert (made.change_set, made.before, made.conflicts) == (None, 1, ()) and value(db, "fla_a") == 11.2


def test_a_later_file_of_the_same_page_corrects_an_answer_of_its_own(db):
    taken(db, answer("fla_a", 11.0))
    made = taken(db, answer("fla_a", 10.5, answered_at="2026-11-29T13:00:00+01:00"))
    assert (made.taken, made.conflicts) == (1, ()) and value(db, "fla_a") == 10.5
    other = taken(db, answer("fla_a", 10.2, answered_at="2026-11-29T13:05:00+01:00"), page="page-2")
    assert len(other.conflicts) == 1


def test_undone_it_can_be_taken_again(db):
    made = taken(db, answer("fla_a", 11.0))
    with writing(db, reason="wrong plant"):
        undo(db, made.change_set)
    assert value(db, "fla_a") is None
    assert taken(db, answer("fla_a", 11.0)).taken == 1 and value(db, "fla_a") == 11.0


@pytest.mark.parametrize(
    ("asked", "cause"),
    [
        (answer("fla_a", 1e9), "fla_a"),
        (answer("insulation_class", "Z"), "no word of insulation_class"),
        (answer("fla_a", 110.0), "5.5 kW at 400 V takes about"),
        (answer("fla_a", 11.0, as_typed="12", unit="A"), "typed was 12 A"),
        (answer("speed_rpm", 2960.0), "4 poles at 50 Hz"),
        (answer("fla_a", 11.0, row="M7"), "was M7 when the round was made, and is M1 now"),
        (answer("fla_a", 11.0, at="P-9"), "there is no position P-9 any more"),
    ],
)
def test_what_is_not_to_be_believed_is_refused_and_the_rest_taken(db, asked, cause):
    """A current ten times what the plate gives: IEC 60034-1, P = √3·V·I·η·cosφ; speed: synchronous at 120·f/p."""
    made = taken(db, asked, answer("service_factor", 1.15))
    assert made.taken == 1 and len(made.refused) == 1 and cause in made.refused[0].cause and made.refused[0].remedy


def test_a_plate_is_judged_as_a_whole(db):
    """11 kW and 21 A fit each other, and neither fits what was on file."""
    with writing(db, reason="list"):
        db.conn.execute("UPDATE motor SET fla_a = 2.1, power_kw = 1.1")
    made = taken(db, answer("fla_a", 22.0, base=2.1), answer("power_kw", 11.5, base=1.1))
    assert made.taken == 2 and not made.refused


@pytest.mark.parametrize(
    ("state", "reason"),
    [
        ("illegible", "illegible"),
        ("not there", "illegible"),
        ("not applicable", "not applicable"),
        ("not known", "not surveyed"),
    ],
)
def test_why_there_is_no_value_is_kept(db, state, reason):
    taken(db, answer("fla_a", None, state=state))
    assert value(db, "fla_a") is None
    assert db.execute("SELECT reason FROM blank WHERE column_name = 'fla_a'").fetchone()[0] == reason
    assert taken(db, answer("fla_a", None, state=state)).before == 1


def test_a_value_on_file_is_not_given_up_because_it_cannot_be_read(db):
    with writing(db, reason="list"):
        set_value(db, "P-1", "fla_a", "11 A")
    made = taken(db, answer("fla_a", None, base=11.0, state="illegible"))
    assert len(made.conflicts) == 1 and made.conflicts[0].there.value == "illegible" and value(db, "fla_a") == 11.0


def test_retired_renamed_and_moved_since_are_told(db):
    with writing(db, reason="line taken down", author="anna"):
        retire(db, "P-1")
        move(db, "motor", "M1", "P-2")
        db.conn.execute("UPDATE position SET tag = 'P-22' WHERE tag = 'P-2'")
    made = taken(db, answer("fla_a", 11.0), answer("area", "Yard", table="position", at="P-2", row="P-2"))
    assert "retired or removed" in made.refused[0].cause and "anna: line taken down" in made.refused[0].cause
    assert made.told == ("P-2 is called P-22 now",) and value(db, "area", "position", "P-22") == "Yard"


def test_a_serial_read_since_is_the_same_motor(db):
    with writing(db, reason="read", author="anna"):
        set_value(db, "P-1", "motor", "SN 77")
    assert taken(db, answer("fla_a", 11.0)).taken == 1 and value(db, "fla_a", "motor", "SN 77") == 11.0


def test_a_dry_run_changes_nothing(db):
    made = taken(db, answer("fla_a", 11.0), dry=True)
    assert made.taken == 1 and made.change_set is None and value(db, "fla_a") is None
    assert not db.execute("SELECT 1 FROM answer").fetchone()


def test_what_tells_rows_apart_is_never_unknown_the_second_time_neither(db):
    """The other answer makes the row, which then has a day: taking back twice changes nothing all the same."""
    with writing(db, reason="list", author="desk"):
        db.conn.execute("INSERT INTO model (model, device_kind) VALUES ('S 20', 'soft starter')")
        db.conn.execute(
            "INSERT INTO device (device, model, device_status, tag) VALUES ('D1', 'S 20', 'in service', 'P-1')"
        )
    day = answer("setting_recorded_on", None, table="setting", row=None, state="not known")
    both = day, answer("ramp_s", 12.0, table="setting", row=None)
    first, again = taken(db, *both), taken(db, *both)
    assert (first.taken, [r.column for r in first.refused]) == (1, ["setting_recorded_on"])
    assert again.change_set is None and (again.before, again.refused) == (1, first.refused)
