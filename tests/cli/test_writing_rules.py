"""The page on writing rules, done literally: every file dropped in, every command typed."""

import os
import re
import shlex
from pathlib import Path

import pytest

PAGE = (Path(__file__).parents[2] / "docs/guide/writing-rules.md").read_text(encoding="utf-8")
STEPS = re.compile(r"`([\w./-]+)`:\n\n```yaml\n(.*?)```|```sh\n(.*?)```", re.DOTALL)
SHOWN = re.search(r"before they are corrected:\n\n(.*?)\n\n\*\*3", PAGE, re.DOTALL)[1]
FILE = "site-rules/own/long-cable.yml"

# As the page has it, it tries 10,000 rows and asks every question of the sample plant: with STARTROLL_EXAMPLES.
SOME = ("examples", "monotone", "mutation", "dead", "gaps", "units")
PROVED = () if "STARTROLL_EXAMPLES" in os.environ else ("--trials", "300", *(w for n in SOME for w in ("--only", n)))


@pytest.fixture
def steps():
    """(file, its text) or (None, commands), in the order of the page."""
    return [(step[1], step[2] or step[3]) for step in STEPS.finditer(PAGE)]


@pytest.mark.dear
def test_the_page_can_be_followed_to_a_rule_that_counts(startroll, tmp_path, monkeypatch, steps):
    monkeypatch.chdir(tmp_path)
    audits = []
    for file, text in steps:
        if file:
            Path(file).parent.mkdir(parents=True, exist_ok=True)
            Path(file).write_text(text, encoding="utf-8")
            continue
        for line in text.splitlines():
            typed = shlex.split(line)[1:]
            ran = startroll(*typed, *(PROVED if typed[:2] == ["rules", "prove"] else ()))
            assert (ran.code, ran.err) == (1 if typed[0] == "audit" else 0, ""), line
            if typed[0] == "audit":
                audits.append(ran.out)
            if typed[:2] == ["rules", "try"]:
                assert "Would fail" in ran.out and "cable_length_m" in ran.out
    on_trial, counted = audits
    assert "Rules on trial" in on_trial and "own/long-cable" in on_trial
    assert "own/long-cable" not in counted.partition("Rules on trial")[2]
    rules = [int(re.search(r"(\d+) rules", text)[1]) for text in audits]
    assert rules[1] == rules[0] + 1
    assert Path("pages/rules/own/long-cable.md").exists()


def test_the_mistake_that_the_page_shows_reads_as_it_shows_it(startroll, tmp_path, monkeypatch, steps):
    monkeypatch.chdir(tmp_path)
    text = dict(steps)[FILE].replace("requires: cable_length_m", "requires: cable_lenght_m")
    Path(FILE).parent.mkdir(parents=True)
    Path(FILE).write_text(text, encoding="utf-8")
    ran = startroll("rules", "check", "site-rules")
    assert ran.code == 2
    assert ran.err.rstrip() == re.sub(r"^    ", "", SHOWN, flags=re.MULTILINE)
