"""Commands on starts, as a person types them."""

import json
import os
import re
import shlex
from pathlib import Path

import pytest
from fan import TAG, make
from sample_plant import Sample

from register.store.database import opened, writing

GUIDE = Path(__file__).parents[2] / "docs" / "guide" / "start-study.md"
EMPTY_WORDS = re.compile(r"\b(nan|None|inf|NaN|Inf)\b")
# All of the demo plant's positions take a minute or two; every so many are enough day by day.
EVERY = int(os.environ.get("STARTROLL_EVERY", "15"))


@pytest.fixture(scope="session")
def fan_bytes(tmp_path_factory):
    return make(tmp_path_factory.mktemp("fan") / "fan.db").read_bytes()


@pytest.fixture
def fan(tmp_path, monkeypatch, fan_bytes):
    path = tmp_path / "fan.db"
    path.write_bytes(fan_bytes)
    monkeypatch.setenv("STARTROLL_REGISTER", str(path))
    monkeypatch.chdir(tmp_path)
    yield path
    assert path.read_bytes() == fan_bytes, "a study is never saved"
    assert not list(tmp_path.glob("*-journal"))


@pytest.fixture(scope="session")
def demo_path(tmp_path_factory):
    return Sample("demo-plant", tmp_path_factory.mktemp("demo")).path


def flat(text):
    return " ".join(text.split())


def test_a_fan_limited_to_150_percent_does_not_turn(startroll, fan):
    ran = startroll("study", TAG)
    assert ran.code == 0
    assert "does not turn; lowest workable limit 4.20 × FLA (3.30 to 4.79)" in flat(ran.out)
    assert "1.5 × 1200 A is 2.52 × this motor's 715 A" in flat(ran.out)
    assert "Local codes and licensed practice decide" in flat(ran.out)
    assert max(map(len, ran.out.splitlines())) <= 80


def test_with_its_damper_shut_it_needs_3(startroll, fan):
    ran = startroll("study", TAG, "--try", "load_torque_pct=45")
    assert "lowest workable limit 3.00 × FLA (2.36 to 3.42)" in flat(ran.out)
    assert "Tried, and not in the register: load_torque_pct 45 %" in flat(ran.out)


def test_a_setting_that_works_can_be_tried(startroll, fan):
    tries = ("start_mode=direct", "load_torque_pct=45", "hot_stall_s=60 s", "device_trip_class=30")
    ran = startroll("study", TAG, *(word for text in tries for word in ("--try", text)))
    # Source: scipy's DOP853 in time on circuits written out separately: 17.67 s, with 15.37 and 23.21 s at the ends.
    low, high = re.search(r"time to full speed 17\.7 \((\S+) to (\S+)\) s", flat(ran.out)).groups()
    assert (float(low), float(high)) == pytest.approx((15.37, 23.21), rel=0.01)
    assert "starts" in ran.out and "does not turn" not in ran.out


def test_as_data_it_is_numbers_and_lists(startroll, fan):
    ran = startroll("study", TAG, "--try", "current_limit_xfla=5", "--json")
    data = json.loads(ran.out)
    figures = {f["name"]: f for f in data["start"]["figures"]}
    assert figures["time_s"]["low"] < figures["time_s"]["value"] < figures["time_s"]["high"]
    assert figures["overload"]["within"] is False
    course = data["start"]["course"]
    assert len(course["time_s"]) == len(course["current_xfla"]) > 50
    assert max(course["current_xfla"]) == pytest.approx(5)
    assert data["certainty"] == "B"


def test_pictures_are_kept_and_never_written_over(startroll, fan):
    for name in ("fan.svg", "fan.png"):
        assert startroll("study", TAG, "--picture", name).code == 0
        assert Path(name).stat().st_size > 10_000
    again = startroll("study", TAG, "--picture", "fan.svg")
    assert again.code == 2 and "something of that name already" in again.err
    assert startroll("window", TAG, "--picture", "window.png").code == 0
    wrong = startroll("window", TAG, "--picture", "window.pdf")
    assert wrong.code == 2 and "end it in .svg or .png" in wrong.err


def test_what_cannot_be_tried_is_told_all_at_once(startroll, fan):
    ran = startroll("study", TAG, "--try", "current_limit_xfla=99", "--try", "fla_amps=3", "--try", "price=4")
    assert (ran.code, ran.out) == (2, "")
    for words in ("cannot be believed", "did you mean fla_a", "no effect", "nothing was studied"):
        assert words in ran.err
    malformed = startroll("study", TAG, "--try", "ramp_s")
    assert malformed.code == 2 and "write it as" in malformed.err
    assert startroll("study", "F-65").code == 2
    assert "did you mean 'F-650'" in startroll("window", "F-65").err


def test_a_window_with_nothing_workable_says_what_would_help(startroll, fan):
    ran = startroll("window", TAG)
    assert ran.code == 0
    assert "No current limit is within all bounds." in ran.out
    assert "more heat than it withstands at every limit. What would help: unload the start" in flat(ran.out)


