"""Each command on a tiny register: what it does, its JSON, its width, its exit code."""

import json
import os
import re
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
import typer

from register.cli.app import app
from register.resources import rules_folder
from register.rulebook.load.pack import load_pack
from register.store.database import opened, writing

DAY = ("--today", "2026-11-25")
VERDICT = ("explain", "P-1", "bypass/critical-has-bypass", *DAY)
FEEDER = rules_folder() / "line-protection/feeder-protection-within.yml"
SHOWN = {
    "positions": (("positions",), "2 positions"),
    "positions of an area": (("positions", "--area", "Wet end"), "1 position"),
    "show": (("show", "P-1"), "65 A"),
    "history": (("history", "P-1"), "walk"),
    "audit": (("audit", *DAY), "Oldmarrow Works, 25 November 2026: 2 positions"),
    "audit, measured": (("audit", "--measured-only", *DAY), "Measured values only"),
    "explain": (VERDICT, "bypass/critical-has-bypass"),
    "to-collect": (("to-collect", *DAY), "Data to collect"),
    "answer": (("answer", "--propose", *DAY), "No verdict waits"),
    "audits": (("audits",), "No audit was kept"),
    "concede list": (("concede", "list", *DAY), "No concession was asked for"),
    "actions list": (("actions", "list", *DAY), "Nothing was assigned"),
    "study": (("study", "P-1"), "Can't be studied"),
    "window": (("window", "P-1"), "Can't be studied"),
    "candidates": (("candidates", "--failed", *DAY), "No device at a position is marked failed"),
    "starts": (("starts",), "2 can't be studied"),
    "least-change": (("least-change", "P-1", *DAY), "Least change at P-1"),
    "tonight": (("tonight", "P-1", *DAY), "read bypass_arrangement"),
    "due": (("due", "--until", "2027-06-30", *DAY), "Due at Oldmarrow Works until 2027-06-30"),
    "conditions": (("conditions", *DAY), "nobody has recorded a look"),
    "intervals": (("intervals",), "thermography"),
    "year": (("year", *DAY), "Tasks that fell due"),
    "back-test": (("back-test", *DAY), "No audit was kept"),
    "spares": (("spares", *DAY), "No model is known to cover any position"),
    "plan": (("plan", "--budget", "1000", *DAY), "Nothing is replaced"),
    "rules list": (("rules", "list"), "bypass/critical-has-bypass"),
    "rules show": (("rules", "show", "bypass/critical-has-bypass"), "Requires"),
    "rules check": (("rules", "check"), "rules are sound"),
    "rules show, about a bus": (
        ("rules", "show", "line-protection/fault-current-believable"),
        ":fault_current_low_share",
    ),
    # All of its proofs of these rules: tests/rulebook/test_proofs.py and, for the answers, tests/planning/test_bounds.py.
    "rules prove": (("rules", "prove", "--only", "examples", "--only", "gaps"), "All of it is proved"),
    "rules try": (("rules", "try", str(FEEDER), *DAY), "Against the rule of that id"),
    "rules compare": (("rules", "compare", str(rules_folder()), *DAY), "Verdicts that move"),
    "rules pages": (("rules", "pages", "pages"), "pages written in pages"),
}
# fmt: off
WITH_JSON = (
    "least-change",
    "positions", "show", "history", "audit", "explain", "to-collect", "study", "window", "starts",
    "spares", "plan", "rules list", "rules show", "rules prove", "rules try", "rules compare",
)
# fmt: on
# fmt: off
DOING = {
    "new", "backup", "export", "repair", "take-in", "correct", "move", "record", "swap", "demo", "compare",
    "report", "review", "verify", "concede ask", "concede approve", "concede refuse",
    "concede withdraw", "actions assign", "actions close", "curve", "measured",
    "undo", "retire", "bring-back", "remove", "round", "labels", "crew-page", "plate", "key",
    "take-round", "merge",
}
# fmt: on
IN_TEST_STARTS = {"restart"}
IN_TEST_PLANNING = {"sheet", "checklist"}
IN_TEST_FLEET = {"fleet"}


