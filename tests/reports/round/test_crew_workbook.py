"""A crew's page as a workbook: filled in and taken back through the door of the page; what is wrong is told with its cell."""

import io
import sqlite3
import zipfile
from contextlib import closing
from dataclasses import replace
from datetime import date
from zoneinfo import ZoneInfo

import pytest
import xlsxwriter
from crew_day import filled, page_of
from python_calamine import CalamineWorkbook
from sqlite_utils import Database

from register.errors import StartrollError
from register.reports.round.crew_workbook import NO_PERMIT, TOP, workbook
from register.reports.round.data import page_number
from register.reports.round.document import html
from register.rounds.book_lines import DAY, FOUND, KEY, NOTE, RESULT, key_of, lines_of
from register.rounds.crew_book import read_book
from register.rounds.saved_file import RECORD, VALUE, WORK
from register.rounds.take_round import take_round
from register.store import clock
from register.store.database import opened, writing

CHANGES = {"P-2117": [("current_limit_xfla", 1.5, 2.6), ("ramp_s", 10.0, 12.0)]}
ZONE = ZoneInfo("Pacific/Auckland")  # 13 hours ahead of UTC: noon there is another day elsewhere
WHO, ON = "R. Kvernø", "2026-11-24"


@pytest.fixture(scope="module")
def plant(demo, tmp_path_factory):
    path = tmp_path_factory.mktemp("crew-book") / "plant.db"
    path.write_bytes(demo.read_bytes())
    with opened(path, write=True) as db, writing(db, reason="assigned"):
        db.execute("UPDATE site SET time_zone = ?", [ZONE.key])
        db.execute(
            "INSERT INTO action (tag, bus, against_rule, assigned_to, assigned_on, due_on) VALUES"
            " ('P-2117', NULL, 'settings/limit-enough-to-start', 'rk', '2026-11-20', '2026-12-10'),"
            " (NULL, 'MCC-21', 'line-protection/fault-current-believable', 'rk', '2026-11-20', '2026-12-10')"
        )
        names = ", ".join(f"bus_{name}_condition = '2'" for name in ("physical", "criticality", "environment"))
        db.execute(f"UPDATE bus SET {names}")
        for kind in ("cleaning", "connections verified", "thermography"):
            db.execute(
                "INSERT INTO record (bus, record_kind, done_on, result) VALUES ('MCC-21', ?, '2024-01-10', 'passed')",
                [kind],
            )
    return path


@pytest.fixture(scope="module")
def made(plant):
    return page_of(plant, bus="MCC-21", changes=CHANGES, crew="R. K., A. M.", readings=6)


def sheets_of(data):
    """Every sheet's cells by its name, as another program reads them."""
    book = CalamineWorkbook.from_filelike(io.BytesIO(data))
    return {name: book.get_sheet_by_name(name).to_python(skip_empty_area=False) for name in book.sheet_names}


def fill(made, path, cells, *, who=WHO, on=ON, more=lambda sheets: None):
    """A filled workbook, saved by another program: `cells` by number of the line, as (result, found, note)."""
    sheets = sheets_of(workbook(made))
    for row in sheets[DAY]:
        row[1] = {"done by": who, "done on": on}.get(row[0], row[1])
    for name, rows in sheets.items():
        if name not in (DAY, KEY):
            heads = rows[TOP]
            for row in rows[TOP + 1 :]:
                for own, value in zip((RESULT, FOUND, NOTE), cells.get(int(row[0]), ()), strict=False):
                    row[heads.index(own)] = value
    more(sheets)
    with xlsxwriter.Workbook(str(path), {"default_date_format": "yyyy-mm-dd", "strings_to_formulas": False}) as book:
        for name, rows in sheets.items():
            page = book.add_worksheet(name)
            for number, row in enumerate(rows):
                for column, value in enumerate(row):
                    if value != "":
                        page.write(number, column, value)
    return path


def _cells(made, saved):
    """The answers of a saved page as a hand would type them into the workbook."""
    number = {(line.table, line.at, line.column): n for n, (_, _, line) in enumerate(lines_of(made), 1)}
    found = {}
    for a in saved.answers:
        result = a.value if a.state == VALUE else "" if a.table in WORK else a.state
        note = "" if any(ord(c) < 32 or c == "\u2028" for c in a.note) or a.note[:1] in "=" else a.note
        found[number[a.table, a.at, a.column]] = (result, a.found if a.found is not None else "", note)
    return found


