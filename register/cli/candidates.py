"""The command for what could go in the place of a device."""

from __future__ import annotations

from typing import Annotated

import typer

from register.cli.audits import MeasuredOnly
from register.cli.common import DEFAULT_REGISTER, AsJson, RegisterPath, SiteRules, Today, console, day, print_json
from register.errors import Problem, StartrollError


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("candidates")(candidates)


def candidates(
    tag: Annotated[str | None, typer.Argument(help="Tag of the position.")] = None,
    failed: Annotated[bool, typer.Option("--failed", help="Every device marked failed.")] = False,
    top: Annotated[int, typer.Option(help="How many to show.", min=1)] = 5,
    in_store: Annotated[bool, typer.Option("--in-store", help="Only what lies in store.")] = False,
    area: Annotated[str | None, typer.Option(help="With --failed, only this area.")] = None,
    measured_only: MeasuredOnly = False,
    site_rules: SiteRules = None,
    today: Today = None,
    register: RegisterPath = DEFAULT_REGISTER,
    as_json: AsJson = False,
) -> None:
    """Show what could go in the place of a device: each tried there, judged, and ranked."""
    from register.planning.replace import of_register
    from register.reports.json_starts import plain
    from register.reports.terminal import candidates as shown

    if (tag is None) != failed:
        raise StartrollError(Problem("either one position or all that failed", "startroll candidates TAG, or --failed"))
    how = dict(today=day(today), in_store=in_store, site_rules=site_rules, measured_only=measured_only)
    if failed:
        made = of_register.for_failed(register, area=area, **how)
    else:
        made = of_register.candidates(register, tag, top=top, **how)
    if as_json:
        print_json([plain(one) for one in made] if failed else plain(made))
    else:
        console().print(shown.of_failed(made) if failed else shown.at_position(made))
