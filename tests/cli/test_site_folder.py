"""A site's folder that is not laid out as it should be: what is told, and how often."""

from html import unescape
from pathlib import Path

import pytest
from python_calamine import CalamineWorkbook

from register.store.database import create, opened, writing

RULE = """\
title: A long cable is looked at
title_failed: A long cable has no filter
grade: observation
practice: any
requires: cable_length_m <= :longest_cable_m
finding: "It is {cable_length_m} long, and the most is {longest_cable_m}."
why: The pulses add up at its end.
action: Plan a filter.
basis: ["common practice"]
examples:
  - {is: passed,    cable_length_m: 100}
  - {is: failed,    cable_length_m: 100.5}
  - {is: cant-tell}
"""
LIMITS = """\
longest_cable_m:
  value: 100
  unit: m
  sentence: longest cable
  basis: the site's own practice
"""
LINE = "- {rule: own/cable, reason: tried, by: A. Planner, on: 2026-11-25}\n"


@pytest.fixture
def site(tmp_path, monkeypatch):
    """A sound folder `site` of one rule and one limit, in the current folder."""
    monkeypatch.chdir(tmp_path)
    Path("site/own").mkdir(parents=True)
    Path("site/own/cable.yml").write_text(RULE, encoding="utf-8")
    Path("site/limits.yml").write_text(LIMITS, encoding="utf-8")
    return Path("site")


@pytest.fixture
def told(startroll, site):
    """What `startroll rules check` says of the folder, problem by problem."""

    def run(folder="site"):
        ran = startroll("rules", "check", folder)
        assert ran.code == 2 and not ran.out
        *problems, summary = ran.err.strip().split("\nsite")
        return [problem.replace("\n", " ") for problem in (*problems, *summary.split("\n1 prob")[:1])]

    return run


def test_the_folder_is_sound_before_it_is_spoilt(startroll, site):
    assert startroll("rules", "check", "site").code == 0


@pytest.mark.parametrize(
    ("name", "cause", "remedy"),
    [
        ("other.yml.txt", "this file is not read", "call it other.yml, without .txt behind"),
        ("other.yaml", "a rule's file ends in .yml", "call it other.yml"),
        ("taken-in.yml", "lies beside the theme folders", "move it to site/taken-in.yml"),
        ("deeper/other.yml", "a rule lies in a theme's folder", "move it to <theme>/<rule>.yml"),
        ("../takenin.yml", "a rule lies in a theme's folder", "did you mean taken-in.yml?"),
    ],
)
def test_a_file_that_would_not_be_read_is_named_with_its_place(site, told, name, cause, remedy):
    path = site / "own" / name
    path.parent.mkdir(exist_ok=True)
    path.write_text(LINE, encoding="utf-8")
    (problem,) = told()
    assert path.name in problem and cause in problem and remedy in problem


def test_limits_in_a_theme_are_told_once_and_missed_by_no_rule(site, told):
    (site / "limits.yml").rename(site / "own" / "limits.yml")
    (problem,) = told()
    assert "site/own/limits.yml  limits.yml lies beside the theme folders" in problem
    assert "move it to site/limits.yml" in problem


@pytest.mark.parametrize("wrong", ["value: 100 m", "value: 100\n  unit: [", "value: 100\n  units: m"])
def test_limits_that_are_broken_are_told_alone(site, told, wrong):
    (site / "limits.yml").write_text(LIMITS.replace("value: 100", wrong), encoding="utf-8")
    assert all("limits.yml:" in problem for problem in told())


@pytest.mark.parametrize("command", [("rules", "check"), ("audit", "--site-rules")])
def test_a_theme_for_the_folder_names_the_folder_above(startroll, site, plant, command):
    folder = site.resolve()
    (plant.parent / "x").mkdir()
    ran = startroll(*command, folder / "own")
    assert ran.code == 2
    assert "this is the folder of one theme" in ran.err
    assert ran.err.splitlines()[1].endswith("name the one above: site")


def test_what_is_tried_is_one_rules_file(startroll, site, plant):
    for typed, cause in (("site", "this is a folder"), ("own/cable", "there is no such file")):
        ran = startroll("rules", "try", typed, "--site-rules", "site")
        assert ran.code == 2 and cause in ran.err and "name" in ran.err and ".yml" in ran.err


@pytest.mark.parametrize(
    ("line", "cause", "remedy"),
    [
        (LINE.replace("own/cable", "overload/lost-phase-seen"), "counts already", "remove the line"),
        (LINE.replace("own/cable", "own/cabel"), "no rule 'own/cabel'", "mean 'own/cable'?"),
        (LINE.removeprefix("- "), "a mapping where a list belongs", 'begin the line with "- "'),
    ],
)
def test_a_line_that_takes_nothing_in_says_why(site, told, line, cause, remedy):
    (site / "taken-in.yml").write_text(line, encoding="utf-8")
    (problem,) = told()
    assert "taken-in.yml:1:" in problem and cause in problem and remedy in problem