def test_the_page_and_the_workbook_are_one_round_with_the_lineup_first(made):
    assert NO_PERMIT.split(". ")[1] in html(made) and f'"page":"{page_number(made)}"' in html(made)
    sheets = sheets_of(data := workbook(made))
    shown = {one.name: str(one.visible) for one in CalamineWorkbook.from_filelike(io.BytesIO(data)).sheets_metadata}
    assert [name for name, how in shown.items() if not how.endswith(".Visible")] == [KEY]
    assert [row[0] for row in sheets[KEY]] == key_of(made, page_number(made))
    text = {name: [cell for row in rows for cell in row if cell] for name, rows in sheets.items()}
    assert NO_PERMIT in text[DAY] and any("the whole lineup" in str(one) for one in text[DAY])
    for _, job in made.jobs:
        assert any(job.title in page for page in text.values())
    own = text["Lineup dead"]
    assert own.index("lineup MCC-21") < min((own.index(s.at) for s in made.stops if s.at in own), default=10**6)
    lines = [int(row[0]) for name, rows in sheets.items() if name not in (DAY, KEY) for row in rows[TOP + 1 :]]
    assert sorted(lines) == list(range(1, len(lines_of(made)) + 1))


def test_random_fills_come_back_as_they_were_typed_and_twice_changes_nothing(made, plant, tmp_path):
    seen = 0
    for seed in range(4):
        page = filled(made, seed, share=0.6)
        cells = _cells(made, page)
        saved = read_book(fill(made, tmp_path / "crew.xlsx", cells), made.register, ZONE)
        given = {(a.table, a.at, a.column): a for a in saved.answers}
        assert (saved.who, saved.page) == (WHO, page_number(made))
        wanted = [a for a in page.answers if any(cells[_number(made, a)])]
        assert len(given) == len(wanted)
        for a in wanted:
            got = given[a.table, a.at, a.column]
            assert (got.state, got.base, got.row) == (a.state, a.base, a.row), a
            assert got.value == (pytest.approx(a.value) if isinstance(a.value, float) else a.value), a
            assert got.found == (pytest.approx(a.found) if isinstance(a.found, float) else a.found), a
            assert got.answered_at == "2026-11-24T12:00:00+13:00"
        with closing(sqlite3.connect(":memory:", isolation_level=None)) as copy, opened(plant) as db:
            db.conn.backup(copy)
            copy.execute("PRAGMA foreign_keys = ON")
            seen += _taken_whole(Database(copy), saved)
    assert seen > 40


def _number(made, answer):
    keys = [(line.table, line.at, line.column) for _, _, line in lines_of(made)]
    return keys.index((answer.table, answer.at, answer.column)) + 1


def _taken_whole(db, saved):
    assert clock.zone_of(db) == ZONE
    before = db.execute("SELECT count(*) FROM record").fetchone()[0]
    got = take_round(db, saved, file="crew.xlsx")
    assert not got.refused
    assert got.taken + got.same + got.kept + got.recorded + got.closed + len(got.undone) + len(got.conflicts) == len(
        saved.answers
    )
    tasks = [a for a in saved.answers if a.table == RECORD]
    rows = db.execute("SELECT done_on, done_by, result FROM record ORDER BY record_id DESC LIMIT ?", [len(tasks)])
    assert db.execute("SELECT count(*) FROM record").fetchone()[0] == before + len(tasks)
    assert {(day, who) for day, who, _ in rows} <= {(ON, WHO)}
    half = sum(a.value in ("half done", "not done") for a in saved.answers if a.table in WORK)
    assert len(got.undone) == half
    again = take_round(db, saved, file="crew.xlsx")
    assert (again.change_set, again.before) == (None, len(saved.answers) - len(got.conflicts))
    return len(tasks)


