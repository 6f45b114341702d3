"""Sheet, checklist and tonight, as a person types them."""

import json
import os
import re
import shlex
from pathlib import Path

import pytest
from sample_plant import Sample

GUIDE = Path(__file__).parents[2] / "docs" / "guide" / "when-a-starter-fails.md"
DAY = ("--today", "2026-11-25")
EMPTY_WORDS = re.compile(r"\b(nan|None|inf|NaN|Inf)\b")


@pytest.fixture(scope="session")
def demo_bytes(tmp_path_factory):
    return Sample("demo-plant", tmp_path_factory.mktemp("demo")).path.read_bytes()


@pytest.fixture
def demo(tmp_path, monkeypatch, demo_bytes):
    path = tmp_path / "demo.db"
    path.write_bytes(demo_bytes)
    monkeypatch.setenv("STARTROLL_REGISTER", str(path))
    monkeypatch.chdir(tmp_path)
    return path


def flat(text):
    return " ".join(text.split())


def last_column(text):
    at = next(line.index("Recorded") for line in text.splitlines() if "Recorded" in line)
    return " ".join(line[at:] for line in text.splitlines())


@pytest.mark.parametrize(
    ("tag", "answer", "said"),
    [
        ("M-1110", "can", "The load can run on its bypass."),
        ("M-2114", "cannot", "The load cannot run on its bypass"),
        ("A-2105", "cannot", "The load cannot run on its bypass"),
        ("C-1103", "can't tell", "is unknown: read bypass_arrangement"),
    ],
)
def test_tonight_answers_in_its_first_lines(startroll, demo, tag, answer, said):
    if answer == "can't tell":
        taken_back = startroll("correct", tag, "bypass_arrangement", "unknown", "--reason", "walk", "--by", "rk")
        assert taken_back.code == 0
    ran = startroll("tonight", tag, *DAY)
    assert ran.code == 0
    assert said in flat(ran.out)[:300]
    assert "local codes and licensed practice come first" in flat(ran.out)
    assert max(map(len, ran.out.splitlines())) <= 80
    assert not EMPTY_WORDS.search(ran.out)
    assert json.loads(startroll("tonight", tag, *DAY, "--json").out)["answer"] == answer


def test_a_sheet_is_shown_and_kept_and_never_written_over(startroll, demo):
    ran = startroll("sheet", "A-2106", *DAY, "--html", "a.html")
    assert ran.code == 0
    assert "prove dead" in flat(ran.out)
    assert max(map(len, ran.out.splitlines())) <= 80
    assert not EMPTY_WORDS.search(ran.out)
    page = Path("a.html").read_bytes()
    again = startroll("sheet", "A-2106", *DAY, "--html", "a.html")
    assert again.code == 2 and "something of that name already" in again.err
    assert Path("a.html").read_bytes() == page


def test_as_data_each_line_has_value_unit_and_what_it_rests_on(startroll, demo):
    data = json.loads(startroll("sheet", "A-2106", *DAY, "--json").out)
    lines = {line["column"]: line for line in data["lines"]}
    # Source: arithmetic, the nameplate current of samples/demo-plant/motor.csv.
    assert lines["device_overload_set_a"]["value"] == 59.0
    assert lines["device_overload_set_a"]["unit"] == "A"
    assert {"hot_stall_s"} <= {i["column"] for i in lines["device_trip_class"]["based_on"]}
    assert all(i["origin"] for line in lines.values() for i in line["based_on"])


@pytest.mark.parametrize("command", ["sheet", "checklist", "tonight"])
def test_mistakes_name_the_nearest(startroll, demo, command):
    ran = startroll(command, "A-21O6", *DAY)
    assert (ran.code, ran.out) == (2, "")
    assert "did you mean" in ran.err
    assert "Traceback" not in ran.err


@pytest.mark.parametrize("command", ["sheet", "checklist"])
def test_a_place_without_a_device_asks_for_one(startroll, plant, command):
    ran = startroll(command, "P-1", *DAY)
    assert ran.code == 2 and "no device is installed at P-1" in ran.err
    assert "--device SERIAL, or --model ID" in ran.err


def test_of_next_to_nothing_tonight_can_t_be_told(startroll, plant):
    ran = startroll("tonight", "P-2", *DAY)
    assert ran.code == 0 and "is unknown: read bypass_arrangement" in flat(ran.out)


def test_what_was_measured_is_recorded_and_shown(startroll, demo):
    entered = startroll(
        "record", "A-2106", "load test", "passed", "--value", "2.1", "--unit", "s", "--on", "2026-11-24", "--by", "mh"
    )
    assert (entered.code, entered.out) == (0, "A-2106: load test passed, 2.1 s, 2026-11-24\n")
    assert "done: passed, 2.1 s, 2026-11-24, mh" in flat(last_column(startroll("checklist", "A-2106", *DAY).out))
    half = startroll("record", "A-2106", "load test", "passed", "--value", "2.1")
    assert half.code == 2 and "--value 2.1 --unit s" in half.err


def test_every_command_of_the_guide_runs(startroll, demo, tmp_path):
    """What tries devices at every failing position is tried on the small plant; with STARTROLL_EXAMPLES on this one."""
    lines = re.findall(r"^startroll .*$", GUIDE.read_text(encoding="utf-8"), re.M)
    ran = [line for line in lines if not line.startswith("startroll demo")]
    assert len(ran) >= 6
    for line in ran:
        typed = shlex.split(line)[1:]
        if "--failed-majors" in typed and "STARTROLL_EXAMPLES" not in os.environ:
            typed += ["--register", Sample("small-plant", tmp_path).path]
        assert startroll(*typed).code == 0, line
