"""Change-sets taken back, positions retired, brought back and removed: the register is as it was, the history knows."""

import pytest

from register.columns import TABLES
from register.errors import StartrollError
from register.intake import undo as changes
from register.intake.correct import add_record, move, set_value
from register.store.database import opened, writing
from register.store.history import position_history

pytest_plugins = ["intake_plant"]

HEAD = ["Tag", "Service", "MCC", "HP", "FLA", "RPM", "Starter", "Serial", "OL Setting"]
ONE = [
    HEAD,
    ["P-1", "Pump", "MCC-1", "50 hp", 62, 1780, "DOL", "", "62"],
    ["P-2", "Fan", "MCC-1", "5 hp", 7, "illegible", "DOL", "M2", ""],
]
TWO = [
    HEAD,
    ["P-1", "Pump", "MCC-1", "60 hp", 75, 1780, "DOL", "M1", "75"],
    ["P-3", "Mixer", "MCC-2", "5 hp", 7, 1750, "DOL", "", "7"],
]


def contents(plant):
    tables = [*TABLES, "blank", "found", "source_row"]
    with opened(plant.path) as db:
        return {t: sorted(map(str, db.execute(f"SELECT * FROM {t}").fetchall())) for t in tables}


def changed(plant, what, subject):
    with opened(plant.path, write=True) as db, writing(db, reason="test") as number:
        changes_made = getattr(changes, what)(db, subject)
    return number, changes_made


def last(plant):
    return plant.rows("SELECT max(change_set) AS n FROM change")[0]["n"]


def test_a_list_is_taken_back_as_one(plant):
    plant.take(plant.csv("one.csv", ONE))
    before = contents(plant)
    plant.take(plant.csv("two.csv", TWO))
    assert contents(plant) != before
    changed(plant, "undo", last(plant))
    assert contents(plant) == before
    with opened(plant.path) as db:
        assert any(e.action == "delete" for e in position_history(db, "P-3"))


def test_the_taking_back_can_be_taken_back(plant):
    plant.take(plant.csv("one.csv", ONE))
    number, _ = changed(plant, "undo", last(plant))
    assert plant.rows("SELECT * FROM position") == []
    changed(plant, "undo", number)
    assert {r["tag"] for r in plant.rows("SELECT tag FROM position")} == {"P-1", "P-2"}


def test_what_later_changes_are_based_on_is_not_taken_back(plant):
    plant.take(plant.csv("one.csv", ONE))
    first = last(plant)
    with opened(plant.path, write=True) as db, writing(db, reason="plate read"):
        set_value(db, "P-1", "fla_a", "61")
    with pytest.raises(StartrollError, match="plate read") as refused:
        changed(plant, "undo", first)
    assert f"startroll undo {first + 1}" in str(refused.value)
    with pytest.raises(StartrollError, match="no change-set 99"):
        changed(plant, "undo", 99)


def test_a_new_row_that_refers_to_what_it_made_keeps_it(plant):
    plant.take(plant.csv("one.csv", ONE))
    first = last(plant)
    with opened(plant.path, write=True) as db, writing(db, reason="bumped"):
        add_record(db, "P-1", "bump test", "passed", on="2026-03-01")
    with pytest.raises(StartrollError, match="record refers to position"):
        changed(plant, "undo", first)


def test_a_position_is_retired_and_brought_back_with_all_it_had(plant):
    plant.take(plant.csv("one.csv", ONE))
    before = contents(plant)
    changed(plant, "retire", "P-2")
    assert plant.value("motor", "M2", "motor_status") == "in store"
    assert [r["tag"] for r in plant.rows("SELECT tag FROM position")] == ["P-1"]
    changed(plant, "bring_back", "P-2")
    assert contents(plant) == before


def test_a_motor_that_went_elsewhere_stays_there(plant):
    plant.take(plant.csv("one.csv", ONE))
    changed(plant, "retire", "P-2")
    with opened(plant.path, write=True) as db, writing(db, reason="needed"):
        move(db, "motor", "unmarked motor at P-1", None)
        move(db, "motor", "M2", "P-1")
    _, said = changed(plant, "bring_back", "P-2")
    assert "elsewhere now: motor M2" in said
    assert plant.value("motor", "M2", "tag") == "P-1"
    with pytest.raises(StartrollError, match="in service"):
        changed(plant, "bring_back", "P-2")


def test_a_motor_does_not_return_to_where_another_is_now(plant):
    plant.take(plant.csv("one.csv", ONE))
    with opened(plant.path, write=True) as db, writing(db, reason="to the shop") as away:
        move(db, "motor", "M2", None)
    with opened(plant.path, write=True) as db, writing(db, reason="needed"):
        move(db, "motor", "unmarked motor at P-1", None)
        move(db, "motor", "unmarked motor at P-1", "P-2")
    before = contents(plant)
    with pytest.raises(StartrollError, match="two motors would be installed at P-2: M2, unmarked motor at P-1"):
        changed(plant, "undo", away)
    assert contents(plant) == before


def test_a_wrongly_made_position_is_removed_and_the_history_says_so(plant):
    plant.take(plant.csv("one.csv", [["Tag", "Service", "Area"], ["P-1", "Pump", "A"], ["MCC-7", "a line", "A"]]))
    changed(plant, "remove", "MCC-7")
    assert [r["tag"] for r in plant.rows("SELECT tag FROM position")] == ["P-1"]
    with opened(plant.path) as db:
        assert position_history(db, "MCC-7")[-1].action == "delete"
    plant.take(plant.csv("two.csv", ONE))
    with pytest.raises(StartrollError, match="startroll retire P-2"):
        changed(plant, "remove", "P-2")
