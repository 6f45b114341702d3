"""The help as a person looks for it: commands by job, one line each that fits, and examples that run."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Any

import typer
from typer.core import TyperGroup

from register.cli.examples import EXAMPLES

PANELS: dict[str, dict[str, str]] = {
    "Begin": {
        "demo": "try it on a sample plant",
        "new": "make an empty register",
        "take-in": "take in a plant's own list",
    },
    "Look": {
        "positions": "list positions",
        "show": "one position on one screen",
        "history": "who changed what, when and why",
    },
    "Audit": {
        "audit": "judge all positions; what to do first",
        "explain": "one verdict: values, limit, reason",
        "report": "page, workbook, JSON, log for build servers",
    },
    "Collect": {
        "to-collect": "what to read next, and where",
        "answer": "values for a whole group of positions",
        "round": "a walk through the plant, to fill in",
        "labels": "QR labels for positions",
        "plate": "values from a nameplate's photograph",
    },
    "Take back": {
        "take-round": "what was answered in the plant",
        "merge": "a copy of the register that was taken along",
    },
    "Motor starts": {
        "starts": "every start of a plant or a lineup",
        "study": "one start: time, current, dip, heat",
        "window": "current limits that work",
        "restart": "voltage dip at re-start after a power dip",
        "curve": "enter a maker's torque and current curve",
        "measured": "enter a start that was recorded",
    },
    "When one fails": {
        "tonight": "can the load run on its bypass?",
        "candidates": "what fits in its place",
        "swap": "record a replaced starter",
        "sheet": "settings to enter",
        "checklist": "steps of putting in service",
        "least-change": "fewest settings that clear findings",
    },
    "Change": {
        "correct": "one value, with the reason",
        "record": "a check that was done",
        "move": "a motor or starter",
        "undo": "take a change-set back, as one",
        "retire": "a position that is no more, with its history",
        "bring-back": "a retired position",
        "remove": "a position made by mistake",
    },
    "Year's work": {
        "due": "tasks, actions, concessions that fall due",
        "crew-page": "a crew's day: work, tools, boxes to fill in",
        "conditions": "condition of each position, 1 to 3, and why",
        "intervals": "how often each task, and by which source",
        "year": "done on time, what each task found",
        "back-test": "failures that followed findings, counted",
    },
    "Year's review": {
        "audits": "kept audits",
        "compare": "what changed between two",
        "concede": "accept a finding until a date",
        "actions": "who corrects what, by when",
        "review": "the pack to sign",
        "verify": "a pack, or a register's history, is unchanged",
        "key": "make the key that signs packs",
    },
    "Many plants": {"fleet": "many registers judged and put together"},
    "Plan": {"spares": "which to hold, how many", "plan": "replacements by year and budget"},
    "Rules": {"rules": "read, check, prove, try"},
    "Keep safe": {
        "backup": "copy and check the register",
        "export": "write it out, to be taken in again",
        "repair": "put triggers and views back",
    },
}
WITHIN: dict[str, dict[str, str]] = {
    "rules": {
        "list": "the rules in force",
        "show": "one rule whole: requirement, limits, why, examples",
        "check": "every rule and limit, and the rules' examples",
        "prove": "what can be proved of the rules",
        "try": "what a rule would find, before it counts",
        "compare": "two versions of the rules on a register",
        "pages": "write a page for each rule, and an index",
    },
    "concede": {
        "ask": "ask that a finding be accepted until a date",
        "approve": "approve one that someone else asked for",
        "refuse": "refuse one",
        "withdraw": "end one",
        "list": "those asked for, and how each stands",
    },
    "actions": {
        "assign": "give a finding to someone, with a due day",
        "close": "say that it is corrected, with the evidence",
        "list": "what is open, late, done",
    },
}
TITLE, NAME, WIDTH = 15, 15, 80


class Grouped(TyperGroup):
    """A group whose commands stand by job; each command's help ends with its examples."""

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Write a line a command, under the name of its job."""
        within = WITHIN.get(self.name or "")
        bold = typer.style if within is None and not os.environ.get("NO_COLOR") else _plain
        formatter.write("\n")
        for title, lines in ({"Commands": within} if within else PANELS).items():
            for place, (name, line) in enumerate(lines.items()):
                panel = f"{title if not place else '':<{TITLE}}"
                formatter.write(f"{bold(panel, bold=True) if not place else panel}{name:<{NAME}}{line}\n")

    def format_epilog(self, ctx: Any, formatter: Any) -> None:
        """Write what to ask next."""
        name = ctx.command_path
        formatter.write(f"\n{name} COMMAND --help   what it takes, with an example\n")
        if self.name not in WITHIN:
            formatter.write(f"{name} --install-completion   complete commands and tags with Tab\n")

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """The command, with its examples below its help and its tags completed."""
        command = super().get_command(ctx, cmd_name)
        if command is not None and not hasattr(command, "commands"):
            path = (self.name, cmd_name) if self.name in WITHIN else (cmd_name,)
            shown = EXAMPLES.get(" ".join(path), ())
            lines = "\n".join(folded(f"startroll {line}") for line in shown)
            command.epilog = f"\b\nFor example:\n{lines}" if shown else None
            for parameter in command.params:
                if parameter.name == "tag":
                    parameter._custom_shell_complete = _tags
        return command


def folded(command: str) -> str:
    r"""A command as it is shown: broken before an option where it is too long, so that it can still be pasted.

    >>> print(folded("startroll show P-1 --all"))
      startroll show P-1 --all
    >>> folded("startroll " + "x" * 60 + " --register plant.db").count(" \\\n")
    1
    """
    lines = [""]
    for part in re.split(r" (?=--)", command):
        if lines[-1] and len(lines[-1]) + len(part) > WIDTH - 8:
            lines.append(part)
        else:
            lines[-1] = f"{lines[-1]} {part}".strip()
    return "  " + " \\\n      ".join(lines)


def _plain(text: str, **_: bool) -> str:
    return text


def _tags(ctx: Any, _: Any, incomplete: str) -> list[Any]:
    """The tags that begin so, of the register that is named or found; none where there is no register."""
    from typer._click.shell_completion import CompletionItem

    from register.errors import StartrollError
    from register.store.database import opened

    place = ctx.params.get("register") or os.environ.get("STARTROLL_REGISTER") or "register.db"
    try:
        with opened(Path(place)) as db:
            rows = db.execute("SELECT tag FROM position WHERE substr(tag, 1, ?) = ?", [len(incomplete), incomplete])
            return [CompletionItem(tag) for (tag,) in rows]
    except StartrollError:
        return []
