"""The README's tour, line by line on the demo plant: each command runs, what is quoted and pictured is what it says."""

import re
import shlex
import shutil
from pathlib import Path

import pictures
import pytest
import round_pictures
import xlsxwriter

from register.cli.examples import EXAMPLES

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
TOUR, OWN = (README.split(f"## {title}")[1].split("\n## ")[0] for title in ("The tour", "On your own list"))
ELSEWHERE = {shlex.join(shlex.split(line)) for lines in EXAMPLES.values() for line in lines}  # run by test_examples
ELSEWHERE.add("plan --budget 40000 --today 2026-11-25")  # with more options there


def lines(part):
    blocks = "".join(re.findall(r"```sh\n(.*?)```", part, re.DOTALL))
    return [shlex.split(line)[1:] for line in blocks.splitlines() if line.startswith("startroll ")]


@pytest.fixture
def place(tmp_path, monkeypatch, demo):
    """A folder after `make demo`, with a list of one's own."""
    (tmp_path / "demo").mkdir()
    shutil.copy(demo.path, tmp_path / "demo" / "demo.db")
    with xlsxwriter.Workbook(tmp_path / "motors.xlsx") as book:
        sheet = book.add_worksheet("motors")
        for number, row in enumerate(
            [("Tag", "HP", "F.L.A.", "Crit."), ("P-1", "15", "21 A", "A"), ("P-2", "x", "", "B")]
        ):
            sheet.write_row(number, 0, row)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("STARTROLL_REGISTER", "demo/demo.db")
    return tmp_path


def test_the_tour_runs_and_says_what_is_quoted(startroll, place):
    assert len(lines(TOUR)) >= 10
    here, said = [line for line in lines(TOUR) if shlex.join(line) not in ELSEWHERE], ""
    for line in here:
        ran = startroll(*line)
        assert ran.code in (0, 1), (line, ran.err)
        said += ran.out
    quoted = re.findall(r"```text\n(.*?)```", TOUR, re.DOTALL)
    assert quoted and [text for text in quoted if text not in said] == []
    assert here and (place / "start.svg").exists()


def test_ones_own_list_is_asked_about_taken_in_and_audited(startroll, place):
    new, ask, take, audit = lines(OWN)
    assert startroll(*new).code == startroll(*ask).code == 0
    mapping = place / "motors.yml"
    text = mapping.read_text(encoding="utf-8")
    assert "#?" in text
    mapping.write_text(text.replace("#? ", "").replace("#?", ""), encoding="utf-8")
    assert startroll(*take).code in (0, 1)
    assert (place / "to-correct.xlsx").exists()
    assert startroll(*audit).code == 1


def test_pictured_terminals_show_what_the_program_says(place):
    drawn = pictures.terminals()
    stale = [name for name, svg in drawn.items() if svg != (pictures.HERE / f"{name}.svg").read_text(encoding="utf-8")]
    assert not stale, f"run `make pictures`: {stale}"
    assert all(command in README for name, (command, *_) in pictures.TERMINALS.items() if f"{name}.svg" in README)


def test_pictures_are_all_there_small_and_described():
    shown = re.findall(r"!\[([^\]]+)\]\(docs/pictures/([\w.-]+)\)", README)
    assert len(shown) >= 3 and all(len(words) > 20 for words, _ in shown)
    there = {path.name for path in pictures.HERE.iterdir()}
    assert {name for _, name in shown} <= there
    assert there == {f"{name}.svg" for name in (*pictures.TERMINALS, "start")} | {
        f"{name}.png" for name in (*pictures.PAGES, *round_pictures.SHOTS, "labels")
    }
    assert all(path.stat().st_size < 150_000 for path in pictures.HERE.iterdir())


def test_the_readme_is_no_longer_than_a_sitting():
    assert README.count("\n") <= 145
