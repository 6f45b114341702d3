"""The command itself: what it prints, what it writes, what it refuses."""

import json
import sqlite3
import sys
from contextlib import closing
from dataclasses import replace

import pytest
from fleet_made import PLANTS
from typer.testing import CliRunner

from register.cli.app import app
from register.errors import StartrollError
from register.reports.terminal.fleet import headline

DAY = ("--today", "2026-11-25")


@pytest.fixture
def startroll(monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")

    def run(*typed):
        ran = CliRunner().invoke(app, ["fleet", *map(str, typed)], catch_exceptions=True)
        if isinstance(ran.exception, StartrollError):
            raise ran.exception
        assert ran.exit_code == 0, ran.exception
        return ran.stdout

    return run


def test_the_answer_comes_first_and_fits_80_columns(startroll, made, tables):
    told = startroll(made, "--parquet", tables, *DAY)
    assert told.startswith(f"{PLANTS} plants, 120 positions: ")
    assert max(map(len, told.splitlines())) <= 80
    assert f"{PLANTS} summaries reused" in " ".join(told.split())
    rules = told.partition("Harm to\n")[2].partition("\n\n")[0].splitlines()
    harms = ("people", "fire", "machine", "production", "records")
    assert rules and all(line.startswith("and ") or line.endswith(harms) for line in rules), "no word is broken"


def test_json_says_the_same(startroll, made, tables, report):
    told = json.loads(startroll(made, "--parquet", tables, "--json", *DAY))
    assert [one["plant"]["name"] for one in told["league"]] == [one.plant.name for one in report.league]


def test_kinds_that_the_rates_lack_are_named_and_copies_too(startroll, plants, tmp_path):
    first, *_, last = sorted(plants.glob("*.db"))
    for path in plants.glob("*.db"):
        if path not in (first, last):
            path.unlink()
    last.write_bytes(first.read_bytes())
    typed = ["fleet", str(plants), "--rates-to", str(tmp_path / "rates.json"), *DAY]
    ran = CliRunner().invoke(app, typed)
    assert ran.exit_code == 0 and json.loads((tmp_path / "rates.json").read_text())["rates"] == []
    assert "soft starter: 2 of 5 plants that are needed tell what failed" in ran.stderr
    assert "counts copies of one register each: leave all but the newest out" in ran.stderr


def test_a_rates_file_without_any_rate_says_what_to_take_in(plants, tmp_path):
    for path in plants.glob("*.db"):
        with closing(sqlite3.connect(path)) as db, db:
            db.execute("DELETE FROM event")
            db.execute("UPDATE device SET device_status = 'in service' WHERE device_status IN ('failed', 'scrapped')")
    ran = CliRunner().invoke(app, ["fleet", str(plants), "--rates-to", str(tmp_path / "rates.json"), *DAY])
    assert ran.exit_code == 0 and json.loads((tmp_path / "rates.json").read_text())["rates"] == []
    assert "rates.json holds no rate: no plant's failures can be counted" in " ".join(ran.stderr.split())
    assert "take in each plant's events" in ran.stderr


def test_one_summary_reused_is_one(startroll, plants, tmp_path):
    one = min(plants.glob("*.db"))
    startroll(one, "--parquet", tmp_path / "tables", *DAY)
    assert "; 1 summary reused." in " ".join(startroll(one, "--parquet", tmp_path / "tables", *DAY).split())


@pytest.mark.parametrize(
    ("people", "machine", "told"),
    [
        (0, 0, "2 plants, 10 positions: no major failed; 90 % of what applies is known."),
        (1, 0, "1 major failed, 10 for 100 positions, 1 of them of harm to people or fire; 90 %"),
        (0, 2, "2 majors failed, 20 for 100 positions, 0 of them of harm to people or fire; 90 %"),
    ],
)
def test_the_headline_counts_as_one_speaks(report, people, machine, told):
    majors = dict.fromkeys(report.majors, 0) | {"people": people, "machine": machine}
    assert told in headline(replace(report, majors=majors, positions=10, known_pct=90.0, league=report.league[:2]))


def test_page_and_workbook_are_written_and_never_over_another(startroll, made, tables, tmp_path):
    html, xlsx = tmp_path / "fleet.html", tmp_path / "fleet.xlsx"
    startroll(made, "--parquet", tables, "--to", html, "--xlsx", xlsx, *DAY)
    assert html.read_text("utf-8").startswith("<!doctype html>") and xlsx.read_bytes()[:2] == b"PK"
    with pytest.raises(StartrollError, match="already"):
        startroll(made, "--parquet", tables, "--to", html, *DAY)


def test_without_the_extra_it_says_what_to_install(startroll, made, monkeypatch):
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    with pytest.raises(StartrollError) as refused:
        startroll(made, *DAY)
    assert 'pip install "startroll[fleet]"' in str(refused.value)


def test_workers_and_a_scheduler_are_two_things(startroll, made):
    with pytest.raises(StartrollError, match="leave one of them out"):
        startroll(made, "--workers", "2", "--scheduler", "tcp://127.0.0.1:8786", *DAY)
