"""Commands that judge: audit, explain, to-collect."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

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
    progress_bar,
)
from register.errors import Problem, StartrollError

if TYPE_CHECKING:
    from register.audit.report import Report

MeasuredOnly = Annotated[bool, typer.Option("--measured-only", help="Use no assumed value for a missing value.")]
All = Annotated[bool, typer.Option("--all", help="Show every row.")]


def _known_grade(grade: str) -> str:
    from register.audit.session import check_grade

    check_grade(grade)
    return grade


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("audit")(audit)
    app.command("explain")(explain)
    app.command("to-collect")(to_read)


def audit(
    register: RegisterPath = DEFAULT_REGISTER,
    site_rules: SiteRules = None,
    today: Today = None,
    measured_only: MeasuredOnly = False,
    grade: Annotated[
        str, typer.Option(help="End with 1 on a finding of this grade or a graver one.", callback=_known_grade)
    ] = "observation",
    allow_unknown: Annotated[
        float | None, typer.Option(help="End with 3 when more % of the verdicts are unknown.", min=0, max=100)
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
    from register.audit import session as auditing
    from register.reports import json_data
    from register.reports.terminal import report as terminal

    how = {"site_rules": site_rules, "measured_only": measured_only}
    with progress_bar("Working out the facts") as told:
        if as_of is None:
            kept_by = author(by) if keep else None
            report = auditing.of_register(register, today=asked_day(today), keep_as=kept_by, progress=told, **how)
        else:
            report = _as_it_stood(register, as_of, alone=not (keep or today), **how)
    if as_json:
        print_json(json_data.report(report))
    else:
        terminal.show(report, console(), most=None if show_all else 20)
    raise typer.Exit(auditing.exit_code(report, grade=grade, allow_unknown_pct=allow_unknown))


def _as_it_stood(register: Path, text: str, *, alone: bool, **how) -> Report:
    """The report of a day that is past; what is to be said of it goes beside, not into it."""
    from register.audit.as_of import of_day

    if not alone:
        raise StartrollError(
            Problem("an audit as of a day is not kept, and has no other day", "leave --keep and --today out", "--as-of")
        )
    rewound = of_day(register, asked_day(text, "--as-of"), **how)
    for note in rewound.notes:
        typer.echo(note, err=True)
    return rewound.report


def explain(
    tag: Annotated[str, typer.Argument(help="Tag of the position.")],
    rule: Annotated[str | None, typer.Argument(help="Id of the rule, theme/name; left out, all rules there.")] = None,
    register: RegisterPath = DEFAULT_REGISTER,
    site_rules: SiteRules = None,
    today: Today = None,
    measured_only: MeasuredOnly = False,
    as_json: AsJson = False,
) -> None:
    """Open one verdict: clauses, values and where they came from, what to do."""
    from register.audit import session as auditing
    from register.reports import json_data
    from register.reports.terminal import report as terminal

    how = {"today": asked_day(today), "site_rules": site_rules, "measured_only": measured_only}
    if rule is None:
        verdicts = auditing.at_position(register, tag, **how)
        data, shown = json_data.verdicts(verdicts), terminal.at_position(tag, verdicts)
    else:
        verdict = auditing.explained(register, tag, rule, **how)
        data, shown = json_data.verdict(verdict), terminal.explained(verdict)
    if as_json:
        print_json(data)
    else:
        console().print(shown)


def to_read(
    register: RegisterPath = DEFAULT_REGISTER,
    site_rules: SiteRules = None,
    today: Today = None,
    area: Annotated[str | None, typer.Option(help="Only this area.")] = None,
    show_all: All = False,
    as_json: AsJson = False,
) -> None:
    """List what is unknown: which fields to go and read, and where."""
    from register.audit import session as auditing
    from register.reports import json_data
    from register.reports.terminal import positions

    report = auditing.of_register(register, site_rules=site_rules, today=asked_day(today), area=area)
    if as_json:
        print_json(json_data.fields(report))
    else:
        console().print(positions.walk(report, most=None if show_all else 40))
