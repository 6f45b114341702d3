"""The command that runs the main job on the demo plant."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from register.cli.common import console, say

DEMO_DAY = date(2026, 11, 25)


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("demo")(demo)


def demo(
    ctx: typer.Context,
    folder: Annotated[Path, typer.Argument(help="Where the demo's register and sheets are put.")] = Path("demo"),
) -> None:
    """Take the demo plant's list in as it was found, audit it, print the report."""
    from register.cli import demo_plant as demonstration
    from register.cli.typed import given
    from register.reports.terminal import report as terminal
    from register.reports.terminal import take_in
    from register.reports.terminal.hint import GIVEN

    run = demonstration.run(folder, today=DEMO_DAY)
    for was, now in run.kept:
        say(f"{was} was there already: it is {now} from now on.", err=True)
    typed = ["--register", str(run.register), "--today", DEMO_DAY.isoformat()]
    GIVEN.set(given(ctx.find_root().command, typed))
    out = console()
    out.print(take_in.plan(run.plan, run.applied, most=6))
    terminal.show(run.report, out, most=12)
    out.print(f"\nThe register is {run.register}. Look around:", highlight=False)
    for line in demonstration.next_steps(run):
        out.print(f"  {line}", soft_wrap=True)
