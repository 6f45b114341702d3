"""The help by job, completion by Tab, hints that work when they are pasted."""

import os
import re
import shlex
import subprocess
import sys

import pytest
import typer

from register.cli.app import app
from register.cli.examples import EXAMPLES
from register.cli.families import FAMILIES, GROUPS, family_of
from register.cli.help import PANELS, WITHIN

ROOT = typer.main.get_command(app)


def _names():
    families = {name for name, made in ROOT.commands.items() if hasattr(made, "commands")}
    inner = {f"{f} {name}" for f in families for name in ROOT.commands[f].commands}
    return families, set(ROOT.commands) - families | inner


def test_the_help_names_every_command_once_by_job_and_demo_first(startroll):
    families, _ = _names()
    assert sorted(name for panel in PANELS.values() for name in panel) == sorted(ROOT.commands)
    assert {f: set(WITHIN[f]) for f in families} == {f: set(ROOT.commands[f].commands) for f in families}
    text = startroll("--help").out
    panels = "Begin " + text.partition("Begin ")[2].partition("\nstartroll COMMAND")[0]
    listed = re.findall(r"^.{15}([a-z-]+) +\S", panels, re.MULTILINE)
    assert listed == [name for panel in PANELS.values() for name in panel] and listed[0] == "demo"
    assert "..." not in panels and max(map(len, text.splitlines())) <= 80


def test_every_command_has_an_example_that_its_help_shows(startroll):
    _, names = _names()
    assert set(EXAMPLES) == names
    for name, lines in EXAMPLES.items():
        assert all(line.split()[: len(name.split())] == name.split() for line in lines), name
    flat = re.sub(r" \\\n +", " ", startroll("swap", "--help").out)
    assert f"startroll {EXAMPLES['swap'][0]}" in flat


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_tab_completes_commands_and_tags(plant, shell):
    def completed(line):
        words = line.split(" ")
        env = os.environ | {
            "_STARTROLL_COMPLETE": f"complete_{shell}",
            "COMP_WORDS": line,
            "_TYPER_COMPLETE_ARGS": line,
        }
        env |= {"COMP_CWORD": str(len(words) - 1), "_TYPER_COMPLETE_FISH_ACTION": "get-args"}
        typed = "import sys; sys.argv = ['startroll']; from register.cli.app import main; main()"
        return subprocess.run([sys.executable, "-c", typed], env=env, capture_output=True, text=True).stdout

    assert "to-collect" in completed("startroll to")
    tags = completed("startroll show P-")
    assert "P-1" in tags and "P-2" in tags


SHOWS = (
    "audit",
    "explain P-2117 settings/limit-enough-to-start",
    "to-collect",
    "show P-2117",
    "starts --bus MCC-21",
    "study P-2117",
    "audits",
    "concede list",
    "actions list",
)


@pytest.fixture(scope="session")
def mill(tmp_path_factory):
    """The demo plant, in a place whose name has a blank."""
    from register.cli import demo_plant
    from register.cli.demo import DEMO_DAY

    return demo_plant.run(tmp_path_factory.mktemp("the mill"), today=DEMO_DAY).register


def _hints(text):
    """The commands that stand behind a label at the beginning of a line."""
    return re.findall(r"^(?:[A-Z][\w ]*: )(startroll .+)$", text, re.MULTILINE)


def test_every_hint_works_where_it_is_pasted(startroll, mill, monkeypatch, tmp_path):
    """In another folder, without the environment: the register and the day come with the hint."""
    monkeypatch.delenv("STARTROLL_REGISTER", raising=False)
    monkeypatch.chdir(tmp_path)
    pasted = {}
    for line in SHOWS:
        command = ROOT.commands[line.split()[0]]
        if hasattr(command, "commands"):
            command = command.commands[line.split()[1]]
        takes = {name for parameter in command.params for name in parameter.opts}
        day = ["--today", "2026-11-25"] if "--today" in takes else []
        ran = startroll(*line.split(), "-r", mill, *day)
        assert ran.code in (0, 1), ran.err
        for hint in _hints(ran.out):
            pasted[hint] = line
    assert len(pasted) >= 3
    for hint, line in pasted.items():
        assert f"--register '{mill}'" in hint or str(mill) in hint, (line, hint)
        again = startroll(*shlex.split(hint)[1:])
        assert again.code in (0, 1) and not again.err, (line, hint, again.err)


def test_a_remedy_has_the_register_too(startroll, mill, monkeypatch, tmp_path):
    monkeypatch.delenv("STARTROLL_REGISTER", raising=False)
    ran = startroll("explain", "NO-1", "overload/present", "-r", mill, "--today", "2026-11-25")
    assert ran.code == 2
    assert f"startroll positions --register '{mill}'" in ran.err


def test_a_pipe_gets_whole_lines_without_blanks_at_their_ends(mill):
    env = {name: value for name, value in os.environ.items() if name != "COLUMNS"}
    typed = [sys.executable, "-m", "register.cli.app", "positions", "-r", str(mill)]
    out = subprocess.run(typed, capture_output=True, text=True, env=env, check=True).stdout
    assert re.search(r"^A-1141 .*No 1 chip washer agitator.*across-the-line$", out, re.MULTILINE)
    assert not re.search(r" $", out, re.MULTILINE)


@pytest.mark.parametrize("family", FAMILIES)
def test_a_family_has_the_commands_by_which_it_is_found(family):
    assert set(family_of(family)) == set(FAMILIES[family])


def test_help_loads_no_command():
    code = "import sys; sys.argv = ['startroll', '--help']; from register.cli.app import main\ntry: main()\nfinally: "
    code += "print(*(name for name in sys.modules if name.startswith('register.cli.')), file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = {name.rpartition(".")[2] for name in done.stderr.split()}
    assert "families" in loaded and not loaded & {*FAMILIES, *GROUPS.values()}
