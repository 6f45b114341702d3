"""Commands on positions: list, show, correct, move, history."""

from __future__ import annotations

from typing import Annotated

import typer

from register.cli.common import DEFAULT_REGISTER, Area, AsJson, By, Reason, RegisterPath, answer, author, say
from register.errors import Problem, StartrollError

OfLineup = Annotated[bool, typer.Option("--lineup", help="Of the lineup, where a position has its name too.")]
Tag = Annotated[str, typer.Argument(help="Tag of the position.")]


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("positions")(positions)
    app.command("show")(show)
    # Else -20 would be taken for an option, and ambients and altitudes can be negative.
    app.command("correct", context_settings={"ignore_unknown_options": True})(correct)
    app.command("record")(record)
    app.command("move")(move)
    app.command("history")(history)


def positions(
    area: Area = None,
    bus: Annotated[str | None, typer.Option(help="Only this bus or lineup.")] = None,
    register: RegisterPath = DEFAULT_REGISTER,
    as_json: AsJson = False,
) -> None:
    """List the positions with what is installed there."""
    from register.reports.terminal import positions as listing
    from register.store import queries
    from register.store.database import opened

    with opened(register) as db:
        answer(queries.positions(db, area=area, bus=bus), as_json, listing.positions, list)


def show(
    tag: Tag,
    register: RegisterPath = DEFAULT_REGISTER,
    show_all: Annotated[bool, typer.Option("--all", help="Show every column, with what is not known and why.")] = False,
    as_json: AsJson = False,
) -> None:
    """Show one position on one screen, or with --all every column of it."""
    from register.reports.terminal import positions as listing
    from register.reports.terminal.summary import summary
    from register.store import queries
    from register.store.database import opened

    with opened(register) as db:
        answer(queries.position(db, tag), as_json, listing.position if show_all else summary, dict)


def correct(
    tag: Annotated[str, typer.Argument(help="Tag of the position; for a column of a lineup, or its name.")],
    column: Annotated[str, typer.Argument(help="Column to set; docs/columns.md lists them.")],
    reason: Reason,
    value: Annotated[str | None, typer.Argument(help="The value, with or without unit.")] = None,
    blank: Annotated[
        str | None,
        typer.Option(help="Why there is no value: 'not surveyed', 'illegible', 'not published', 'not applicable'."),
    ] = None,
    sure: Annotated[bool, typer.Option("--sure", help="It is right, though it looks like a slip.")] = False,
    by: By = None,
    register: RegisterPath = DEFAULT_REGISTER,
) -> None:
    """Change one value at a position, with the reason."""
    if value and value.startswith("--"):
        raise StartrollError(Problem("no such option", "startroll correct --help", value))
    from register.intake import correct as edits
    from register.store.database import opened, writing

    with opened(register, write=True) as db, writing(db, reason=reason, author=author(by)) as number:
        before, after = edits.set_value(db, tag, column, value, blank_reason=blank, sure=sure)
    say(f"{tag} {column}: {before} → {after}; change-set {number}")


def record(
    tag: Annotated[str, typer.Argument(help="Tag of the position, or name of the lineup.")],
    check: Annotated[str, typer.Argument(help="What was checked: bump test, thermography, …")],
    result: Annotated[str, typer.Argument(help="passed, failed or not done.")],
    on: Annotated[str | None, typer.Option(help="Day it was done, YYYY-MM-DD.")] = None,
    value: Annotated[float | None, typer.Option(help="What was measured, in the unit of --unit.")] = None,
    unit: Annotated[str, typer.Option(help="Unit of that value: s, A, Mohm, …")] = "",
    note: Annotated[str, typer.Option(help="Anything worth reading later.")] = "",
    lineup: Annotated[bool, typer.Option("--lineup", help="Of the lineup, where a position has its name too.")] = False,
    by: By = None,
    register: RegisterPath = DEFAULT_REGISTER,
) -> None:
    """Enter that a check was done at a position or of a lineup."""
    from register.intake import correct as edits
    from register.store.database import opened, writing
    from register.store.queries import position_or_lineup

    who = author(by)
    with opened(register, write=True) as db, writing(db, reason=f"{check} done", author=who):
        subject = position_or_lineup(db, tag, lineup=lineup)
        said = edits.add_record(
            db, tag, check, result, subject=subject, on=on, by=who, note=note, value=value, unit=unit
        )
    say(said)


def move(
    asset: Annotated[str, typer.Argument(help="motor or device.")],
    serial: Annotated[str, typer.Argument(help="Its serial number.")],
    reason: Reason,
    to: Annotated[str | None, typer.Option(help="Tag it goes to; left out, it leaves.")] = None,
    on: Annotated[str | None, typer.Option(help="Day of the move, YYYY-MM-DD.")] = None,
    status: Annotated[str | None, typer.Option(help="in service, in store, failed, scrapped.")] = None,
    by: By = None,
    register: RegisterPath = DEFAULT_REGISTER,
) -> None:
    """Move a motor or a device to another position or into store; its history stays."""
    from register.intake import correct as edits
    from register.store.database import opened, writing

    with opened(register, write=True) as db, writing(db, reason=reason, author=author(by)):
        said = edits.move(db, asset, serial, to, on=on, status=status)
    say(said)


def history(
    tag: Annotated[str, typer.Argument(help="Tag of the position, or name of the lineup.")],
    lineup: Annotated[bool, typer.Option("--lineup", help="Of the lineup, where a position has its name too.")] = False,
    register: RegisterPath = DEFAULT_REGISTER,
    as_json: AsJson = False,
) -> None:
    """Show who changed what at a position or to a lineup, when and why."""
    from register.reports import json_data
    from register.reports.terminal import positions as listing
    from register.store.database import opened
    from register.store.history import lineup_history, position_history
    from register.store.queries import is_lineup

    with opened(register) as db:
        found = lineup_history(db, tag) if is_lineup(db, tag, lineup=lineup) else position_history(db, tag)
        answer(found, as_json, lambda entries: listing.history(tag, entries), json_data.rows)
