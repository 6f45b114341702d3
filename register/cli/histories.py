"""The command that shows the history of a position."""

from __future__ import annotations

from typing import Annotated

import typer

from register.cli.common import DEFAULT_REGISTER, AsJson, RegisterPath, console, print_json


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("history")(history)


def history(
    tag: Annotated[str, typer.Argument(help="Tag of the position.")],
    register: RegisterPath = DEFAULT_REGISTER,
    as_json: AsJson = False,
) -> None:
    """Show who changed what at a position, when and why."""
    from dataclasses import asdict

    from register.reports import listing
    from register.store.database import opened
    from register.store.past import position_history

    with opened(register) as db:
        entries = position_history(db, tag)
    if as_json:
        print_json([asdict(entry) for entry in entries])
    else:
        console().print(listing.history(tag, entries))
