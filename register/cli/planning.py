"""Commands for when a starter fails: settings sheet, checklist, tonight on the bypass."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from register.cli.common import (
    DEFAULT_REGISTER,
    AsJson,
    MeasuredOptions,
    RegisterPath,
    Today,
    answer,
    asked_day,
    say,
    with_options,
)
from register.cli.starts import Tag

Device = Annotated[str | None, typer.Option(help="Serial of another device, to be installed instead.")]
Model = Annotated[str | None, typer.Option(help="A catalogue model, to be installed instead.")]
Html = Annotated[Path | None, typer.Option("--html", help="Write the sheet here too, as one page to print.")]


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("sheet")(sheet)
    app.command("checklist")(checklist)
    app.command("tonight")(tonight)


@with_options
def sheet(
    tag: Tag,
    options: MeasuredOptions,
    device: Device = None,
    model: Model = None,
    html: Html = None,
    as_json: AsJson = False,
) -> None:
    """Show how a device is set at a position, on what that rests, and how it is put in service."""
    from register.planning.settings.sheet import sheet as work_out
    from register.reports.sheet_page import page
    from register.reports.terminal import settings_sheet as shown
    from register.store.output_file import refuse_taken, write_new

    refuse_taken(html)
    with options.opened(write=False) as session:
        made = work_out(session, tag, device=device, model=model)
    if html is not None:
        write_new(html, page(made).encode())
        say(f"{html} holds the sheet, to print on one page.", err=True)
    answer(made, as_json, shown.sheet)


def checklist(
    tag: Tag,
    device: Device = None,
    model: Model = None,
    today: Today = None,
    register: RegisterPath = DEFAULT_REGISTER,
    as_json: AsJson = False,
) -> None:
    """Show the steps of putting a device in service, and which are outstanding."""
    from register.planning.settings.checklist import checklist as steps
    from register.reports.terminal import settings_sheet as shown
    from register.store import clock
    from register.store.database import opened

    day = asked_day(today)
    with opened(register) as db:
        made = steps(db, tag, device=device, model=model, today=day or clock.today(db))
    answer(made, as_json, shown.checklist)


@with_options
def tonight(tag: Tag, options: MeasuredOptions, as_json: AsJson = False) -> None:
    """Tell whether a load can run on its bypass tonight, and what that start does."""
    from register.planning.replace.tonight import tonight as ask
    from register.reports.json_data import plain
    from register.reports.terminal import tonight as shown

    with options.opened() as session:
        made = ask(session, tag)
    answer(made, as_json, shown.tonight, lambda t: {"answer": t.answer} | plain(t))
