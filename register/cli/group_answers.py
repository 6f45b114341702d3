"""The command that answers for a group of positions at once."""

from __future__ import annotations

from typing import Annotated

import typer

from register.cli.common import Area, AsJson, AuditOptions, By, author, with_options
from register.cli.common import answer as say
from register.errors import Problem, StartrollError

Overwrite = Annotated[bool, typer.Option("--overwrite", help="Also where there is another value.")]
Propose = Annotated[bool, typer.Option("--propose", help="List groups that one answer may settle.")]


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    # Else -20 would be taken for an option, and ambients can be negative.
    app.command("answer", context_settings={"ignore_unknown_options": True})(answer)


@with_options
def answer(
    options: AuditOptions,
    column: Annotated[str | None, typer.Argument(help="Column to fill; docs/columns.md lists them.")] = None,
    value: Annotated[str | None, typer.Argument(help="The value, with or without unit.")] = None,
    where: Annotated[str | None, typer.Option(help="Which positions: an expression as in rules.")] = None,
    reason: Annotated[str, typer.Option(help="Why; kept in the history.")] = "",
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Show what it would do, change nothing.")] = False,
    overwrite: Overwrite = False,
    propose: Propose = False,
    area: Area = None,
    by: By = None,
    as_json: AsJson = False,
) -> None:
    """Give one value at every position that a filter selects; alone, list groups worth an answer."""
    from register.planning import group_answers as groups
    from register.planning.group_proposals import proposals
    from register.reports.terminal.group_answers import answered, proposed

    if _asks_for_groups(column, value, where, area, propose=propose):
        with options.opened(area=area, write=False) as session:
            return say(proposals(session), as_json, proposed)
    asked = groups.GroupAnswer(column or "", value or "", where or groups.EVERYWHERE, area, overwrite)
    with options.opened(write=not dry_run) as session:
        made = groups.answer_group(session, asked, reason=reason, author=author(by), dry=dry_run)
    return say(made, as_json, answered)


def _asks_for_groups(
    column: str | None, value: str | None, where: str | None, area: str | None, *, propose: bool
) -> bool:
    """Whether groups are to be listed; StartrollError where an answer lacks a part."""
    odd = next((word for word in (column, value) if word and word.startswith("--")), "")
    if odd:
        raise StartrollError(Problem("no such option", "startroll answer --help", odd))
    if propose or not (column or value or where):
        if column or where:
            raise StartrollError(
                Problem("--propose lists groups and writes nothing", "leave column, value and --where out", "--propose")
            )
        return True
    if column is None or value is None:
        raise StartrollError(Problem("an answer needs a column and a value", "startroll answer COLUMN VALUE --where …"))
    if where is None and area is None:
        raise StartrollError(
            Problem(
                "no positions are named", "give --where, or --area; --where \"tag <> ''\" is all of them", "--where"
            )
        )
    return False
