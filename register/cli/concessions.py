"""Commands on concessions: ask, approve, refuse, withdraw, list."""

from __future__ import annotations

from typing import Annotated

import typer

from register.cli.common import AsJson, AuditOptions, By, answer, author, day, say, with_options
from register.cli.help import Grouped

app = typer.Typer(
    cls=Grouped,
    help="Findings accepted until a date: ask for one, decide on it, list them.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

Number = Annotated[int, typer.Argument(help="Number of the concession.")]
Why = Annotated[str, typer.Option("--reason", help="Why; kept with the concession.")]


@app.command("ask")
@with_options
def ask(
    tag: Annotated[str, typer.Argument(help="Tag, lineup, or serial of a device in store.")],
    rule: Annotated[str, typer.Argument(help="Id of the rule that fails there, theme/name.")],
    until: Annotated[str, typer.Option(metavar="YYYY-MM-DD", help="Last day on which it holds.")],
    reason: Why,
    options: AuditOptions,
    by: By = None,
) -> None:
    """Ask that a finding be accepted until a date; someone else has to approve it."""
    from register.audit import concession_requests
    from register.reports.terminal.hint import command

    last = day(until, "--until")
    with options.opened(write=True) as session:
        number = concession_requests.ask(session, tag, rule, until=last, reason=reason, by=author(by))
    say(f"Concession {number} is asked for: {rule} at {tag}, until {until}.")
    decide = command("concede", "approve", str(number), "--reason", "WHY", "--by", "NAME")
    say(f"Someone else decides: {decide}")
    say("What may be accepted, and by whose word, is for the local code and licensed people to say.")


@app.command("approve")
@with_options
def approve(number: Number, reason: Why, options: AuditOptions, by: By = None) -> None:
    """Approve a concession; whoever asked for it cannot."""
    _decide(options, number, "approved", reason, by)


@app.command("refuse")
@with_options
def refuse(number: Number, reason: Why, options: AuditOptions, by: By = None) -> None:
    """Refuse a concession that was asked for."""
    _decide(options, number, "refused", reason, by)


@app.command("withdraw")
@with_options
def withdraw(number: Number, reason: Why, options: AuditOptions, by: By = None) -> None:
    """Withdraw a concession, whether it was approved or only asked for."""
    _decide(options, number, "withdrawn", reason, by)


def _decide(options: AuditOptions, number: int, decision: str, reason: str, by: str | None) -> None:
    from register.audit.concession_requests import decide

    with options.opened() as session:
        standing = decide(session, number, decision, reason=reason, by=author(by))
    say(f"Concession {number}, {standing.rule} at {standing.at}: {standing.status}.")
    say(f"{standing.why[:1].upper()}{standing.why[1:]}.")


@app.command("list")
@with_options
def list_(options: AuditOptions, as_json: AsJson = False) -> None:
    """List every concession and how it stands now: used, unused, void, and why."""
    from register.audit.concession_requests import current
    from register.reports import json_data
    from register.reports.terminal import concessions

    with options.opened() as session:
        answer(current(session), as_json, concessions.table_of, json_data.rows)
