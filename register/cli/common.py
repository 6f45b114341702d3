"""What several commands share: their options, the console, JSON on request."""

from __future__ import annotations

import getpass
import os
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Annotated, Any

import typer

from register.errors import Problem, StartrollError

RegisterPath = Annotated[
    Path, typer.Option("--register", "-r", envvar="STARTROLL_REGISTER", help="The register file.", show_default=True)
]
SiteRules = Annotated[Path | None, typer.Option("--site-rules", help="A folder of the site's own rules and limits.")]
Today = Annotated[str | None, typer.Option("--today", metavar="YYYY-MM-DD", help="Judge as on this day.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON, for a program to read.")]
By = Annotated[str | None, typer.Option("--by", help="Who makes the change; by default the login name.")]
Reason = Annotated[str, typer.Option("--reason", help="Why; kept in the history.")]

DEFAULT_REGISTER = Path("register.db")


def console():
    """A console that folds; bold and dim on a terminal, bare text in a pipe and with NO_COLOR."""
    from rich.console import Console

    from register.reports.terminal.safe_console import harmless

    bare = False if os.environ.get("NO_COLOR") else None
    return harmless(Console(highlight=False, soft_wrap=False, force_terminal=bare))


def print_json(value: Any) -> None:
    """Print a value as JSON."""
    from register.reports.json_data import written

    typer.echo(written(value))


def day(text: str | None) -> date:
    """The day asked for, or the one that it is where this computer stands."""
    return asked_day(text) or date.today()


def asked_day(text: str | None, option: str = "--today") -> date | None:
    """The day asked for; None when none was, and the site's own day counts."""
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise StartrollError(Problem(f"{text!r} is not a day", "write it as 2026-03-01", option)) from None


def author(by: str | None) -> str:
    """Who makes a change."""
    if by:
        return by
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return os.environ.get("USER", "")


@contextmanager
def progress_bar(title: str):
    """What is to be told of progress; it shows as a bar, on a terminal and where there is much."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    out = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    bar = Progress(*columns, console=out, transient=True, disable=not out.is_terminal)
    task = bar.add_task(title)

    def told(done: int, of: int) -> None:
        if done < of:
            bar.start()
        bar.update(task, completed=done, total=of)

    try:
        yield told
    finally:
        bar.stop()
