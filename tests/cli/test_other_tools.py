"""The page about other tools: every query on it is run, and every one has an answer."""

import gzip
import os
import re
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "guide" / "other-tools.md").read_text("utf-8")
OLD = ROOT / "tests" / "store" / "data" / "made-by-0.1.0.db.gz"
QUESTIONS = re.split(r"^\d+\. ", PAGE, flags=re.MULTILINE)[1:]


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A folder with `plant.db`: audited and kept, one of its models withdrawn, one overload set high."""
    folder = tmp_path_factory.mktemp("other-tools")
    path = folder / "plant.db"
    path.write_bytes(gzip.decompress(OLD.read_bytes()))
    for typed in (["correct", "P-113", "cubicle", "3B", "--reason", "walk"], ["audit", "--keep", "--by", "rk"]):
        day = ["--today", "2026-11-28"] if typed[0] == "audit" else []
        ends = 4 if typed[0] == "audit" else 0  # a concession is void: its rule was changed
        command = [sys.executable, "-m", "register.cli.app", *typed, *day, "--register", "plant.db"]
        assert subprocess.run(command, cwd=folder, capture_output=True).returncode == ends
    connection = sqlite3.connect(path)
    connection.execute("UPDATE model SET lifecycle = 'withdrawn'")
    connection.execute("UPDATE setting SET device_overload_set_a = 2000")
    connection.commit()
    connection.close()
    return folder


def test_the_page_asks_ten_questions_with_three_tools():
    assert len(QUESTIONS) == 10
    for tool in ("sqlite-utils", "sqlite3.connect", "duckdb.sql"):
        assert sum(tool in question for question in QUESTIONS) >= 3


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda q: q.split("\n")[0])
def test_a_question_has_its_answer(folder, monkeypatch, question):
    if "import duckdb" in question:
        pytest.importorskip("duckdb")
    monkeypatch.chdir(folder)
    monkeypatch.setenv("PATH", str(Path(sys.executable).parent), prepend=os.pathsep)
    blocks = re.findall(r"^```(console|python)\n(.*?)^```", question, flags=re.MULTILINE | re.DOTALL)
    assert blocks
    for language, text in blocks:
        if language == "console":
            ran = subprocess.run(text, shell=True, capture_output=True, text=True)
            target = text.partition(" > ")[2].strip()
            shown = Path(target).read_text() if target else ran.stdout
            assert ran.returncode == 0 and len(shown.splitlines()) >= 2, ran.stderr
        else:
            names = {}
            exec(text, names)
            assert names["answer"]
