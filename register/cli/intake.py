"""The command that takes a plant's own list in."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from register.cli.common import DEFAULT_REGISTER, AsJson, By, RegisterPath, author, console, print_json


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("take-in")(take_in)


def take_in(
    sheets: Annotated[list[Path], typer.Argument(help="Lists to take in: CSV, XLSX or ODS.")],
    mapping: Annotated[Path | None, typer.Option(help="A saved mapping that answers what is doubtful.")] = None,
    save_mapping: Annotated[
        Path | None, typer.Option(help="Write the mapping used, with the open questions, here.")
    ] = None,
    refused: Annotated[
        Path | None, typer.Option(help="Write what was refused here, to correct and take in again.")
    ] = None,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Show the plan, change nothing.")] = False,
    all_or_nothing: Annotated[
        bool, typer.Option("--all-or-nothing", help="Change nothing if anything is refused.")
    ] = False,
    reason: Annotated[str, typer.Option(help="Why; kept in the history.")] = "list taken in",
    by: By = None,
    show_all: Annotated[bool, typer.Option("--all", help="Show every row.")] = False,
    register: RegisterPath = DEFAULT_REGISTER,
    as_json: AsJson = False,
) -> None:
    """Take a plant's own list in: recognise its headings and units, plan, then apply."""
    from register.intake.take_in import take_in as run
    from register.reports import json_data
    from register.reports.terminal import take_in as shown

    plan, applied = run(
        register,
        sheets,
        mapping=mapping,
        save_mapping=save_mapping,
        refused=refused,
        dry_run=dry_run,
        all_or_nothing=all_or_nothing,
        reason=reason,
        author=author(by),
    )
    if as_json:
        print_json(json_data.plan(plan, applied))
    else:
        console().print(shown.plan(plan, applied, most=None if show_all else shown.MOST))
