"""The command that answers for a group of positions at once."""

from __future__ import annotations

from typing import Annotated

import typer

from register.cli.common import Area, AsJson, AuditOptions, By, author, with_options
from register.cli.common import answer as say
from register.errors import Problem, StartrollError

Overwrite = Annotated[bool, typer.Option("--overwrite", help="Also where there is another value.")]
Propose = Annotated[bool, typer.Option("--propose", help="List groups that one answer may settle.")]

Excepted = Annotated[
    list[str] | None,
    typer.Option("--except", metavar="TAG[=VALUE]", help="A position left alone, or with another value; repeat it."),
]


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    # Else -20 would be taken for an option, and ambients can be negative.
    app.command("answer", context_settings={"ignore_unknown_options": True})(answer)


@with_options
def answer(
    options: AuditOptions,
    words: Annotated[
        list[str] | None,
        typer.Argument(metavar="COLUMN VALUE | COLUMN=VALUE …", help="Columns (docs/columns.md) and their values."),
    ] = None,
    where: Annotated[str | None, typer.Option(help="Which positions: an expression as in rules.")] = None,
    excepted: Excepted = None,
    reason: Annotated[str, typer.Option(help="Why; kept in the history.")] = "",
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Show what it would do, change nothing.")] = False,
    overwrite: Overwrite = False,
    propose: Propose = False,
    area: Area = None,
    by: By = None,
    as_json: AsJson = False,
) -> None:
    """Give values at every position that a filter selects; alone, list groups worth an answer."""
    from register.planning import group_answers as groups
    from register.planning.group_request import asked
    from register.reports.terminal.group_answers import answered

    if _asks_for_groups(words or [], where, area, propose=propose):
        return _propose(options, area, as_json=as_json)
    request = asked(words or [], where, area, overwrite=overwrite, excepted=excepted or [])
    with options.opened(write=not dry_run) as session:
        said = groups.answer_group(session, request, reason=reason, author=author(by), dry=dry_run)
    return say(said, as_json, answered)


def _propose(options: AuditOptions, area: str | None, *, as_json: bool) -> None:
    from register.planning.group_proposals import proposals
    from register.reports.terminal.group_answers import proposed

    with options.opened(area=area, write=False) as session:
        say(proposals(session), as_json, proposed)


def _asks_for_groups(words: list[str], where: str | None, area: str | None, *, propose: bool) -> bool:
    """Whether groups are to be listed; StartrollError where an answer lacks a part."""
    odd = next((word for word in words if word.startswith("--")), "")
    if odd:
        raise StartrollError(Problem("no such option", "startroll answer --help", odd))
    if propose or (not words and where is None):
        if words or where is not None:
            raise StartrollError(
                Problem("--propose lists groups and writes nothing", "leave column, value and --where out", "--propose")
            )
        return True
    if len(words) < 2 and not any("=" in word for word in words):
        raise StartrollError(Problem("an answer needs a column and a value", "startroll answer COLUMN VALUE --where …"))
    if where is None and area is None:
        raise StartrollError(
            Problem(
                "no positions are named", "give --where, or --area; --where \"tag <> ''\" is all of them", "--where"
            )
        )
    return False
