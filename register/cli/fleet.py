"""The command for many plants at once: fleet."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from register.cli.common import All, AsJson, MeasuredOnly, Today, answer, asked_day, say
from register.cli.waiting import progress
from register.errors import Problem, StartrollError

if TYPE_CHECKING:
    from register.fleet.engine import Engine


def add_to(app: typer.Typer) -> None:
    """Add this family's command."""
    app.command("fleet")(fleet)


def fleet(
    places: Annotated[
        list[str], typer.Argument(help="Registers, folders of them, patterns, or addresses of an object store.")
    ],
    to: Annotated[Path | None, typer.Option("--to", help="A page for a browser, in one file.")] = None,
    xlsx: Annotated[Path | None, typer.Option(help="A workbook.")] = None,
    parquet: Annotated[
        Path | None, typer.Option(help="A folder where summaries are kept as tables, and reused while they hold.")
    ] = None,
    rates: Annotated[
        Path | None,
        typer.Option("--rates-to", help="A file of failure rates of all plants, for spares --rates and plan --rates."),
    ] = None,
    fleet_rules: Annotated[
        Path | None, typer.Option(help="A folder of rules and limits by which all plants are judged besides.")
    ] = None,
    days_between: Annotated[
        list[float] | None,
        typer.Option(help="Days to bring a spare from plant to plant; again for those farther off, by folder.", min=0),
    ] = None,
    workers: Annotated[int, typer.Option(help="Processes; by default as many as there are cores.", min=0)] = 0,
    scheduler: Annotated[str | None, typer.Option(help="A Dask scheduler, tcp://HOST:8786, to judge on.")] = None,
    confidential: Annotated[bool, typer.Option("--confidential", help="Plants by number, no names, no tags.")] = False,
    today: Today = None,
    measured_only: MeasuredOnly = False,
    show_all: All = False,
    as_json: AsJson = False,
) -> None:
    """Judge many registers, each by its own rules, and put them together; no register is changed."""
    from register.fleet.asked import Asked
    from register.fleet.rollup import roll_up
    from register.reports.fleet import publish
    from register.reports.terminal.fleet import fleet as shown

    publish.check(to, xlsx, rates)
    asked = Asked(asked_day(today), fleet_rules, measured_only, tuple(sorted(days_between or ())))
    engine = _engine(workers, scheduler)
    with progress("Judging the plants") as told:
        made = roll_up(places, asked, engine=engine, keep_in=parquet, confidential=confidential, progress=told)
    written = publish.publish(made, html=to, xlsx=xlsx, rates=rates)
    answer(replace(made, rates_file=b""), as_json, lambda report: shown(report, show_all=show_all))
    if parquet is not None and confidential:
        say(f"{parquet} names plants and tags: hand on the page or the workbook, not the tables", err=True)
    for kind in made.rates_left_out if rates is not None else ():
        say(f"not in {rates}: {kind}", err=True)
    if rates is not None and not made.failures and not made.rates_left_out:
        say(f"{rates} holds no rate: no plant's failures can be counted", err=True)
        say("  take in each plant's events, and the days on which its devices were installed", err=True)
    if rates is not None and made.twins:
        say(f"{rates} counts copies of one register each: leave all but the newest out", err=True)
    for place in (*written, *filter(None, [parquet])):
        say(f"{place} written", err=as_json)


def _engine(workers: int, scheduler: str | None) -> Engine:
    from register.facts.chunks import cores
    from register.fleet.engine import Engine

    if workers and scheduler:
        raise StartrollError(Problem("--workers and --scheduler say two things", "leave one of them out", "--workers"))
    return Engine(workers or cores(), scheduler)
