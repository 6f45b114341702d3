"""Every command that a page shows can be typed so: it exists, with its arguments and options."""

import re
import shlex
from pathlib import Path

import pytest
import typer

from register.cli.app import app
from register.cli.help import PANELS, WITHIN

ROOT = Path(__file__).parents[2]
PAGES = sorted(
    path
    for path in (ROOT / "README.md", ROOT / "DEVELOPERS.md", ROOT / "samples/README.md", *(ROOT / "docs").rglob("*.md"))
    if path.name != "commands.md" and "rules" not in path.parts
)
LINE = r"(?m)^{}(startroll (?:.*\\\n)*.*)$"
ClickException = typer.BadParameter.__base__.__base__  # typer brings a click of its own


def shown(text):
    """The commands of a page: lines of their own, also folded ones, and those in backticks that give an option."""
    blocks = "".join(re.findall(r"(?ms)^```(?:sh|console|powershell)\n(.*?)^```", text))
    lines = [*re.findall(LINE.format(r"(?:\$ )?"), blocks), *re.findall(LINE.format(r"    (?:\$ )?"), text)]
    return [*lines, *re.findall(r"`(startroll [^`]* --[^`]*)`", text.replace("\n", " "))]


def refused(line):
    """Why a command line cannot be typed so; None where it can."""
    words = shlex.split(line.replace("\\\n", " "), comments=True)[1:]
    words = words[: next((place for place, word in enumerate(words) if word in ("|", ">", "&&")), None)]
    command, context = typer.main.get_command(app), None
    try:
        while hasattr(command, "commands"):
            if words and words[0].startswith("--"):
                return None  # of the program itself: --help, --version
            name, words = words[0], words[1:]
            found = command.get_command(context or command.make_context("startroll", ["demo"]), name)
            if found is None:
                return f"no command {name}"
            command = found
        command.make_context("startroll", words)
    except (ClickException, typer.Exit, IndexError) as error:
        return getattr(error, "message", "") or repr(error)
    return None


@pytest.mark.parametrize("page", PAGES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_commands_can_be_typed_so(page):
    lines = [line for line in shown(page.read_text(encoding="utf-8")) if "…" not in line]
    assert [(line, why) for line in lines if (why := refused(line))] == []


def test_how_do_i_leads_to_every_command():
    page = (ROOT / "docs" / "how-do-i.md").read_text(encoding="utf-8")
    commands = {name for panel in PANELS.values() for name in panel}
    assert [name for name in sorted(commands) if not re.search(rf"`startroll {name}\b", page)] == []
    assert set(WITHIN) <= commands


def test_a_command_that_cannot_be_typed_is_noticed():
    text = "    startroll audti\n\nsay `startroll show P-1 --al`\n\n```sh\nstartroll correct P-1 \\\n  fla_a\n```\n"
    assert all(refused(line) for line in shown(text))
    assert len(shown(text)) == 3
    assert refused("startroll concede approve 4 --reason x | head") is None
