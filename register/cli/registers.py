"""Commands on the register as a file: new, backup, export, repair."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from register.cli.common import DEFAULT_REGISTER, By, RegisterPath, author, say


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("new")(new)
    app.command("backup")(backup)
    app.command("export")(export)
    app.command("repair")(repair)


def new(
    register: Annotated[Path, typer.Argument(help="The file to make.")],
    site: Annotated[str, typer.Option(help="Name of the plant.")],
    practice: Annotated[str, typer.Option(help="us or iec: the practice the plant follows.")],
    frequency: Annotated[float | None, typer.Option(help="Supply frequency, Hz.")] = None,
    altitude: Annotated[float | None, typer.Option(help="Altitude of the site, m.")] = None,
    ambient: Annotated[float | None, typer.Option(help="Highest usual ambient, °C.")] = None,
    time_zone: Annotated[str | None, typer.Option(help="Time zone of the site: America/Denver, Europe/Oslo.")] = None,
) -> None:
    """Make an empty register for a plant."""
    from register.store.database import create

    row = {
        "site": site,
        "practice": practice,
        "site_frequency_hz": frequency,
        "site_altitude_m": altitude,
        "site_ambient_c": ambient,
        "time_zone": time_zone,
    }
    create(register, row)
    say(f"{register} is the register of {site}. Next: startroll take-in LIST --register {register}")


def backup(
    target: Annotated[Path, typer.Argument(help="Where the copy goes; must not exist.")],
    register: RegisterPath = DEFAULT_REGISTER,
) -> None:
    """Copy the register to another file and check the copy."""
    from register.store.database import backup as make_backup

    say(f"{make_backup(register, target)} is a checked copy of {register}.")


def export(
    target: Annotated[Path, typer.Argument(help="A workbook (.xlsx) or a folder for CSV files.")],
    register: RegisterPath = DEFAULT_REGISTER,
) -> None:
    """Write the register out, in a form that take-in reads back unchanged."""
    from register.intake.export import export as write_out
    from register.store.database import opened

    with opened(register) as db:
        written = write_out(db, target)
    say(f"{written} holds the register; take-in reads it back unchanged.")


def repair(
    register: Annotated[Path, typer.Argument(help="The register's file.")] = DEFAULT_REGISTER, by: By = None
) -> None:
    """Put the register's own triggers and views back, where another program touched them."""
    from register.store.database import repair as put_back

    found = put_back(register, author=author(by))
    if not found:
        say(f"{register} has all its triggers and views; nothing was changed.")
        return
    for fault in found:
        say(f"{fault[0].upper()}{fault[1:]}.")
    say("All put back, and noted in the history. What was changed meanwhile is not in it: compare with a backup.")
