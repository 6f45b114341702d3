"""The command for what could go in the place of a device."""

from __future__ import annotations

from typing import Annotated

import typer

from register.cli.common import AsJson, MeasuredOptions, answer, with_options
from register.errors import Problem, StartrollError


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("candidates")(candidates)


@with_options
def candidates(
    options: MeasuredOptions,
    tag: Annotated[str | None, typer.Argument(help="Tag of the position.")] = None,
    failed: Annotated[bool, typer.Option("--failed", help="Every device marked failed.")] = False,
    top: Annotated[int, typer.Option(help="How many to show.", min=1)] = 5,
    in_store: Annotated[bool, typer.Option("--in-store", help="Only what lies in store.")] = False,
    area: Annotated[str | None, typer.Option(help="With --failed, only this area.")] = None,
    as_json: AsJson = False,
) -> None:
    """Show what could go in the place of a device: each tried there, judged, and ranked."""
    from register.planning.replace import of_register
    from register.reports.terminal import candidates as shown

    if (tag is None) != failed:
        raise StartrollError(Problem("either one position or all that failed", "startroll candidates TAG, or --failed"))
    with options.opened(area=area, write=False) as session:
        if tag is None:
            answer(of_register.for_failed(session, in_store=in_store), as_json, shown.of_failed)
        else:
            answer(of_register.candidates(session, tag, top=top, in_store=in_store), as_json, shown.at_position)
