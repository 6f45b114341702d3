"""The commands that take questions into the plant: a round to walk, labels to find positions by."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from register.cli.common import Area, AuditOptions, console, with_options

if TYPE_CHECKING:
    from register.audit.session import Session
    from register.rounds.questions import Asked

To = Annotated[
    list[Path], typer.Option("--to", help="FILE.html, a page for a phone or tablet; FILE.xlsx, a sheet; or both.")
]
Bus = Annotated[str | None, typer.Option("--bus", help="Only positions on this bus.")]
Where = Annotated[str | None, typer.Option("--where", help="Only there: an expression as in rules.")]
Top = Annotated[int | None, typer.Option("--top", help="No more questions than this, the worthiest.", min=1)]

OUTAGE = "outage of the lineup"


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("round")(round_)
    app.command("crew-page")(crew_page)
    app.command("labels")(labels)


@with_options
def round_(
    options: AuditOptions, to: To, area: Area = None, bus: Bus = None, where: Where = None, top: Top = None
) -> None:
    """Write the questions of a walk through the plant: a page to fill in, or a sheet."""
    from register.reports.round.publish import check, write
    from register.reports.terminal.rounds import round_written
    from register.rounds.questions import Which, round_of

    check(to)
    made_on = datetime.now(UTC).astimezone().isoformat(timespec="seconds")
    with options.opened(area=area) as session:
        which = Which(area=area, bus=bus, selected=partial(_selected, where) if where else None, top=top)
        which = replace(which, order=_worthiest(session, where)) if top else which
        made = round_of(session, which, made_on=made_on)
    write(made, to)
    console().print(round_written(made, to), soft_wrap=True)


@with_options
def crew_page(
    options: AuditOptions,
    to: Annotated[
        list[Path], typer.Option("--to", help="FILE.html, a page to print or fill in; FILE.xlsx, a workbook; or both.")
    ],
    bus: Bus = None,
    area: Area = None,
    crew: Annotated[str, typer.Option(help="Who goes; stands on the page.")] = "",
    on: Annotated[str | None, typer.Option(metavar="YYYY-MM-DD", help="The day of the work; else today.")] = None,
    until: Annotated[str | None, typer.Option(metavar="YYYY-MM", help="What is due up to then; else 60 days.")] = None,
    needs: Annotated[
        str, typer.Option(help="The most that is off: running, stopped, 'panel open', 'outage of the lineup'.")
    ] = OUTAGE,
    top: Annotated[int | None, typer.Option(help="No more tasks than this, the most pressing.", min=1)] = None,
    readings: Annotated[int, typer.Option(help="Ask for so many missing values on the way.", min=0)] = 0,
) -> None:
    """Write a crew's page of a day: what to do in walking order, what to bring, what must be off, boxes for results."""
    from register.cli.crew_day import page_of
    from register.reports.round.publish import check, write
    from register.reports.terminal.rounds import page_written

    check(to)
    made = page_of(options, bus=bus, area=area, crew=crew, on=on, until=until, needs=needs, top=top, readings=readings)
    write(made, to)
    console().print(page_written(made, to), soft_wrap=True)


@with_options
def labels(
    options: AuditOptions,
    to: Annotated[Path, typer.Option("--to", help="FILE.html, to print on A4 or Letter.")],
    area: Area = None,
    bus: Bus = None,
    where: Where = None,
) -> None:
    """Write a sheet of labels: a QR code for each position, by which the page of a round finds it."""
    from register.errors import Problem, StartrollError
    from register.reports.round.labels import labels as sheet
    from register.store.output_file import refuse_taken, write_new
    from register.store.queries import positions
    from register.text import counted

    refuse_taken(to)
    with options.opened(area=area, write=False) as session:
        if where:
            session.audit()
        chosen = _selected(where, session) if where else None
        rows = [r for r in positions(session.db, area=area, bus=bus) if chosen is None or r["tag"] in chosen]
        site = next((row["site"] for row in session.db["site"].rows), "")
    if not rows:
        raise StartrollError(Problem("there is no position to label", "widen --area, --bus or --where"))
    write_new(to, sheet(rows, site).encode("utf-8", "replace"))
    console().print(f"{to} written: {counted(len(rows), 'label')}", soft_wrap=True)


def _selected(where: str, session: Session) -> frozenset[str]:
    from register.planning.group_filter import select

    return frozenset(select(session.db, where, today=session.today, area=session.request.area).tags)


def _worthiest(session: Session, where: str | None) -> tuple[Asked, ...]:
    """What there is to ask, in the order in which it is worth asking."""
    from register.planning.collect.questions import to_collect
    from register.rounds.questions import Asked

    found = to_collect(session, where=where).questions
    return tuple(Asked(q.key if q.table == "bus" else q.tag, q.column, q.table == "bus") for q in found)
