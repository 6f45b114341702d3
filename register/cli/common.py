"""What several commands share: their options, the console, JSON on request."""

from __future__ import annotations

import functools
import getpass
import inspect
import os
import sys
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, get_type_hints

import typer

from register.errors import Problem, StartrollError
from register.text import visible

if TYPE_CHECKING:
    from register.audit.session import AuditRequest, Session

RegisterPath = Annotated[
    Path, typer.Option("--register", "-r", envvar="STARTROLL_REGISTER", help="The register file.", show_default=True)
]
SiteRules = Annotated[Path | None, typer.Option("--site-rules", help="A folder of the site's own rules and limits.")]
Today = Annotated[str | None, typer.Option("--today", metavar="YYYY-MM-DD", help="Judge as on this day.")]
MeasuredOnly = Annotated[bool, typer.Option("--measured-only", help="Use no assumed value for a missing value.")]
Area = Annotated[str | None, typer.Option(help="Only this area.")]
All = Annotated[bool, typer.Option("--all", help="Show every row.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON, for a program to read.")]
By = Annotated[str | None, typer.Option("--by", help="Who makes the change; by default the login name.")]
Reason = Annotated[str, typer.Option("--reason", help="Why; kept in the history.")]

DEFAULT_REGISTER = Path("register.db")
UNFOLDED = 4000  # so wide that a pipe gets every row on one line


@dataclass(frozen=True)
class AuditOptions:
    """The options of a command that judges: which register, by which rules, on which day."""

    register: RegisterPath = DEFAULT_REGISTER
    site_rules: SiteRules = None
    today: Today = None

    def request(self, area: str | None = None) -> AuditRequest:
        """What is asked of the audit."""
        from register.audit.session import AuditRequest

        return AuditRequest(today=asked_day(self.today), site_rules=self.site_rules, area=area)

    def opened(self, *, area: str | None = None, write: bool | None = None) -> AbstractContextManager[Session]:
        """The register, open for that audit."""
        from register.audit.session import session

        return session(self.register, self.request(area), write=write)


@dataclass(frozen=True)
class MeasuredOptions(AuditOptions):
    """The same, for a command that can do without assumed values."""

    measured_only: MeasuredOnly = False

    def request(self, area: str | None = None) -> AuditRequest:
        """What is asked of the audit."""
        return replace(super().request(area), measured_only=self.measured_only)


def with_options(command: Callable[..., None]) -> Callable[..., None]:
    """Return the command with the fields of its dataclass parameter as options of its own."""
    hints = get_type_hints(command, include_extras=True)
    parameters: list[inspect.Parameter] = []
    gathered: dict[str, Any] = {}
    for own in inspect.signature(command).parameters.values():
        if is_dataclass(kind := hints[own.name]):
            gathered[own.name] = kind
            types = get_type_hints(kind, include_extras=True)
            parameters += [own.replace(name=f.name, default=f.default, annotation=types[f.name]) for f in fields(kind)]
        else:
            parameters.append(own.replace(annotation=hints[own.name]))

    @functools.wraps(command)
    def run(**typed: Any) -> None:
        for name, kind in gathered.items():
            typed[name] = kind(**{f.name: typed.pop(f.name) for f in fields(kind)})
        command(**typed)

    keyword_only = [p.replace(kind=inspect.Parameter.KEYWORD_ONLY) for p in parameters]
    run.__signature__ = inspect.Signature(keyword_only)  # type: ignore[attr-defined]
    run.__annotations__ = {p.name: p.annotation for p in parameters}
    return run


def console():
    """A console that folds on a terminal only; colours there, bare text in a pipe and with NO_COLOR."""
    from rich.console import Console

    from register.reports.terminal.safe_console import Trimmed, harmless

    if sys.stdout.isatty() and not os.environ.get("NO_COLOR"):
        return harmless(Console(highlight=False, soft_wrap=False, markup=False, emoji=False))
    width = None if sys.stdout.isatty() or os.environ.get("COLUMNS") else UNFOLDED
    return harmless(
        Console(
            file=Trimmed(sys.stdout),
            width=width,
            highlight=False,
            soft_wrap=False,
            force_terminal=False,
            markup=False,
            emoji=False,
        )
    )


def say(text: str, *, err: bool = False) -> None:
    """Print a sentence; what steers a terminal in it is seen and not obeyed."""
    typer.echo(visible(text), err=err)


def print_json(value: Any) -> None:
    """Print a value as JSON."""
    from register.reports.json_data import written

    typer.echo(written(value))


def answer(made: Any, as_json: bool, show: Callable[[Any], Any], data: Callable[[Any], Any] | None = None) -> None:
    """Print what a command made: as JSON, of `data` or else of all its fields, or as `show` lays it out."""
    from register.reports.json_data import plain

    if as_json:
        print_json((data or plain)(made))
    else:
        console().print(show(made), crop=False)  # a command to paste is never cut


def asked_day(text: str | None) -> date | None:
    """The day asked for with --today; None when none was, and the site's own day counts."""
    return None if text is None else day(text, "--today")


def day(text: str, option: str) -> date:
    """The day that an option names."""
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
