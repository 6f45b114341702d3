"""The `startroll` command: gathers the command families and turns errors into exit codes."""

from __future__ import annotations

import os
import sys
from typing import Annotated

import typer

import register
from register.cli import audits, demo, intake, positions, registers, rules
from register.errors import StartrollError

app = typer.Typer(
    name="startroll",
    help="A register of every motor on a plant and of what starts it, audited by readable rules.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    add_completion=False,
    rich_markup_mode=None,
)
for family in (registers, intake, positions, audits, demo):
    family.add_to(app)
app.add_typer(rules.app, name="rules")


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"startroll {register.__version__}")
        raise typer.Exit


@app.callback()
def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    pass


def main() -> None:
    """Run the command line; a known error prints its problems and ends with its own code."""
    try:
        app()
    except StartrollError as error:
        print(error, file=sys.stderr)
        raise SystemExit(error.exit_code) from None
    except BrokenPipeError:
        # The reader of the pipe (head, less) went away: nothing is wrong.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise SystemExit(0) from None


if __name__ == "__main__":
    main()
