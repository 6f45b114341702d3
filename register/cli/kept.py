"""Commands on audits that were kept: list them, show one again, compare two."""

from __future__ import annotations

from typing import Annotated

import typer

from register.cli.common import DEFAULT_REGISTER, AsJson, RegisterPath, console, print_json

All = Annotated[bool, typer.Option("--all", help="Show every row.")]


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("audits")(audits)
    app.command("compare")(compare)


def audits(
    audit: Annotated[
        str | None, typer.Argument(help="Number or day of one, to be shown again; left out, all are listed.")
    ] = None,
    register: RegisterPath = DEFAULT_REGISTER,
    show_all: All = False,
    as_json: AsJson = False,
) -> None:
    """List the audits that were kept, or show one of them again as it was."""
    from register.audit import as_of
    from register.reports import json_data
    from register.reports.terminal import kept
    from register.reports.terminal import report as terminal
    from register.store.audits import kept_audits
    from register.store.database import opened

    if audit is None:
        with opened(register) as db:
            known = kept_audits(db)
        if as_json:
            print_json(json_data.kept(known))
        else:
            console().print(kept.listed(known))
        return
    rewound = as_of.again(register, audit)
    for note in rewound.notes:
        typer.echo(note, err=True)
    if as_json:
        print_json(json_data.report(rewound.report))
    else:
        terminal.show(rewound.report, console(), most=None if show_all else 20)


def compare(
    old: Annotated[str, typer.Argument(help="Number or day of a kept audit.")],
    new: Annotated[str, typer.Argument(help="Number or day of a later one.")],
    register: RegisterPath = DEFAULT_REGISTER,
    show_all: All = False,
    as_json: AsJson = False,
) -> None:
    """Compare two kept audits: what is new, gone, worse, better, each with its one cause."""
    from register.audit import compare as comparing
    from register.reports import json_data
    from register.reports.terminal import comparison as shown

    made = comparing.compare(register, old, new)
    if as_json:
        print_json(json_data.comparison(made))
    else:
        console().print(shown.compared(made, most=None if show_all else 10))