def commands():
    """The name of every command that there is."""
    top = typer.main.get_command(app)
    families = {name for name, made in top.commands.items() if hasattr(made, "commands")}
    inner = {f"{f} {name}" for f in families for name in top.commands[f].commands}
    return set(top.commands) - families | inner


def test_every_command_is_tried_here():
    assert commands() <= DOING | IN_TEST_STARTS | IN_TEST_PLANNING | IN_TEST_FLEET | set(SHOWN)


@pytest.mark.parametrize("name", SHOWN)
def test_what_a_command_shows_fits_80_columns_and_is_bare_text(startroll, plant, name):
    typed, words = SHOWN[name]
    ran = startroll(*typed)
    assert ran.code == (1 if typed[0] == "audit" else 0), ran.err
    assert words in ran.out
    assert not ran.err
    # A command to paste is never folded nor cut.
    assert max(len(line) for line in ran.out.splitlines() if ": startroll " not in line) <= 80
    assert "\x1b" not in ran.out


@pytest.mark.parametrize("name", WITH_JSON)
def test_json_is_json_and_says_the_same(startroll, plant, name):
    typed, _ = SHOWN[name]
    ran = startroll(*typed, "--json")
    assert ran.code == (1 if name == "audit" else 0), ran.err
    made = json.loads(ran.out, parse_constant=lambda word: pytest.fail(f"{word} is no JSON"))
    assert made
    if name == "positions":
        assert [row["tag"] for row in made] == ["P-1", "P-2"]


def test_the_answers_are_among_what_is_proved(startroll, plant):
    assert "did you mean 'answers'" in startroll("rules", "prove", "--only", "answer").err


@pytest.mark.parametrize("name", sorted(commands() | {""}))
def test_help_fits_80_columns(startroll, name):
    ran = startroll(*name.split(), "--help")
    assert ran.code == 0
    assert "Usage: startroll" in ran.out
    assert max(map(len, ran.out.splitlines())) <= 80


def test_version_and_nothing_typed(startroll):
    assert re.fullmatch(r"startroll \d+\.\d+\.\d+\n", startroll("--version").out)
    ran = startroll()
    assert ran.code == 2 and "Usage: startroll" in ran.out + ran.err


# Commands that change or write something.