def test_a_broken_rule_is_not_missed_by_the_line_that_takes_it_in(site, told):
    (site / "taken-in.yml").write_text(LINE, encoding="utf-8")
    path = site / "own" / "cable.yml"
    path.write_text(RULE.replace("cable_length_m <=", "cabel_length_m <="), encoding="utf-8")
    (problem,) = told()
    assert "own/cable.yml:5:11" in problem


def test_a_limit_that_is_missing_is_told_once(site, told):
    (site / "limits.yml").unlink()
    (problem,) = told()
    assert "there is no limit ':longest_cable_m'" in problem and "declare it" in problem


def test_an_example_that_does_not_hold_shows_its_line_the_clause_and_the_values(startroll, site):
    path = site / "own" / "cable.yml"
    path.write_text(RULE.replace("passed,    cable_length_m: 100", "passed, cable_length_m: 101"))
    ran = startroll("rules", "check", "site")
    assert ran.code == 2
    told = " ".join(ran.out.split())
    assert "site/own/cable.yml:11:5 own/cable: this example is failed, but says passed" in told
    assert "11 | - {is: passed, cable_length_m: 101}" in told
    assert "cable_length_m <= :longest_cable_m is not met: 101 m <= 100 m" in told
    assert told.endswith("1 example does not hold.")


def test_an_example_that_a_changed_limit_broke_names_the_limit(startroll, site):
    (site / "limits.yml").write_text(LIMITS.replace("100", "150"), encoding="utf-8")
    told = " ".join(startroll("rules", "check", "site").out.split())
    assert "this example is passed, but says failed" in told
    assert "with :longest_cable_m = 150 m (site/limits.yml)" in told
    assert 'give the example its own ":longest_cable_m"' in told
    path = site / "own" / "cable.yml"
    text = path.read_text(encoding="utf-8").replace("5}", '5, ":longest_cable_m": 100}')
    path.write_text(text, encoding="utf-8")
    assert startroll("rules", "check", "site").code == 0


def test_an_example_that_does_not_apply_or_lacks_a_value_says_so(startroll, site):
    path = site / "own" / "cable.yml"
    applies = "applies: device_kind = 'drive'\nrequires"
    more = "  - {is: inapplicable, device_kind: star-delta}\n"
    text = RULE.replace("requires", applies).replace("passed, ", "passed, device_kind: star-delta,")
    path.write_text(text + more, encoding="utf-8")
    told = " ".join(startroll("rules", "check", "site").out.split())
    assert "device_kind = 'drive' does not apply: 'star-delta' = 'drive'" in told
    assert "this example is cant-tell, but says failed" in told
    assert "not given: device_kind" in told


@pytest.mark.parametrize(("day", "told"), [("2020-01-01", "Counts since"), ("9999-01-01", "Will count from")])
def test_a_line_of_a_day_to_come_says_so(startroll, site, day, told):
    (site / "taken-in.yml").write_text(LINE.replace("2026-11-25", day), encoding="utf-8")
    assert f"{told} {day}" in startroll("rules", "show", "own/cable", "--site-rules", "site").out


def test_a_limit_of_the_site_is_not_called_the_packs(startroll, site):
    shown = startroll("rules", "show", "own/cable", "--site-rules", "site").out
    (line,) = [line for line in shown.splitlines() if line.startswith(":longest_cable_m")]
    assert line.split()[1:4] == ["100", "m", "site"]


def test_a_rule_of_the_site_is_not_known_without_its_folder(startroll, plant, site):
    for typed in (("rules", "show", "own/cable"), ("explain", "P-1", "own/cable")):
        ran = startroll(*typed)
        assert ran.code == 2 and "--site-rules <folder>" in ran.err


def test_the_folder_is_proved_by_its_name_alone(startroll, site):
    ran = startroll("rules", "prove", "site", "--only", "gaps")
    assert ran.code == 0


def test_a_finding_of_the_site_s_own_rule_is_marked_on_every_screen(startroll, site):
    (site / "taken-in.yml").write_text(LINE, encoding="utf-8")
    create(Path("plant.db"), {"site": "Oldmarrow Works", "practice": "us"})
    with opened(Path("plant.db"), write=True) as db, writing(db, reason="walk", author="rk"):
        db.execute("INSERT INTO position (tag, cable_length_m) VALUES ('P-1', 140)")
    of_it = ("--site-rules", "site", "--today", "2026-11-25", "--register", "plant.db")
    mark = "(the site's own rule)"
    wide = " ".join(startroll("audit", *of_it).out.split())
    assert mark in wide
    assert mark in " ".join(startroll("explain", "P-1", "own/cable", *of_it).out.split())
    assert mark in startroll("audit", "--json", *of_it).out
    startroll("report", *of_it, "--html", "r.html", "--xlsx", "r.xlsx", "--sarif", "r.sarif")
    for name in ("r.html", "r.sarif"):
        assert mark in unescape(Path(name).read_text(encoding="utf-8"))
    book = CalamineWorkbook.from_path("r.xlsx")
    cells = [str(c) for name in book.sheet_names for row in book.get_sheet_by_name(name).to_python() for c in row]
    assert any(mark in cell for cell in cells)
    # A rule of the pack has no such mark.
    assert mark not in startroll("rules", "show", "sizing/current-covers-motor", "--site-rules", "site").out
