"""A site's own folder: on trial until a dated line takes a rule in; what is wrong is said once."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from register.errors import RuleError
from register.rulebook.load.pack import load_pack, load_rule

PACKS = Path(__file__).parent / "packs"
OWN = "own/cable-short"
LINE = "- {rule: own/cable-short, reason: tried for a month, by: A. Planner, on: 2026-02-01}\n"


@pytest.fixture
def site(tmp_path):
    return Path(shutil.copytree(PACKS / "site", tmp_path / "site"))


def problems(site):
    with pytest.raises(RuleError) as caught:
        load_pack(PACKS / "small", site)
    return caught.value.problems


def test_a_site_s_rule_is_on_trial_until_it_is_taken_in(site):
    pack = load_pack(PACKS / "small", site)
    assert pack.on_trial(pack.rule(OWN), "2030-01-01")
    assert not any(pack.on_trial(r, "2026-01-01") for r in pack.rules if r.id != OWN)
    (site / "taken-in.yml").write_text(LINE, encoding="utf-8")
    pack = load_pack(PACKS / "small", site)
    days = ("2026-01-31", "2026-02-01", "2026-02-02")
    assert [pack.on_trial(pack.rule(OWN), day) for day in days] == [True, False, False]


def test_a_rule_of_the_pack_may_be_on_trial_too(folder, site):
    path = folder / "duty/tested.yml"
    path.write_text(path.read_text(encoding="utf-8") + "trial: true\n", encoding="utf-8")
    pack = load_pack(folder)
    assert [rule.id for rule in pack.rules if pack.on_trial(rule, "2026-01-01")] == ["duty/tested"]


@pytest.mark.parametrize(
    ("text", "cause", "remedy"),
    [
        (LINE.replace("cable-short", "cable-shor"), "no rule 'own/cable-shor'", "'own/cable-short'"),
        (LINE + LINE, "two lines about", "keep one"),
        (LINE.replace("2026-02-01", "soon"), "not a day", "2026-03-01"),
        (LINE.replace("reason: tried for a month, ", ""), "'reason' is missing", "add reason"),
        ("rule: own/cable-short\n", "a mapping where a list belongs", 'begin the line with "- "'),
    ],
)
def test_a_line_that_takes_in_nothing_is_told(site, text, cause, remedy):
    (site / "taken-in.yml").write_text(text, encoding="utf-8")
    (problem,) = problems(site)
    assert cause in problem.cause and remedy in problem.remedy
    assert "taken-in.yml:" in problem.place


def test_an_empty_folder_is_refused(tmp_path):
    empty = tmp_path / "empty"
    (empty / "own").mkdir(parents=True)
    (problem,) = problems(empty)
    assert "no rule in it, and no limit" in problem.cause and "limits.yml" in problem.remedy


def test_what_is_far_too_much_to_be_a_site_s_rules_is_not_read(site):
    (site / "own" / "whole-disk.yml").write_text("# " + "x" * 5_100_000, encoding="utf-8")
    (told,) = problems(site)
    assert told.cause == "its files of rules have 5.1 MB; up to 5 MB are read" and told.remedy.startswith(
        "name the folder"
    )


def test_one_file_of_rules_is_bounded(site):
    (site / "own" / "long.yml").write_text("# " + "x" * 2_400_000, encoding="utf-8")
    (told,) = problems(site)
    assert told.cause == "it cannot be read: it has 2.4 MB; up to 2 MB are read"


def test_overrides_that_are_no_list_are_said_once(site):
    (site / "limits.yml").write_text("overrides: oversize_ratio\n", encoding="utf-8")
    (problem,) = [p for p in problems(site) if "list belongs" in p.cause]
    assert "limits.yml:1:12" in problem.place


@pytest.mark.parametrize(
    ("old", "new", "cause", "remedy"),
    [
        ("grade: observation", "grade: observation\nsubject: buss", "'buss' is not one of", "'bus'"),
        (
            "grade: observation",
            "grade: observation\nsubject: bus",
            "'cable_length_m' is known of a position, and this rule is about a bus",
            "say subject: position",
        ),
        (
            "grade: observation",
            "grade: observation\ntrial: maybe",
            "'maybe' where true or false",
            "write true or false",
        ),
    ],
)
def test_what_a_rule_is_about_must_fit_what_it_reads(site, old, new, cause, remedy):
    path = site / "own/cable-short.yml"
    path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    first = problems(site)[0]
    assert cause in first.cause and remedy in first.remedy


def test_one_rule_beside_a_pack_may_name_its_limits(site):
    pack = load_pack(PACKS / "small", site)
    rule = load_rule(site / "own/cable-short.yml", pack)
    assert rule.id == OWN and rule.limits == ("longest_cable_m",) and rule.trial
