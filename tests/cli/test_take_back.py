"""The commands `take-round` and `merge` as a person meets them: conflicts, one by one, refused, photographs."""

import hashlib
import json
from pathlib import Path

import pytest
import xlsxwriter
from python_calamine import CalamineWorkbook

from register.rounds.saved_file import Answer, Photo, SavedRound, saved_text
from register.store.database import backup, create, opened, writing
from register.store.identity import register_id

NOON = "2026-11-29T12:00:00+01:00"
PICTURE = b"\xff\xd8\xff picture"


@pytest.fixture
def register(tmp_path, monkeypatch):
    path = tmp_path / "works.db"
    create(path, {"site": "Oldmarrow Works", "practice": "iec"})
    with opened(path, write=True) as db, writing(db, reason="list", author="desk"):
        db.conn.execute("INSERT INTO position (tag) VALUES ('P-1'), ('P-2')")
        db.conn.execute("INSERT INTO motor (motor, tag, fla_a) VALUES ('M1', 'P-1', 10), ('M2', 'P-2', 20)")
    monkeypatch.setenv("STARTROLL_REGISTER", str(path))
    monkeypatch.chdir(tmp_path)
    return path


def save(register, *cells, file="round.json"):
    with opened(register) as db:
        own = register_id(db)
    photo = Photo("plate.jpg", hashlib.sha256(PICTURE).hexdigest())
    answers = [
        Answer("motor", tag, column, motor, base, "value", value, "", "", "", NOON, photo)
        for tag, motor, column, base, value in cells
    ]
    saved = SavedRound(own, "page-1", "Oldmarrow Works", "Pulp house", NOON, "R. Kvernø", NOON, tuple(answers), "")
    Path(file).write_text(saved_text(saved), "utf-8")


def test_a_round_comes_back_conflicts_wait_and_are_decided_one_by_one(startroll, register):
    Path("plate.jpg").write_bytes(PICTURE)
    cells = [("P-1", "M1", "fla_a", 10.0, 11.0), ("P-2", "M2", "fla_a", 20.0, 2e5), ("P-2", "M2", "poles", None, 4)]
    save(register, *cells)
    assert startroll("correct", "P-1", "fla_a", "10.5 A", "--reason", "papers", "--by", "anna").code == 0
    dry = startroll("take-round", "round.json", "--dry-run")
    assert dry.code == 1 and "1 taken" in dry.out and "startroll undo" not in dry.out
    ran = startroll("take-round", "round.json", "--left", "left.xlsx", "--by", "desk")
    assert ran.code == 1 and "1 in conflict, waiting; 1 refused" in ran.out and "1 photograph kept" in ran.out
    assert "here   10.5 A · anna" in ran.out and "there  11 A · R. Kvernø" in ran.out
    assert [path.read_bytes() for path in Path("works.photos").iterdir()] == [PICTURE]
    rows = CalamineWorkbook.from_path("left.xlsx").get_sheet_by_index(0).to_python()
    take = {"P-1": "theirs", "P-2": "20.5 A"}
    with xlsxwriter.Workbook("filled.xlsx") as book:
        page = book.add_worksheet()
        for line, row in enumerate(rows):
            page.write_row(line, 0, [*row[:-1], take[row[1]]] if line else row)
    ran = startroll("take-round", "round.json", "--decided", "filled.xlsx")
    assert ran.code == 0 and "2 taken" in ran.out and "0 in conflict, waiting; 0 refused" in ran.out
    with opened(register) as db:
        assert dict(db.execute("SELECT tag, fla_a FROM motor")) == {"P-1": 11.0, "P-2": 20.5}
    assert "3 taken back earlier" in startroll("take-round", "round.json").out


def test_a_file_that_was_changed_or_is_of_another_register_is_refused(startroll, register):
    save(register, ("P-1", "M1", "fla_a", 10.0, 11.0))
    text = Path("round.json").read_text("utf-8")
    Path("round.json").write_text(text.replace("11.0", "12.0", 1), "utf-8")
    ran = startroll("take-round", "round.json")
    assert ran.code == 2 and "changed or damaged after it was saved" in ran.err and "save the round again" in ran.err
    Path("round.json").write_text(text, "utf-8")
    create(Path("other.db"), {"site": "Elsewhere", "practice": "iec"})
    ran = startroll("take-round", "round.json", "--register", "other.db")
    assert ran.code == 2 and "made of another register" in ran.err


def test_a_picture_that_is_not_the_one_taken_is_told(startroll, register):
    Path("plate.jpg").write_bytes(b"another")
    save(register, ("P-1", "M1", "fla_a", 10.0, 11.0))
    ran = startroll("take-round", "round.json")
    assert "plate.jpg: not the picture that was taken" in ran.out and not Path("works.photos").exists()


def test_a_copy_is_merged_and_told(startroll, register):
    backup(register, Path("copy.db"))
    for path, amps, who in (("works.db", "10.5 A", "anna"), ("copy.db", "11 A", "ben")):
        typed = ("correct", "P-1", "fla_a", amps, "--reason", "read", "--by", who, "--register", path)
        assert startroll(*typed).code == 0
    ran = startroll("merge", "copy.db", "--left", "left.xlsx")
    assert ran.code == 1 and "Nothing has been changed: 1 conflict to decide" in ran.out
    assert "here   10.5 A · anna" in ran.out and "there  11 A · ben" in ran.out
    rows = CalamineWorkbook.from_path("left.xlsx").get_sheet_by_index(0).to_python()
    assert rows[1][:3] == ["motor", "M1", "fla_a"]
    for wrong in (("--theirs", "--ours"), ("--decided", "works.db"), ("--left", "left.xlsx")):
        assert startroll("merge", "copy.db", *wrong).code == 2
    data = json.loads(startroll("merge", "copy.db", "--theirs", "--json").out)
    assert data["change_set"] and data["decided"] == 1
    assert "nothing that this register has not" in startroll("merge", "copy.db").out
    assert startroll("undo", str(data["change_set"]), "--reason", "too early").code == 0


def test_a_copy_that_is_none_is_refused(startroll, register):
    create(Path("other.db"), {"site": "Elsewhere", "practice": "iec"})
    ran = startroll("merge", "other.db")
    assert ran.code == 2 and "it is no copy of this register" in ran.err
    assert startroll("merge", "missing.db").code == 5
