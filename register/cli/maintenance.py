"""Commands of the year's work: what falls due, by which conditions and intervals, what a year of it showed."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from register.cli.common import (
    DEFAULT_REGISTER,
    All,
    Area,
    AsJson,
    AuditOptions,
    RegisterPath,
    SiteRules,
    Today,
    answer,
    asked_day,
    day,
    say,
    with_options,
)

Bus = Annotated[str | None, typer.Option(help="Only this bus or lineup.")]


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("due")(due)
    app.command("conditions")(conditions)
    app.command("intervals")(intervals)
    app.command("year")(year)
    app.command("back-test")(back_test)


@with_options
def due(
    options: AuditOptions,
    until: Annotated[
        str | None, typer.Option(metavar="YYYY-MM", help="Up to the end of this month, or this day; else 60 days.")
    ] = None,
    area: Area = None,
    bus: Bus = None,
    ics: Annotated[Path | None, typer.Option(help="Write it to this calendar file too: .ics.")] = None,
    to: Annotated[Path | None, typer.Option(help="Write it to this workbook too: .xlsx.")] = None,
    show_all: All = False,
    as_json: AsJson = False,
) -> None:
    """Show which tasks, corrective actions and concessions fall due, by lineup and by what they need."""
    from register.maintenance.due import due_list, until_day
    from register.reports.terminal import due as shown
    from register.store.output_file import refuse_unfit

    refuse_unfit(ics, ".ics")
    refuse_unfit(to, ".xlsx")
    with options.opened(write=False) as session:
        last = until_day(until, session.today)
        made = due_list(session.db, today=session.today, until=last, area=area, bus=bus, site_rules=options.site_rules)
    _written(made, ics, to, options.site_rules)
    answer(made, as_json, lambda d: shown.due(d, show_all=show_all))


@with_options
def conditions(options: AuditOptions, area: Area = None, bus: Bus = None, as_json: AsJson = False) -> None:
    """Show the three conditions of each lineup and position, entered or proposed, and what they are based on."""
    from register.maintenance.conditions import conditions as run
    from register.reports.terminal import due as shown
    from register.store.queries import positions

    with options.opened(write=False) as session:
        positions(session.db, area=area, bus=bus)
        answer(run(session.db, today=session.today, area=area, bus=bus), as_json, shown.conditions)


def intervals(site_rules: SiteRules = None, as_json: AsJson = False) -> None:
    """Show the table of intervals in force, its sources, and what the site has to fill."""
    from register.maintenance.intervals import intervals as run
    from register.reports.terminal import due as shown

    answer(run(site_rules), as_json, shown.intervals)


@with_options
def year(
    options: AuditOptions,
    since: Annotated[str | None, typer.Option(metavar="YYYY-MM-DD", help="From this day on; else a year.")] = None,
    area: Area = None,
    as_json: AsJson = False,
) -> None:
    """Show what a year of the programme showed: done on time, what each task found, open actions by age."""
    from register.maintenance.year import year_of_work as run
    from register.reports.terminal import year_of_work as shown
    from register.store.queries import positions

    begin = day(since, "--since") if since else None
    with options.opened(write=False) as session:
        positions(session.db, area=area)
        made = run(session.db, today=session.today, since=begin, area=area, site_rules=options.site_rules)
    answer(made, as_json, shown.year_of_work)


def back_test(
    today: Today = None, register: RegisterPath = DEFAULT_REGISTER, show_all: All = False, as_json: AsJson = False
) -> None:
    """Count the failures that followed where a rule had failed, and where it had passed, since audits were kept."""
    from register.maintenance.back_test import back_test as run
    from register.reports.terminal import year_of_work as shown
    from register.store import clock
    from register.store.database import opened

    asked = asked_day(today)
    with opened(register) as db:
        made = run(db, today=asked or clock.today(db))
    answer(made, as_json, lambda b: shown.back_test(b, show_all=show_all))


def _written(made, ics: Path | None, to: Path | None, site_rules: Path | None) -> None:
    from register.maintenance.intervals import intervals as table
    from register.store.output_file import write_together

    files = {}
    if ics is not None:
        from register.reports.due_calendar import due_calendar

        files[ics] = due_calendar(made)
    if to is not None:
        from register.reports.due_workbook import due_book

        files[to] = due_book(made, table(site_rules))
    write_together(files)
    for path in files:
        say(f"{path} holds the list.", err=True)
