"""The sheet of a round comes back through the intake: every answer in its place, and nothing else changed."""

import shutil

import pytest

from register.facts.missing import typical
from register.intake.take_in import take_in
from register.reports.round.sheet import workbook
from register.store.database import opened
from register.store.queries import rows_at

# Numbers that are what they are in the register's unit and within every range that the intake believes there.
READ_ON = "2026-11-24"


def answer_for(question):
    value = typical(question.column)[0]
    return value if isinstance(value, str) else float(value)


def test_every_answer_of_a_filled_sheet_is_taken_in(demo, lineup, tmp_path):
    filled = {(s.at, q.column.name): answer_for(q) for s in lineup.stops for q in s.questions if q.on_file is None}
    for stop in lineup.stops:
        if any(q.column.table == "setting" for q in stop.questions):
            filled[stop.at, "setting_recorded_on"] = READ_ON
    sheet, register = tmp_path / "round.xlsx", tmp_path / "plant.db"
    sheet.write_bytes(workbook(lineup, filled))
    shutil.copy(demo, register)
    take_in(register, [sheet], reason="round of MCC-31", author="rk")
    with opened(register) as db:
        there = {stop.at: rows_at(db, stop.at) for stop in lineup.stops if not stop.is_bus}
    compared = 0
    for stop in lineup.stops:
        for question in () if stop.is_bus else stop.questions:
            name, table = question.column.name, question.column.table
            if (stop.at, name) in filled and name != "setting_recorded_on":
                value = there[stop.at][table][name]
                assert value == (
                    filled[stop.at, name] if isinstance(value, str) else pytest.approx(filled[stop.at, name])
                ), (stop.at, name)
                compared += 1
    assert compared > 200


def test_an_empty_sheet_changes_nothing(demo, lineup, tmp_path):
    sheet, register = tmp_path / "round.xlsx", tmp_path / "plant.db"
    sheet.write_bytes(workbook(lineup))
    shutil.copy(demo, register)
    with opened(register) as db:
        before = db.execute("SELECT count(*) FROM change").fetchone()
    take_in(register, [sheet], reason="round of MCC-31", author="rk")
    with opened(register) as db:
        assert db.execute("SELECT count(*) FROM change").fetchone() == before