def test_a_window_marks_what_is_workable(startroll, fan):
    tries = ["hot_stall_s=60", "device_trip_class=40", "main_breaker_pickup_a=2000", "load_torque_pct=45"]
    tries.append("duty_code=AC-53b: 6-60 : 700")
    ran = startroll("window", TAG, *(word for t in tries for word in ("--try", t)))
    assert "Workable: 3.60 to 5.80 × FLA." in ran.out
    assert "Below 3.60: the overload may trip." in ran.out
    assert max(map(len, ran.out.splitlines())) <= 80


def test_a_bus_that_comes_back(startroll, fan):
    ran = startroll("restart", "SWB-1")
    assert ran.code == 0
    assert "lock and prove dead before reaching in" in flat(ran.out)
    assert "does not come up to speed" in flat(ran.out)
    assert startroll("restart", "SWB-9").code == 2
    data = json.loads(startroll("restart", "SWB-1", "--json").out)
    assert data["motors"][0]["begins_s"] is None


def test_the_starts_of_a_plant(startroll, demo_path):
    ran = startroll("starts", "-r", demo_path)
    assert ran.code == 0 and not EMPTY_WORDS.search(ran.out)
    every = int(re.search(r"(\d+) positions, each", ran.out).group(1))
    said = re.search(r"\n\n(\d+ start,.*?) can't\s+be\s+studied\.", ran.out, re.DOTALL).group(1)
    parts = [int(number) for number in re.findall(r"\d+", said)]
    assert "may stall" in flat(said)
    assert every == 180 == sum(parts)
    data = json.loads(startroll("starts", "-r", demo_path, "--bus", "MCC-21", "--json").out)
    assert {row["bus"] for row in data} == {"MCC-21"}
    none = startroll("starts", "-r", demo_path, "--measured-only")
    assert "can't be studied." in flat(none.out)


def test_a_plant_of_which_no_start_can_be_studied_has_no_empty_table(startroll, tmp_path):
    path = tmp_path / "bare.db"
    startroll("new", path, "--site", "Bare", "--practice", "us", "--frequency", "60")
    with opened(path, write=True) as db, writing(db, reason="walked", author="rk"):
        db.execute("INSERT INTO position (tag) VALUES ('Q-1'), ('Q-2')")
    out = startroll("starts", "-r", path).out
    assert "2 positions, each started alone" in out and "Outcome" not in out


def test_no_screen_shows_an_empty_word(startroll, demo_path):
    tags = [row["tag"] for row in json.loads(startroll("positions", "-r", demo_path, "--json").out)]
    for tag in tags[::EVERY]:
        for command in (("study", tag), ("study", tag, "--failover"), ("window", tag)):
            ran = startroll(*command, "-r", demo_path)
            assert ran.code == 0, (command, ran.err)
            assert not EMPTY_WORDS.search(ran.out), command
            assert max(map(len, ran.out.splitlines())) <= 80, command


def commands():
    blocks = re.findall(r"```sh\n(.*?)```", GUIDE.read_text(encoding="utf-8"), re.DOTALL)
    lines = [line.split("  #")[0].strip() for block in blocks for line in block.splitlines()]
    return [line for line in lines if line]


def test_every_command_of_the_guide_runs(startroll, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert len(commands()) > 8
    amperes = "".join(f"{t / 10},{170 if t < 230 else 30}\n" for t in range(300))
    (tmp_path / "start.csv").write_text(f"time_s,current_a\n{amperes}")
    points = "0,150,5.87\n50,135,5.4\n80,150,4.7\n92,210,3.6\n98.33,100,1\n"
    (tmp_path / "curve.csv").write_text(f"speed_pct,torque_pct,current_xfla\n{points}")
    for line in commands():
        words = shlex.split(line)
        if words[0] == "export":
            name, _, value = words[1].partition("=")
            monkeypatch.setenv(name, value)
            continue
        assert words[0] == "startroll", line
        ran = startroll(*words[1:])
        assert ran.code == 0, (line, ran.err)
        assert not EMPTY_WORDS.search(ran.out), line


def test_what_the_guide_quotes_is_what_the_study_says(startroll, demo_path):
    guide = flat(GUIDE.read_text(encoding="utf-8"))
    ran = flat(startroll("study", "P-2117", "-r", demo_path).out)
    band, torque, asked, notice, warm = (
        re.search(pattern, ran)[1]
        for pattern in (
            r"it (does not turn; lowest workable limit [\d.]+ × FLA \([\d.]+ to [\d.]+\))",
            r"gives (\d+ %) of its full-load torque",
            r"the load asks (\d+ %) to break away",
            r"overload notices after (\d+ to \d+ s from cold)",
            r"from cold, and after (\d+ s from full load)",
        )
    )
    for quoted in (
        f"*{band}*",
        f"this limit gives {torque} of full-load torque and the load asks {asked}",
        f"The overload needs {notice} to notice, and {warm};",
    ):
        assert quoted in guide


def test_a_bar_shows_on_a_terminal_only(capsys):
    from register.cli.waiting import progress, waiting

    with waiting("starts"), progress("Working") as told:
        told(1, 2)
        told(2, 2)
    assert capsys.readouterr() == ("", "")
