"""The roll-up of many plants as one page, without scripts: template, style, rows of cells as SVG."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Sequence
from pathlib import Path

from markupsafe import Markup

from register.columns import column
from register.fleet.model import HARMS, Cell, FleetReport, ModelRow, RuleRow, places
from register.reports.page.document import environment, style
from register.reports.terminal.fleet import NOTE, TWINS, TWINS_NOTE, headline, shared_note
from register.text import number, percent, two_digits

HERE = Path(__file__).parent
FIRST_ROWS = 40
MOST_COLUMNS = 400
HIGH, NARROW, WIDE, ROOM = 16, 3, 18, 620  # pixels of a cell and of a row of them
SHADES = ((0.05, "c1"), (0.2, "c2"), (0.5, "c3"), (1.0, "c4"))


def page(report: FleetReport) -> str:
    """The whole roll-up in one file."""
    plants = len(report.league)
    each = -(-plants // MOST_COLUMNS)
    own = Markup((HERE / "fleet.css").read_text(encoding="utf-8"))
    return (
        environment(HERE)
        .get_template("fleet.html.jinja")
        .render(
            report=report,
            style=style("page.css", "narrow.css", "print.css") + own,
            headline=_unbroken(headline(report)),
            note=NOTE,
            shared_note=shared_note(report),
            twins_told=(TWINS, TWINS_NOTE),
            harms=HARMS,
            each=each,
            first=FIRST_ROWS,
            rules=[(row, _row(row.cells, each, _shade), _rule_told(row, plants)) for row in report.rules],
            models=[(row, _row(row.cells, each, _held), _model_told(row)) for row in report.models],
            bars=_bars(report),
            short=two_digits,
            number=number,
            percent_of=percent,
            sentence=lambda name: column(name).sentence,
            places=places(report.league),
            row_of={one.plant.name: row for row, one in enumerate(report.league, 1)},
        )
    )


def _unbroken(text: str) -> str:
    """A sentence in which no number is broken over two lines."""
    return re.sub(r"(?<=\d) (?=\d{3}\b|%)", "\u00a0", text)


def _row(cells: Sequence[Cell], each: int, shade: Callable[[Cell], str]) -> Markup:
    """One row of a heat map: a path for each shade, a rectangle for each cell that has one."""
    columns = [_sum(cells[at : at + each]) for at in range(0, len(cells), each)]
    wide = max(NARROW, min(WIDE, ROOM // max(1, len(columns))))
    drawn: dict[str, list[str]] = defaultdict(list)
    for at, cell in enumerate(columns):
        name = shade(cell)
        if name:
            top, high = (6, 4) if name == "u" else (0, HIGH)
            drawn[name].append(f"M{at * wide} {top}h{wide}v{high}h-{wide}z")
    width = wide * len(columns)
    paths = "".join(f'<path class="{name}" d="{"".join(own)}"/>' for name, own in sorted(drawn.items()))
    size = f'width="{width}" height="{HIGH}" viewBox="0 0 {width} {HIGH}"'
    return Markup(f'<svg class="cells" style="width:{width}px" aria-hidden="true" {size}>{paths}</svg>')


def _sum(cells: Sequence[Cell]) -> Cell:
    first, second, third = (sum(own) for own in zip(*cells, strict=True))
    return first, second, third


def _shade(cell: Cell) -> str:
    """The share that failed of what is known; `u` where nothing is known."""
    failed, passed, unknown = cell
    if failed:
        return next(name for most, name in SHADES if failed / (failed + passed) <= most)
    return "u" if unknown and not passed else ""


def _held(cell: Cell) -> str:
    """Whether a plant that has a model installed has one in store, and whether any has failed."""
    positions, failed, in_store = cell
    if failed:
        return "c4"
    if positions:
        return "held" if in_store else "c2"
    return "u" if in_store else ""


def _rule_told(row: RuleRow, plants: int) -> str:
    return f"{row.plants} of {plants}"


def _model_told(row: ModelRow) -> str:
    if row.lead_time_days is None:
        return "unknown"
    low, high = row.lead_time_days
    return f"{low:.0f} days" if low == high else f"{low:.0f} to {high:.0f} days"


def _bars(report: FleetReport) -> list[tuple[float, float]]:
    """For each plant the widths, in percent, of what was found and of what may be expected beyond it."""
    most = max((max(one.expected_per_100 or 0, one.majors_per_100) for one in report.league), default=0) or 1
    return [
        (100 * one.majors_per_100 / most, max(0.0, 100 * ((one.expected_per_100 or 0) - one.majors_per_100) / most))
        for one in report.league
    ]
