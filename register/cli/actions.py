"""Commands on actions: assign a finding, close it with evidence, list them."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from register.cli.common import (
    DEFAULT_REGISTER,
    AsJson,
    AuditOptions,
    By,
    RegisterPath,
    Today,
    answer,
    asked_day,
    author,
    day,
    say,
    with_options,
)
from register.cli.help import Grouped

app = typer.Typer(
    cls=Grouped,
    help="What is to be done about findings, by whom, until when, and whether it helped.",
    no_args_is_help=True,
    rich_markup_mode=None,
)


@app.command("assign")
@with_options
def assign(
    tag: Annotated[str, typer.Argument(help="Tag, lineup, or serial of a device in store.")],
    rule: Annotated[str, typer.Argument(help="Id of the rule that fails there, theme/name.")],
    to: Annotated[str, typer.Option(help="Who is to do it.")],
    due: Annotated[str, typer.Option(metavar="YYYY-MM-DD", help="Day by which it is done.")],
    options: AuditOptions,
    task: Annotated[str, typer.Option(help="What is to be done, where more is to be said.")] = "",
    by: By = None,
) -> None:
    """Assign a finding to someone; one that is open already is reassigned."""
    from register.audit import actions

    due_on = day(due, "--due")
    with options.opened(write=True) as session:
        number, new = actions.assign(session, tag, rule, to=to, due=due_on, by=author(by), task=task)
    done = "assigned" if new else "reassigned"
    say(f"Action {number} is {done} to {to}, due on {due}: {rule} at {tag}.")


@app.command("close")
def close(
    number: Annotated[int, typer.Argument(help="Number of the action.")],
    record: Annotated[str, typer.Option(help="Kind of the record that shows it: bump test, thermography, …")] = "",
    file: Annotated[Path | None, typer.Option(help="A file that shows it; its hash is kept, not the file.")] = None,
    by: By = None,
    today: Today = None,
    register: RegisterPath = DEFAULT_REGISTER,
) -> None:
    """Say that an action is done, with evidence; the next audit checks whether it helped."""
    from register.audit import actions
    from register.audit.session import AuditRequest, session

    with session(register, AuditRequest(today=asked_day(today)), write=True) as asked:
        made = actions.close(asked, number, by=author(by), record=record, file=file)
    say(f"Action {number}, {made.rule} at {made.at}: {made.state} ({made.evidence}).")
    say("The next audit that is kept checks it: startroll audit --keep")


@app.command("list")
def list_(today: Today = None, register: RegisterPath = DEFAULT_REGISTER, as_json: AsJson = False) -> None:
    """List every action and how it stands by the audits that were kept, overdue ones first."""
    from register.audit.actions import listed
    from register.reports import json_data
    from register.reports.terminal import actions
    from register.store.database import opened

    on = asked_day(today)
    with opened(register) as db:
        answer(listed(db, today=on), as_json, actions.table_of, json_data.rows)
