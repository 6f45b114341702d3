"""Commands that end a finding: a device swapped in one step, the least change of settings."""

from __future__ import annotations

from typing import Annotated

import typer

from register.cli.common import AsJson, AuditOptions, By, MeasuredOptions, answer, author, with_options
from register.cli.waiting import progress
from register.errors import Problem, StartrollError

Tag = Annotated[str, typer.Argument(help="Tag of the position.")]
Set = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="COLUMN=VALUE", help="A setting as it was left; may be given again."),
]


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("swap")(swap)
    app.command("least-change")(least_change)


@with_options
def swap(
    tag: Tag,
    out: Annotated[str, typer.Option(metavar="failed|in-store", help="Where the old one goes.")],
    cause: Annotated[str, typer.Option(help="What was found; kept as an event.")],
    options: AuditOptions,
    stored: Annotated[str, typer.Option("--in", help="Serial of the one from store.")] = "",
    model: Annotated[str, typer.Option(help="Or the catalogue number of a new one ...")] = "",
    serial: Annotated[str, typer.Option(help="... and its serial number.")] = "",
    sets: Set = None,
    mode: Annotated[str, typer.Option(help="Failure mode, ISO 14224 letters: FTS, BRD, ...")] = "",
    on: Annotated[str, typer.Option(help="Day of the swap, YYYY-MM-DD.")] = "",
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Show it, change nothing.")] = False,
    by: By = None,
    as_json: AsJson = False,
) -> None:
    """Record a swapped device in one step, and show what is outstanding before it may run."""
    from register.intake.replace_device import Swap, values_of
    from register.planning.replace.swap import swap_at
    from register.reports.terminal.swap import swapped

    who = author(by)
    asked = Swap(
        tag=tag,
        out=out.replace("-", " "),
        cause=cause,
        stored=stored,
        model=model,
        serial=serial,
        values=values_of(sets or ()),
        on=on,
        by=who,
        mode=mode,
    )
    with options.opened(write=True) as session:
        made = swap_at(session, asked, author=who, dry=dry_run)
    answer(made, as_json, swapped)


@with_options
def least_change(
    options: MeasuredOptions,
    tag: Annotated[str | None, typer.Argument(help="Tag of the position.")] = None,
    failed_majors: Annotated[bool, typer.Option("--failed-majors", help="Every position that fails a major.")] = False,
    as_json: AsJson = False,
) -> None:
    """Find the fewest settings, or else the device, that clear the failed majors of a position."""
    from register.planning.settings.clearing import least_changes
    from register.reports.terminal.least_change import least_changes as shown

    if (tag is None) != failed_majors:
        raise StartrollError(Problem("no position is named", "name one TAG, or give --failed-majors alone"))
    with progress("Trying changes") as told, options.opened(write=False) as session:
        made = least_changes(session, [tag] if tag else [], progress=told)
    answer(made, as_json, shown)
