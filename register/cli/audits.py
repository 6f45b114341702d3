"""Commands that judge: audit, explain, to-collect."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from register.cli.common import (
    All,
    Area,
    AsJson,
    AuditOptions,
    By,
    MeasuredOptions,
    answer,
    author,
    console,
    day,
    print_json,
    say,
    with_options,
)
from register.cli.waiting import progress
from register.errors import Problem, StartrollError

if TYPE_CHECKING:
    from register.audit.judge import Progress
    from register.audit.outline import Outline
    from register.audit.report import Report


def _known_grade(grade: str) -> str:
    from register.audit.outline import check_grade

    check_grade(grade)
    return grade


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("audit")(audit)
    app.command("explain")(explain)
    app.command("to-collect")(to_collect)


@with_options
def audit(
    options: MeasuredOptions,
    grade: Annotated[
        str, typer.Option(help="End with 1 on a finding of this grade or a graver one.", callback=_known_grade)
    ] = "observation",
    allow_unknown: Annotated[
        float | None, typer.Option(help="Exit with 3 if more than this % of the verdicts are unknown.", min=0, max=100)
    ] = None,
    keep: Annotated[bool, typer.Option("--keep", help="Keep the audit in the register.")] = False,
    as_of: Annotated[
        str | None,
        typer.Option(
            metavar="YYYY-MM-DD", help="Audit register, rules and limits as they stood at the end of that day."
        ),
    ] = None,
    by: By = None,
    show_all: All = False,
    as_json: AsJson = False,
) -> None:
    """Judge every position by every rule, and report."""
    from register.audit.outline import exit_code
    from register.reports import json_data
    from register.reports.terminal import report as terminal

    with progress("Working out the facts") as told:
        if as_of is not None:
            made: Any = _as_it_stood(options, as_of, alone=not (keep or options.today))
        else:
            made = _judged(options, author(by) if keep else None, told, whole=show_all or as_json)
    if as_json:
        print_json(json_data.report(made))
    else:
        terminal.show(made, console(), most=None if show_all else 20)
    raise typer.Exit(exit_code(made, grade=grade, allow_unknown_pct=allow_unknown))


def _judged(options: MeasuredOptions, keep_as: str | None, told: Progress, *, whole: bool) -> Outline:
    """The report; only what the first screen shows of it, where no more is asked for."""
    from register.audit.results import outline_of, report_of

    with options.opened() as session:
        if whole or keep_as is not None:
            return report_of(session, keep_as=keep_as, progress=told)
        return outline_of(session, progress=told)


def _as_it_stood(options: MeasuredOptions, text: str, *, alone: bool) -> Report:
    """The report of a day that is past; what is to be said of it goes beside, not into it."""
    from register.audit.as_of import of_day

    if not alone:
        raise StartrollError(
            Problem("an audit as of a day is not kept, and has no other day", "leave --keep and --today out", "--as-of")
        )
    as_of = day(text, "--as-of")
    with options.opened(write=False) as session:
        rewound = of_day(session, as_of)
    for note in rewound.notes:
        say(note, err=True)
    return rewound.report


@with_options
def explain(
    tag: Annotated[str, typer.Argument(help="Tag of the position.")],
    options: MeasuredOptions,
    rule: Annotated[str | None, typer.Argument(help="Id of the rule, theme/name; left out, all rules there.")] = None,
    as_json: AsJson = False,
) -> None:
    """Open one verdict: clauses, values and where they came from, what to do."""
    from register.audit.results import at_position, explained
    from register.reports import json_data
    from register.reports.terminal import report as terminal

    with options.opened() as session:
        if rule is None:
            verdicts = at_position(session, tag)
            answer(verdicts, as_json, lambda v: terminal.at_position(tag, v), json_data.verdicts)
        else:
            answer(explained(session, tag, rule), as_json, terminal.explained, json_data.verdict)


@with_options
def to_collect(
    options: AuditOptions,
    top: Annotated[int, typer.Option(help="List so many readings.", min=1)] = 40,
    where: Annotated[str | None, typer.Option(help="Only these positions: an expression as in rules.")] = None,
    most_first: Annotated[
        bool, typer.Option("--most-first", help="By the number of verdicts alone, whatever their grade and harm.")
    ] = False,
    by_worth: Annotated[
        bool, typer.Option("--by-worth", help="By what they decide, weighed by grade and harm; life safety not before.")
    ] = False,
    area: Area = None,
    show_all: All = False,
    as_json: AsJson = False,
) -> None:
    """List the readings to take next: what decides most first, where it is read, and what that needs."""
    from register.audit.stands import CAUTION
    from register.planning.collect import questions
    from register.reports import json_data
    from register.reports.terminal.questions import collected

    with options.opened(area=area) as session:
        people_first, most = not (most_first or by_worth), None if show_all else top
        made = questions.to_collect(session, where=where, top=most, people_first=people_first, counted=most_first)
    answer(made, as_json, lambda m: collected(m, CAUTION), json_data.plain)
