"""Commands on audits that were kept: list them, show one again, compare two."""

from __future__ import annotations

from typing import Annotated

import typer

from register.cli.common import DEFAULT_REGISTER, All, AsJson, RegisterPath, answer, console, print_json, say


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

    with opened(register) as db:
        if audit is None:
            answer(kept_audits(db), as_json, kept.listed, json_data.kept)
            return
        rewound = as_of.again(db, audit)
    for note in rewound.notes:
        say(note, err=True)
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
    from register.audit import difference_causes
    from register.reports import json_data
    from register.reports.terminal import comparison as shown
    from register.store.database import opened

    with opened(register) as db:
        made = difference_causes.compare(db, old, new)
    answer(made, as_json, lambda c: shown.compared(c, most=None if show_all else 10), json_data.comparison)