def test_the_page_and_the_workbook_of_one_day_change_the_same_record(made, plant, tmp_path):
    number = next(n for n, (_, _, line) in enumerate(lines_of(made), 1) if line.table == RECORD and line.row == "bus")
    first = read_book(fill(made, tmp_path / "one.xlsx", {number: ("half done", "", "section 3 left")}), zone=ZONE)
    later = read_book(fill(made, tmp_path / "two.xlsx", {number: ("Passed", "", "")}), zone=ZONE)
    page = replace(later, answers=tuple(replace(a, answered_at="2026-11-24T15:00:00+13:00") for a in later.answers))
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as copy, opened(plant) as db:
        db.conn.backup(copy)
        db = Database(copy)
        assert take_round(db, first, file="one.xlsx").undone == (
            "MCC-21 " + first.answers[0].column + ": half done; section 3 left",
        )
        assert take_round(db, page, file="page.json").recorded == 1
        kind = first.answers[0].column
        assert [
            r
            for r in db.execute(
                "SELECT result FROM record WHERE bus = 'MCC-21' AND record_kind = ? AND done_on = ?", [kind, ON]
            )
        ] == [("passed",)]


FIRST = "Running nothing off"


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda sheets: sheets[FIRST][TOP + 1].__setitem__(6, "done well"), "'done well' is no result"),
        (lambda sheets: sheets[FIRST][TOP + 1].__setitem__(0, "99999"), "'99999' is the number of no line"),
        (lambda sheets: sheets[FIRST].append(sheets[FIRST][TOP + 1]), "stands twice"),
        (lambda sheets: sheets[FIRST].pop(TOP), "the headings of this sheet are gone"),
        (lambda sheets: [row.__setitem__(1, "tomorrow") for row in sheets[DAY] if row[0] == "done on"], "is not a day"),
        (lambda sheets: sheets[KEY].pop(1), "was changed"),
        (lambda sheets: sheets.pop(KEY), "this is no crew's page"),
        (lambda sheets: sheets.pop(DAY), "this is no crew's page"),
    ],
)
def test_what_is_wrong_is_told_with_its_cell_and_nothing_is_taken(made, tmp_path, change, told):
    first = next(n for n, (_, what, _) in enumerate(lines_of(made), 1) if what.station is made.stations[0])
    with pytest.raises(StartrollError) as error:
        read_book(fill(made, tmp_path / "crew.xlsx", {first: ("passed", "", "")}, more=change), made.register, ZONE)
    assert told in str(error.value) and "crew.xlsx" in str(error.value)
    assert all(problem.remedy for problem in error.value.problems)


def test_all_that_is_wrong_is_told_at_once(made, tmp_path):
    jobs = [n for n, (_, what, line) in enumerate(lines_of(made), 1) if line.table in WORK][:3]
    setting = next(n for n, (_, _, line) in enumerate(lines_of(made), 1) if line.column == "ramp_s")
    cells = dict.fromkeys(jobs, ("maybe", "", "")) | {setting: ("ten", "", "")}
    with pytest.raises(StartrollError) as error:
        read_book(fill(made, tmp_path / "crew.xlsx", cells), made.register, ZONE)
    assert len(error.value.problems) == 4


def test_another_registers_workbook_is_refused_and_a_day_cell_is_read_as_a_day(made, tmp_path):
    path = fill(made, tmp_path / "crew.xlsx", {1: ("passed", "", "")}, on=date(2026, 11, 23))
    assert read_book(path, made.register, ZONE).answers[0].answered_at.startswith("2026-11-23T12:00")
    with pytest.raises(StartrollError, match="another register"):
        read_book(path, "someone else's", ZONE)


def test_a_result_that_is_missing_is_refused_where_something_else_stands_in_the_line(made, plant, tmp_path):
    saved = read_book(fill(made, tmp_path / "crew.xlsx", {1: ("", "", "door stuck")}), made.register, ZONE)
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as copy, opened(plant) as db:
        db.conn.backup(copy)
        got = take_round(Database(copy), saved, file="crew.xlsx")
    assert (
        got.change_set is None and "no result is ticked" in got.refused[0].cause and "workbook" in got.refused[0].remedy
    )


def test_hostile_text_is_neither_a_formula_nor_lost(made, tmp_path):
    bad = ('=HYPERLINK("x")', "@x", "+1", "\u202egnirts", "a\u2028b", "'\"`&amp;")
    stops = [replace(s, description=bad[n % len(bad)]) for n, s in enumerate(made.stops)]
    other = replace(made, stops=tuple(stops), title=bad[0])
    with zipfile.ZipFile(io.BytesIO(workbook(other))) as parts:
        assert not any(b"<f>" in parts.read(name) for name in parts.namelist() if "/sheet" in name)
    assert read_book(fill(other, tmp_path / "crew.xlsx", {1: ("passed", "", "")}), zone=ZONE).title == bad[0]
