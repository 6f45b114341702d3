"""Commands for when a starter fails: settings sheet, checklist, tonight on the bypass."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from register.cli.audits import MeasuredOnly
from register.cli.common import DEFAULT_REGISTER, AsJson, RegisterPath, SiteRules, Today, console, day, print_json
from register.cli.starts import Tag

Device = Annotated[str | None, typer.Option(help="Serial of another device, to be installed instead.")]
Model = Annotated[str | None, typer.Option(help="A catalogue model, to be installed instead.")]
Html = Annotated[Path | None, typer.Option("--html", help="Write the sheet here too, as one page to print.")]


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("sheet")(sheet)
    app.command("checklist")(checklist)
    app.command("tonight")(tonight)


def sheet(
    tag: Tag,
    device: Device = None,
    model: Model = None,
    html: Html = None,
    measured_only: MeasuredOnly = False,
    site_rules: SiteRules = None,
    today: Today = None,
    register: RegisterPath = DEFAULT_REGISTER,
    as_json: AsJson = False,
) -> None:
    """Show how a device is set at a position, on what that rests, and how it is put in service."""
    from register.planning.settings.sheet import sheet as work_out
    from register.reports.json_starts import plain
    from register.reports.sheet_page import page
    from register.reports.terminal import settings_sheet as shown
    from register.store.output_file import refuse_taken, write_new

    refuse_taken(html)
    made = work_out(
        register, tag, device=device, model=model, today=day(today), site_rules=site_rules, measured_only=measured_only
    )
    if html is not None:
        write_new(html, page(made).encode())
        typer.echo(f"{html} holds the sheet, to print on one page.", err=True)
    if as_json:
        print_json(plain(made))
    else:
        console().print(shown.sheet(made))


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
    from register.reports.json_starts import plain
    from register.reports.terminal import settings_sheet as shown

    made = steps(register, tag, device=device, model=model, today=day(today))
    if as_json:
        print_json(plain(made))
    else:
        console().print(shown.checklist(made))


def tonight(
    tag: Tag,
    measured_only: MeasuredOnly = False,
    site_rules: SiteRules = None,
    today: Today = None,
    register: RegisterPath = DEFAULT_REGISTER,
    as_json: AsJson = False,
) -> None:
    """Tell whether a load can run on its bypass tonight, and what that start does."""
    from register.planning.replace.tonight import tonight as ask
    from register.reports.json_starts import plain
    from register.reports.terminal import tonight as shown

    made = ask(register, tag, today=day(today), site_rules=site_rules, measured_only=measured_only)
    if as_json:
        print_json({"answer": made.answer} | plain(made))
    else:
        console().print(shown.tonight(made))
