"""A folder of summaries in which something went wrong: the report is that of an empty folder, or there is none."""

import shutil
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import pytest
from fleet_made import DAY

from register.errors import StartrollError
from register.fleet import kept as kept_module
from register.fleet.asked import Asked
from register.fleet.rollup import roll_up

ASKED, OTHERWISE = Asked(today=DAY), Asked(today=DAY, measured_only=True)
RULE = """title: The motor cable is no longer than this site wants
title_failed: {}
grade: observation
practice: any
requires: cable_length_m <= 1
finding: "The cable is {{cable_length_m}} long."
why: Long cables ring.
action: Measure it.
basis: ["the site's own habit"]
examples:
  - {{is: passed,    cable_length_m: 1}}
  - {{is: failed,    cable_length_m: 2}}
  - {{is: cant-tell, cable_length_m: null}}
"""
TAKEN_IN = "- {rule: own/cable-short, on: 2026-01-10, by: R. Kessler, reason: cables ring}\n"


@pytest.fixture(scope="module")
def two(made, tmp_path_factory):
    """Two of the plants."""
    folder = tmp_path_factory.mktemp("two")
    for path in sorted(made.glob("*.db"))[:2]:
        shutil.copyfile(path, folder / path.name)
    return folder


def told(places, asked=ASKED, **how):
    return replace(roll_up([str(places)], asked, **how), reused=0)


@pytest.mark.parametrize("error", [KeyboardInterrupt, OSError(28, "No space left on device")])
@pytest.mark.parametrize("step", ["write_bytes", "replace"])
def test_a_summary_cut_short_is_never_taken_for_the_one_before(two, tmp_path, monkeypatch, error, step):
    fresh, own = told(two), getattr(Path, step)
    once, folder = tmp_path / "once", tmp_path / "tables"
    told(two, keep_in=once)
    for stop in (1, 2, 4, 8, 11, 13):
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(once, folder)
        times = iter(range(1, 1000))

        def broken(self, *given, stop=stop, times=times):
            if self.name.endswith(".part") and next(times) == stop:
                raise error
            return own(self, *given)

        with monkeypatch.context() as patch, suppress(KeyboardInterrupt, OSError):
            patch.setattr(Path, step, broken)
            told(two, OTHERWISE, keep_in=folder)
        assert not list(folder.rglob("*.part"))
        assert told(two, keep_in=folder) == fresh, stop


def test_a_second_run_in_a_folder_is_refused_and_changes_nothing_of_the_first(two, tmp_path):
    pytest.importorskip("fcntl", reason="no locks of files here")
    fresh, folder = [told(two), told(two, OTHERWISE)], tmp_path / "tables"
    refused = []

    def begin_a_second(done, of):
        if done == of:  # all is kept, nothing read yet
            with pytest.raises(StartrollError, match="another roll-up writes into it") as caught:
                told(two, OTHERWISE, keep_in=folder)
            refused.append(caught.value)

    assert told(two, keep_in=folder, progress=begin_a_second) == fresh[0]
    assert [(p.remedy, p.place) for p in refused[0].problems] == [
        ("wait for its end, or name another folder", str(folder))
    ]
    assert told(two, OTHERWISE, keep_in=folder) == fresh[1]


def test_of_rules_of_one_name_the_first_plant_names_them_however_many_are_read_at_once(plants, monkeypatch):
    for number, path in enumerate(sorted(plants.glob("*.db"))):
        own = path.with_name(f"{path.stem}.site-rules") / "own"
        own.mkdir(parents=True)
        (own / "cable-short.yml").write_text(RULE.format(f"Too long for plant {number}"), encoding="utf-8")
        (own.parent / "taken-in.yml").write_text(TAKEN_IN, encoding="utf-8")
    titles = []
    for at_once in (2, 40):
        monkeypatch.setattr(kept_module, "AT_ONCE", at_once)
        titles += [rule.title for rule in told(plants).rules if rule.rule == "own/cable-short"]
    assert titles == ["Too long for plant 0 (the site's own rule)"] * 2
