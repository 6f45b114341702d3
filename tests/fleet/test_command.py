"""The command itself: what it prints, what it writes, what it refuses."""

import json
import sys

import pytest
from fleet_made import PLANTS
from typer.testing import CliRunner

from register.cli.app import app
from register.errors import StartrollError

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
