"""Commands on concessions: ask, approve, refuse, withdraw, list."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from register.cli.common import (
    DEFAULT_REGISTER,
    AsJson,
    By,
    RegisterPath,
    SiteRules,
    Today,
    asked_day,
    author,
    console,
    print_json,
)

app = typer.Typer(
    help="Findings accepted until a date: ask for one, decide on it, list them.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

Number = Annotated[int, typer.Argument(help="Number of the concession.")]
Why = Annotated[str, typer.Option("--reason", help="Why; kept with the concession.")]


@app.command("ask")
def ask(
    tag: Annotated[str, typer.Argument(help="Tag of the position.")],
    rule: Annotated[str, typer.Argument(help="Id of the rule that fails there, theme/name.")],
    until: Annotated[str, typer.Option(metavar="YYYY-MM-DD", help="Last day on which it holds.")],
    reason: Why,
    by: By = None,
    today: Today = None,
    site_rules: SiteRules = None,
    register: RegisterPath = DEFAULT_REGISTER,
) -> None:
    """Ask that a finding be accepted until a date; someone else has to approve it."""
    from register.audit import concede

    number = concede.ask(
        register,
        tag,
        rule,
        until=asked_day(until, "--until"),
        reason=reason,
        by=author(by),
        today=asked_day(today),
        site_rules=site_rules,
    )
    typer.echo(f"Concession {number} is asked for: {rule} at {tag}, until {until}.")
    typer.echo(f"Someone else decides: startroll concede approve {number} --reason WHY --by NAME")
    typer.echo("What may be accepted, and by whose word, is for the local code and licensed people to say.")


@app.command("approve")
def approve(
    number: Number,
    reason: Why,
    by: By = None,
    today: Today = None,
    site_rules: SiteRules = None,
    register: RegisterPath = DEFAULT_REGISTER,
) -> None:
    """Approve a concession; whoever asked for it cannot."""
    _decide(register, number, "approved", reason, by, today, site_rules)


@app.command("refuse")
def refuse(
    number: Number,
    reason: Why,
    by: By = None,
    today: Today = None,
    site_rules: SiteRules = None,
    register: RegisterPath = DEFAULT_REGISTER,
) -> None:
    """Refuse a concession that was asked for."""
    _decide(register, number, "refused", reason, by, today, site_rules)


@app.command("withdraw")
def withdraw(
    number: Number,
    reason: Why,
    by: By = None,
    today: Today = None,
    site_rules: SiteRules = None,
    register: RegisterPath = DEFAULT_REGISTER,
) -> None:
    """Withdraw a concession, whether it was approved or only asked for."""
    _decide(register, number, "withdrawn", reason, by, today, site_rules)


def _decide(
    register: Path, number: int, decision: str, reason: str, by: str | None, today: str | None, site_rules: Path | None
) -> None:
    from register.audit import concede

    standing = concede.decide(
        register, number, decision, reason=reason, by=author(by), today=asked_day(today), site_rules=site_rules
    )
    typer.echo(f"Concession {number}, {standing.rule} at {standing.tag}: {standing.status}.")
    typer.echo(f"{standing.why[:1].upper()}{standing.why[1:]}.")


@app.command("list")
def list_(
    today: Today = None,
    site_rules: SiteRules = None,
    register: RegisterPath = DEFAULT_REGISTER,
    as_json: AsJson = False,
) -> None:
    """List every concession and how it stands now: used, unused, void, and why."""
    from register.audit import concede
    from register.reports import json_data
    from register.reports.terminal import concessions

    found = concede.listed(register, today=asked_day(today), site_rules=site_rules)
    if as_json:
        print_json(json_data.rows(found))
    else:
        console().print(concessions.table_of(found))
