"""The `startroll` command: gathers the command families and turns errors into exit codes."""

from __future__ import annotations

import gc
import os
import signal
import sys
from typing import Annotated

import typer

import register
from register.cli.families import Jobs
from register.cli.typed import completed, given
from register.cli.waiting import waiting
from register.errors import INTERRUPTED, WRONG_USE, Problem, StartrollError
from register.reports.terminal.hint import GIVEN
from register.text import visible

app = typer.Typer(
    name="startroll",
    cls=Jobs,
    help="Motors and their starters: what is wrong, and what to do first.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


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


def _prepared() -> None:
    """Make the process ready for one command."""
    # A command makes many small objects, ends soon, and leaves hardly a circle of them to look for.
    gc.set_threshold(1_000_000)
    if hasattr(signal, "SIGPIPE"):
        # The reader of the pipe (head, less) may go away: nothing is wrong.
        signal.signal(signal.SIGPIPE, signal.SIG_DFL)
    for stream in (sys.stdout, sys.stderr):
        # A console without an arrow or a degree sign shows a question mark instead.
        stream.reconfigure(errors="replace")


def main() -> None:
    """Run the command line; a known error prints its problems and ends with its own code, an interrupt with 130."""
    try:
        try:
            _prepared()
            _run()
        finally:
            # While Python takes itself apart an interrupt would show its insides; it ends the process: 130 too.
            signal.signal(signal.SIGINT, signal.SIG_DFL)
    except KeyboardInterrupt:  # before or after the command proper
        raise SystemExit(INTERRUPTED) from None


def _run() -> None:
    root = typer.main.get_command(app)
    go_with = given(root, sys.argv[1:])
    token = GIVEN.set(go_with)
    try:
        with waiting(next((word for word in sys.argv[1:] if not word.startswith("-")), "")):
            root(prog_name="startroll")
    except StartrollError as error:
        print(completed(visible(str(error)), root, go_with), file=sys.stderr)
        raise SystemExit(error.exit_code) from None
    except UnicodeEncodeError as error:
        print(_not_text(error), file=sys.stderr)
        raise SystemExit(WRONG_USE) from None
    except OSError as error:
        print(_unforeseen(error), file=sys.stderr)
        # What could not be shown shall not be tried again at the end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise SystemExit(WRONG_USE) from None
    finally:
        GIVEN.reset(token)
        _tell()


def _tell() -> None:
    """Say once what is odd about the registers that were opened."""
    store = sys.modules.get("register.store.database")
    for notice in dict.fromkeys(store.NOTICES if store else ()):
        print(visible(str(notice)), file=sys.stderr)
    if store:
        store.NOTICES.clear()


def _not_text(error: UnicodeEncodeError) -> Problem:
    return Problem(f"what was typed is not whole text: {error.object!r}", "type it anew, in UTF-8", "command line")


def _unforeseen(error: OSError) -> Problem:
    """A disk that filled under `> file`, a folder that may not be entered."""
    cause = f"it cannot be used: {error.strerror or error}"
    return Problem(cause, "check its rights and the room there", str(error.filename or "output"))


if __name__ == "__main__":
    main()