def test_a_register_is_made_filled_copied_and_written_out(startroll, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("STARTROLL_REGISTER", "mill.db")
    ran = startroll("new", "mill.db", "--site", "Fenwick Mill", "--practice", "iec")
    assert (ran.code, ran.err) == (0, "") and "Next: startroll take-in" in ran.out
    Path("list.csv").write_text("Tag,Area,kW\nM-1,Wet end,15\nM-2,Wet end,a lot\n")
    plan = startroll("take-in", "list.csv", "--dry-run", "--save-mapping", "answers.yml")
    assert plan.code == 0 and "nothing has been changed" in plan.out
    assert "No " not in startroll("positions").out and "0 positions" in startroll("positions").out
    ran = startroll("take-in", "list.csv", "--mapping", "answers.yml", "--refused", "again.xlsx")
    assert ran.code == 0 and "Taken in" in ran.out and "Refused: 1" in ran.out
    assert "Correct these in the list" in ran.out
    assert "2 positions" in startroll("positions").out
    assert Path("again.xlsx").exists()
    assert "checked copy" in startroll("backup", "copy.db").out
    assert "2 positions" in startroll("positions", "--register", "copy.db").out
    for target in ("out.xlsx", "out"):
        assert startroll("export", target).code == 0
        tables = json.loads(startroll("take-in", target, "--dry-run", "--json").out)["tables"]
        assert tables["position"] == {"added": 0, "changed": 0, "unchanged": 2}


def test_a_list_is_taken_back_and_a_position_retired_brought_back_and_removed(startroll, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("STARTROLL_REGISTER", "mill.db")
    startroll("new", "mill.db", "--site", "Fenwick Mill", "--practice", "iec")
    Path("list.csv").write_text("Tag,Service,kW\nM-1,Pump,15\nM-2,Fan,\n")
    assert "Taken in, change-set 1" in startroll("take-in", "list.csv").out
    assert "into store: motor unmarked motor at M-1" in startroll("retire", "M-1", "--reason", "pulled down").out
    assert "M-1 is back in service" in startroll("bring-back", "M-1", "--reason", "put up again").out
    ran = startroll("remove", "M-1", "--reason", "a mistake")
    assert ran.code != 0 and "startroll retire M-1" in ran.err
    assert "M-2 is removed" in startroll("remove", "M-2", "--reason", "a line of the list").out
    ran = startroll("undo", "1", "--reason", "the wrong plant")
    assert ran.code != 0 and "take that back first: startroll undo" in ran.err
    Path("more.csv").write_text("Tag,Service,kW\nM-7,Pump,15\n")
    startroll("take-in", "more.csv")
    assert "change-set 5 is taken back" in startroll("undo", "5", "--reason", "the wrong plant").out


def test_questions_are_asked_at_the_terminal(plant, tmp_path, monkeypatch):
    from typer.testing import CliRunner

    monkeypatch.chdir(tmp_path)
    Path("list.csv").write_text("Tag,HP,Starter\nP-8,5 hp,magic box\n")
    ran = CliRunner().invoke(app, ["take-in", "list.csv", "--ask", "--dry-run", "-r", str(plant)], input="5\n")
    assert ran.exit_code == 0, ran.output
    assert "'magic box' × 1" in ran.output and "0 questions stay open" in ran.output
    assert "magic box: drive" in Path("list.answers.yml").read_text()


def test_all_or_nothing_takes_nothing_when_anything_is_refused(startroll, plant):
    Path("list.csv").write_text("Tag,FLA\nP-7,65\nP-8,a lot\n")
    before = plant.read_bytes()
    ran = startroll("take-in", "list.csv", "--all-or-nothing")
    assert ran.code == 2 and "list.csv B3" in ran.err and "Nothing was taken in." in ran.err
    assert plant.read_bytes() == before


def test_a_value_is_corrected_blanked_and_told_with_who_and_why(startroll, plant):
    typed = ("correct", "P-1", "starts_per_hour", "6", "--reason", "counted", "--by", "rk")
    assert startroll(*typed).out.startswith("P-1 starts_per_hour: unknown → 6 an hour; change-set ")
    ran = startroll("correct", "P-1", "ambient_c", "-20 C", "--reason", "yard in winter")
    assert ran.code == 0 and ran.out.startswith("P-1 ambient_c: unknown → -20 °C; change-set ")
    ran = startroll("correct", "P-1", "fla_a", "--blank", "illegible", "--reason", "painted over")
    assert ran.out.startswith("P-1 fla_a: 65 A → unknown (illegible); change-set ")
    told = startroll("history", "P-1").out
    assert "rk: counted" in told and "painted over" in told


def test_what_correct_and_history_call_a_change_is_what_undo_takes_back(startroll, plant):
    typed = ("correct", "P-1", "starts_per_hour", "6", "--reason", "counted")
    number = startroll(*typed).out.rsplit(" ", 1)[1].strip()
    line = next(row for row in startroll("history", "P-1").out.splitlines() if "counted" in row)
    assert line.split()[1] == number
    entries = json.loads(startroll("history", "P-1", "--json").out)
    assert entries[-1]["change_set"] == int(number) and entries[-1]["after"] == 6
    ran = startroll("undo", number, "--reason", "at the wrong pump")
    assert "is taken back: 1 change" in ran.out and "1 changes" not in ran.out
    assert json.loads(startroll("show", "P-1", "--json").out)["tables"]["position"]["starts_per_hour"] is None


def test_a_motor_moves_and_its_history_goes_with_it(startroll, plant):
    ran = startroll("move", "motor", "M1", "--to", "P-2", "--on", "2026-03-01", "--reason", "swap")
    assert (ran.code, ran.out) == (0, "motor M1: P-1 → P-2, 2026-03-01\n")
    assert "M1" in startroll("show", "P-2").out


def test_a_device_is_swapped_and_what_is_owed_is_told(startroll, plant):
    Path("list.csv").write_text("Catalog No,Starter type\nS-40,soft starter\n")
    assert startroll("take-in", "list.csv").code == 0
    typed = (
        "swap",
        "P-1",
        "--out",
        "in-store",
        "--cause",
        "too small",
        "--model",
        "S-40",
        "--serial",
        "N-1",
        "--set",
        "ramp_s=12 s",
        "--on",
        "2026-03-01",
        "--by",
        "rk",
        *DAY,
    )
    dry = startroll(*typed, "--dry-run")
    assert (dry.code, dry.err) == (0, "") and "nothing has been changed" in dry.out
    assert "N-1" not in startroll("show", "P-1").out
    ran = startroll(*typed)
    assert ran.code == 0 and "no device was known at P-1" in ran.out
    assert "connections were verified" in ran.out and "prove dead" in ran.out
    assert max(map(len, ran.out.splitlines())) <= 80
    assert "N-1" in startroll("show", "P-1").out
    assert "rk: device swapped:" in startroll("history", "P-1").out
    again = startroll(*typed)
    assert again.code == 2 and "there is a device 'N-1' already" in again.err
    assert startroll("move", "device", "N-1", "--reason", "back", "--on", "2026-11-02").code == 0
    made = startroll("swap", "P-1", "--out", "failed", "--cause", "dead", "--in", "N-1", *DAY, "--json")
    assert json.loads(made.out)["tag"] == "P-1"


@pytest.fixture(scope="module")
def shown_demo(tmp_path_factory):
    """The folder that the first demo leaves, and all that it shows."""
    folder = tmp_path_factory.mktemp("demo") / "demo"
    typed = [sys.executable, "-m", "register.cli.app", "demo", folder]
    ran = subprocess.run(typed, capture_output=True, text=True, env={**os.environ, "COLUMNS": "80"})
    assert (ran.returncode, ran.stderr) == (0, "")
    return folder, ran.stdout


def test_the_demo_runs_and_runs_again(startroll, shown_demo, tmp_path):
    folder, out = shown_demo
    shutil.copytree(folder, tmp_path / "demo")
    again = startroll("demo", tmp_path / "demo")
    # Lines are folded by how long the folder's name is.
    assert again.code == 0
    texts = (again.out, tmp_path / "demo"), (out, folder)
    now, before = ("".join(text.split()).replace(str(where), "") for text, where in texts)
    assert now == before


def test_a_second_demo_keeps_the_first_and_says_so(startroll, shown_demo, tmp_path):
    folder = Path(shutil.copytree(shown_demo[0], tmp_path / "demo"))
    with sqlite3.connect(folder / "demo.db") as db:
        db.execute("UPDATE position SET description = 'my own words' WHERE tag = 'P-2117'")
    db.close()
    for turn in (1, 2):
        again = startroll("demo", folder)
        assert f"demo.db was there already: it is {folder / f'demo-{turn}.db'} from now on" in again.err
    with sqlite3.connect(folder / "demo-1.db") as db:
        assert db.execute("SELECT description FROM position WHERE tag = 'P-2117'").fetchone() == ("my own words",)
    db.close()


def test_a_check_is_entered(startroll, plant):
    ran = startroll("record", "P-1", "bump test", "passed", "--on", "2026-03-01", "--by", "rk")
    assert (ran.code, ran.err) == (0, "")
    assert "bump test" in startroll("show", "P-1").out


def test_a_check_of_a_lineup_is_entered_under_its_name(startroll, plant):
    with opened(plant, write=True) as db, writing(db, reason="list"):
        db.conn.execute("INSERT INTO bus (bus) VALUES ('MCC-1'), ('P-1')")
    ran = startroll("record", "MCC-1", "cleaning", "passed", "--on", "2026-03-01", "--by", "rk")
    assert (ran.code, ran.err, ran.out.strip()) == (0, "", "bus MCC-1: cleaning passed, 2026-03-01")
    assert "cleaning done" in startroll("history", "MCC-1").out
    # A position goes first where both have one name.
    assert startroll("record", "P-1", "cleaning", "passed", "--on", "2026-03-01").out.startswith("P-1: ")
    assert startroll("record", "P-1", "cleaning", "passed", "--on", "2026-03-01", "--lineup").out.startswith(
        "bus P-1: "
    )
    ran = startroll("record", "MCC-11", "cleaning", "passed", "--lineup")
    assert ran.code and "there is no lineup 'MCC-11'" in ran.err and "did you mean 'MCC-1'" in ran.err
    ran = startroll("record", "MCC-11", "cleaning", "passed")
    assert ran.code and "no position or lineup 'MCC-11'" in ran.err and "did you mean 'MCC-1'" in ran.err


# How an audit ends.


@pytest.fixture
def nothing_fails(startroll, plant):
    """A register where no rule fails and something is unknown."""
    with opened(plant, write=True) as db, writing(db, reason="sold"):
        db.conn.execute("DELETE FROM motor")
        db.conn.execute("DELETE FROM position WHERE tag = 'P-1'")
        db.conn.execute("UPDATE position SET starts_per_hour = 2")
        db.conn.execute(
            "INSERT INTO motor (motor, tag, power_kw, motor_voltage_v, fla_a, speed_rpm,"
            " service_factor) VALUES ('M2', 'P-2', 37.3, 460, 62, 1775, 1.15)"
        )
    report = json.loads(startroll("audit", "--json").out)
    assert not report["findings"]
    return startroll


def test_an_audit_without_findings_ends_with_0(nothing_fails):
    assert nothing_fails("audit").code == 0
    assert nothing_fails("audit", "--allow-unknown", "100").code == 0


def test_what_cannot_be_told_ends_with_3_when_it_is_not_allowed(nothing_fails):
    assert nothing_fails("audit", "--allow-unknown", "0").code == 3


def test_a_finding_ends_with_1_from_the_grade_asked_for(startroll, plant):
    assert startroll("audit").code == 1
    assert startroll("audit", "--allow-unknown", "0").code == 1
    report = json.loads(startroll("audit", "--json").out)
    gravest = {finding["grade"] for finding in report["findings"]}
    assert startroll("audit", "--grade", "major").code == ("major" in gravest)


def test_a_kept_audit_is_in_the_register(startroll, plant):
    assert startroll("audit", "--keep", "--by", "rk").code == 1
    with opened(plant) as db:
        assert db["audit"].count == 1 and db["verdict"].count == 2


# Where the output goes.


def on_a_terminal(plant, **env):
    """What `positions` writes on a terminal of 80 columns."""
    pty = pytest.importorskip("pty")
    leader, follower = pty.openpty()
    known = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "FORCE_COLOR")}
    typed = [sys.executable, "-m", "register.cli.app", "positions", "-r", str(plant)]
    subprocess.run(
        typed, stdout=follower, stderr=follower, check=True, env={**known, "TERM": "xterm", "COLUMNS": "80", **env}
    )
    os.close(follower)
    shown = os.read(leader, 65536)
    os.close(leader)
    return shown


