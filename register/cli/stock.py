"""Commands that look ahead: what the store should hold, what to replace in which year."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from register.cli.common import All, Area, AsJson, MeasuredOptions, answer, say, with_options
from register.cli.waiting import progress

if TYPE_CHECKING:
    from register.maintenance.rates_file import RatesFile

Rates = Annotated[
    Path | None,
    typer.Option("--rates", help="Failure rates from many plants: a file that startroll fleet --rates-to wrote."),
]


def add_to(app: typer.Typer) -> None:
    """Add this family's commands."""
    app.command("spares")(spares)
    app.command("plan")(plan)


@with_options
def spares(
    options: MeasuredOptions,
    service_level: Annotated[
        float, typer.Option(help="Service level, %: chance that no failure waits for a delivery.", min=0, max=99.9999)
    ] = 95.0,
    rates: Rates = None,
    area: Area = None,
    show_all: All = False,
    as_json: AsJson = False,
) -> None:
    """Show which spares to hold, how many, and which critical positions nothing in store covers."""
    from register.planning.stock.survey import spares as run
    from register.reports.terminal import stock as holdings

    shared = _read(rates)
    with progress("Trying models in place") as told, options.opened(area=area) as session:
        made = run(session, service_level_pct=service_level, shared_rates=shared, progress=told)
    answer(made, as_json, lambda s: holdings.stock(s, show_all=show_all))


@with_options
def plan(
    budget: Annotated[float, typer.Option(help="What may be spent each year, in the site's currency.", min=0)],
    options: MeasuredOptions,
    years: Annotated[int, typer.Option(help="How many years.", min=1, max=30)] = 5,
    outages: Annotated[int | None, typer.Option(help="Replacements there is time for each year.", min=0)] = None,
    to: Annotated[Path | None, typer.Option(help="Write it to this workbook too: .xlsx.")] = None,
    rates: Rates = None,
    area: Area = None,
    show_all: All = False,
    as_json: AsJson = False,
) -> None:
    """Plan replacements over years for the most risk taken away, and audit the plant after each."""
    from register.planning.years.of_register import plan as run
    from register.reports.terminal import plan as replacements
    from register.store.output_file import refuse_unfit

    refuse_unfit(to, ".xlsx")
    shared = _read(rates)
    with progress("Trying models in place") as told, options.opened(area=area) as session:
        made = run(session, years=years, budget=budget, outages=outages, shared_rates=shared, progress=told)
    _written(to, made)
    answer(made, as_json, lambda p: replacements.plan(p, show_all=show_all))


def _read(rates: Path | None) -> RatesFile | None:
    from register.maintenance.rates_file import read_rates

    return read_rates(rates) if rates is not None else None


def _written(to: Path | None, made) -> None:
    from register.reports.plan_workbook import planbook
    from register.store.output_file import write_new

    if to is not None:
        write_new(to, planbook(made))
        say(f"{to} holds the plan.", err=True)