def test_escape_codes_only_on_a_terminal_that_wants_them(plant):
    assert b"\x1b" in on_a_terminal(plant)
    assert b"\x1b" not in on_a_terminal(plant, NO_COLOR="1")


def test_a_reader_of_the_pipe_may_go_away(plant):
    with opened(plant, write=True) as db, writing(db, reason="walk"):
        rows = [(f"Q-{n}", "Pump") for n in range(1000)]
        db.conn.executemany("INSERT INTO position (tag, description) VALUES (?, ?)", rows)
    typed = [sys.executable, "-m", "register.cli.app", "positions", "--json", "-r", str(plant)]
    with subprocess.Popen(typed, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as ran:
        ran.stdout.readline()
        ran.stdout.close()
        assert ran.stderr.read() == b""


def test_a_console_without_an_arrow_shows_a_question_mark(plant):
    typed = [
        sys.executable,
        "-m",
        "register.cli.app",
        "correct",
        "P-1",
        "starts_per_hour",
        "6",
        "--reason",
        "counted",
        "-r",
        str(plant),
    ]
    env = {**os.environ, "PYTHONIOENCODING": "cp1252"}
    ran = subprocess.run(typed, capture_output=True, env=env)
    assert ran.stdout.replace(b"\r", b"") == b"P-1 starts_per_hour: unknown ? 6 an hour; change-set 2\n"


def test_a_lost_finding_ends_with_1_until_a_line_accepts_it(startroll, plant, tmp_path):
    new = tmp_path / "new"
    shutil.copytree(rules_folder(), new)
    (new / "nameplate/complete-for-starting.yml").unlink()
    typed = ("rules", "compare", rules_folder(), new, *DAY)
    ran = startroll(*typed)
    assert ran.code == 1 and "Findings lost" in ran.out and "--accepted" in ran.out
    lines = tmp_path / "accepted.yml"
    lines.write_text("- {rule: nameplate/complete-for-starting, reason: dropped, by: rk, on: 2026-01-01}")
    ran = startroll(*typed, "--accepted", lines)
    assert ran.code == 0 and "Accepted losses" in ran.out


def test_pages_of_a_site_s_rules_are_written(startroll, plant, tmp_path):
    assert startroll("rules", "pages", tmp_path / "out").code == 0
    page = tmp_path / "out/rules/line-protection/feeder-protection-within.md"
    assert "judged of each bus" in page.read_text(encoding="utf-8")


def test_a_bus_is_explained_by_its_name(startroll, plant):
    with opened(plant, write=True) as db, writing(db, reason="walk", author="rk"):
        db.execute("INSERT INTO bus (bus, fault_current_ka, lineup_withstand_ka) VALUES ('MCC-7', 42, 30)")
    ran = startroll("explain", "MCC-7", *DAY)
    assert ran.code == 0 and "lineup-withstands-fault" in ran.out and "overload/" not in ran.out
    ran = startroll("explain", "MCC-7", "line-protection/lineup-withstands-fault", *DAY)
    assert ran.code == 0 and "30 kA >= 42 kA" in ran.out
    of_buses = sum(rule.subject == "bus" for rule in load_pack().rules)
    assert f"1 bus × {of_buses} rules" in startroll("audit", "--all", *DAY).out


# Markup of the terminal library, ESC and CSI, a bell (which it drops), a right-to-left override, an emoji's name, a formula.
HOSTILE = "a[/] [red]b[/red] \x1b[2J\x9b2J\x07\u202ec :skull: =1+1"
STEERING = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069]")
SHOWN_AS = "a[/] [red]b[/red] ␛[2J\\u009b2J\\u202ec :skull: =1+1"


@pytest.fixture
def hostile(plant):
    """A register in which every text that a person or a list gave is hostile."""
    with opened(plant, write=True) as db, writing(db, reason=HOSTILE, author=HOSTILE, source_file=HOSTILE):
        for sql in (
            "UPDATE site SET site = :text",
            "INSERT INTO bus (bus, bus_description) VALUES (:text, :text)",
            "UPDATE position SET description = :text, area = :text, bus = :text, position_notes = :text",
            "INSERT INTO model (model, model_maker, device_kind) VALUES (:text, :text, 'soft starter')",
            "INSERT INTO device (device, model, tag) VALUES (:text, :text, 'P-1')",
            "UPDATE motor SET motor_maker = :text",
        ):
            db.execute(sql, {"text": HOSTILE})
    return plant


@pytest.mark.parametrize("name", SHOWN)
def test_text_of_the_register_is_text_in_every_command(startroll, hostile, name):
    typed, _ = SHOWN[name]
    ran = startroll(*typed)
    assert ran.code in (0, 1, 2) and "Traceback" not in ran.err
    assert not STEERING.search(ran.out + ran.err)
    if typed[0] in ("show", "audit"):
        assert SHOWN_AS in ran.out
    if name == "positions":  # cut to the width, on a terminal of 80 columns
        assert "a[/]" in ran.out


@pytest.mark.parametrize("name", WITH_JSON)
def test_text_of_the_register_is_escaped_in_json_and_whole(startroll, hostile, name):
    ran = startroll(*SHOWN[name][0], "--json")
    assert not STEERING.search(ran.out)
    if name in ("positions", "show"):
        assert json.dumps(HOSTILE) in json.dumps(json.loads(ran.out))


def test_there_is_one_door_to_the_terminal():
    """Whatever a command prints goes by `console`, `say` or `print_json`, which show what would steer a terminal."""
    cli = rules_folder().parent / "register" / "cli"
    doors = {"common.py", "app.py", "waiting.py"}
    for path in cli.glob("*.py"):
        if path.name not in doors:
            assert not re.search(r"typer\.echo\(|(?<![\w.>])print\((?!folded)", path.read_text("utf-8")), path.name
