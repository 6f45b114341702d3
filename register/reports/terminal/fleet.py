"""Many plants, in a terminal: the answer, the league, what fails everywhere, what can no longer be bought."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from register.columns import column
from register.fleet.model import LITTLE_KNOWN_PCT, FleetReport, ModelRow, RuleRow, Standing, little, places
from register.reports.terminal.layout import few, table, titled
from register.text import counted, grouped, percent, two_digits

MOST = 20
NOTE = (
    "All for 100 positions: Majors, those that failed; Unknown, majors that cannot be judged yet; Expected, the majors "
    "that there would be if the unknown failed as often as the known. The league is in the order of Expected. Known: "
    f"share of the verdicts that apply. A plant of which less than {LITTLE_KNOWN_PCT:.0f} % is known has no place, and "
    "stands first: the next thing to do there is to read what is missing."
)
SHARED_NOTE = (
    "Together: spares with which, at 95 %, no failure of the model waits for a delivery. Alone: the same, each plant "
    "for itself. Either is one at least where a load is critical. Way: days that a failure waits on average for a "
    "spare to come from the best of their stores."
)
TWICE_NOTE = (
    "A model may stand here more than once: for the plants of one folder, and for plants farther apart. Choose one of "
    "these rows; do not add them."
)
TWINS = "Copies of one register, each counted"
TWINS_NOTE = "Leave all but the newest out: positions and failures count twice."


def fleet(report: FleetReport, *, show_all: bool = False) -> RenderableType:
    """The roll-up as the first screen shows it; `show_all` leaves no row out."""
    tables = report.league, report.rules, report.models, report.shared, report.outliers
    most = max(map(len, tables)) if show_all else MOST
    parts: list[RenderableType] = [Text(headline(report), style="bold"), Text(_basis(report))]
    parts += [_refused(report)] if report.refused else []
    parts += [Text(), _league(report, most), Text(NOTE, style="dim")]
    if report.rules:
        parts.append(titled("Rules that fail in most plants", _rules(report.rules, most)))
    gone = [model for model in report.models if model.lifecycle == "withdrawn"]
    if gone:
        parts.append(titled("Models that can no longer be bought", _models(gone, most)))
    if report.shared:
        parts.append(titled("Spares that plants could share", _shared(report, most)))
    if report.failures:
        parts.append(titled("How often devices fail, over all plants", _failures(report)))
    if report.outliers:
        parts.append(titled("Set unlike every other plant", _outliers(report, most)))
    if report.years:
        parts.append(titled("Kept audits by year", _years(report)))
    if report.twins:
        told = "; ".join(few(names) for names in report.twins)
        parts += [Text(), Text(f"{TWINS}: {told}. {TWINS_NOTE}")]
    return Group(*parts)


def shared_note(report: FleetReport) -> str:
    """What the columns of the shared spares mean."""
    return f"{SHARED_NOTE} {TWICE_NOTE}" if len(report.days_between) > 1 else SHARED_NOTE


def headline(report: FleetReport) -> str:
    """How many plants, how many majors, how much is known."""
    majors = sum(report.majors.values())
    people = report.majors["people"] + report.majors["fire"]
    rate = 100 * majors / report.positions if report.positions else 0.0
    known = "nothing" if report.known_pct is None else percent(report.known_pct)
    found = "no major failed"
    if majors:
        found = (
            f"{grouped(majors)} {'major' if majors == 1 else 'majors'} failed, {two_digits(rate)} for 100 positions, "
            f"{grouped(people)} of them of harm to people or fire"
        )
    told = f"{found}; {known} of what applies is known."
    if little(report.known_pct):
        told = f"{'' if report.known_pct is None else 'only '}{known} of what applies is known; so far {found}."
    return f"{counted(len(report.league), 'plant')}, {grouped(report.positions)} positions: {told}"


def _basis(report: FleetReport) -> str:
    days = " to ".join(dict.fromkeys(report.days))
    whose = "the fleet's rules" if report.by == "fleet" else "each plant's own rules"
    own = sum(one.plant.own_rules for one in report.league)
    whose += f" ({own} with rules beside the register)" if own and report.by == "own" else ""
    reused = f"; {report.reused} {'summary' if report.reused == 1 else 'summaries'} reused" if report.reused else ""
    return f"As on {days}, by {whose}: {report.pack}{reused}."


def _refused(report: FleetReport) -> RenderableType:
    rows = table("Register", "Why it was not judged", "What to do")
    for one in report.refused:
        rows.add_row(one.place, one.reason, one.remedy)
    return titled(f"{counted(len(report.refused), 'register')} not judged", rows)


def _league(report: FleetReport, most: int) -> RenderableType:
    own = report.by == "fleet"
    rows = table("", "Plant", "Pos. ", "Majors ", "Unknown ", "Expected ", "Known ", *(["Own "] if own else []))
    for place, one in list(zip(places(report.league), report.league, strict=True))[:most]:
        rows.add_row("–" if place is None else str(place), one.plant.name, *_figures(one, own))
    return _cut(rows, len(report.league), most)


def _cut(rows: Table, there: int, most: int, note: str = "") -> RenderableType:
    """A table, how many rows it leaves out, and what its words mean."""
    parts: list[RenderableType] = [rows]
    parts += [Text(f"and {there - most} more: --all")] if there > most else []
    parts += [Text(note, style="dim")] if note else []
    return Group(*parts)


def _figures(one: Standing, own: bool) -> list[str | Text]:
    expected = "unknown" if one.expected_per_100 is None else two_digits(one.expected_per_100)
    known = "nothing" if one.known_pct is None else percent(one.known_pct)
    figures: list[str | Text] = [
        str(one.plant.positions),
        two_digits(one.majors_per_100),
        two_digits(one.unknown_per_100),
        expected,
        Text(known, style="bright_black" if one.little_known else ""),
    ]
    return figures + ([two_digits(one.own_per_100 or 0.0)] if own else [])


def _rules(rules: Sequence[RuleRow], most: int) -> RenderableType:
    rows = table("Rule", "Plants ", "Failed ", "Unknown ", "Harm to")
    rows.padding = (0, 1, 0, 0)  # so that the longest rule leaves room for each word in 80 columns
    for row in rules[:most]:
        rows.add_row(row.rule, str(row.plants), str(row.failed), str(row.unknown), row.harm)
    return _cut(rows, len(rules), most)


def _models(models: Sequence[ModelRow], most: int) -> RenderableType:
    rows = table("Model", "Maker", "Plants ", "Positions ", "In store ", "None held ", "Successor")
    for m in models[:most]:
        rows.add_row(m.model, m.maker, *map(str, (m.plants, m.positions, m.in_store, m.bare)), m.successor or "-")
    return _cut(rows, len(models), most, "None held: plants that have it installed and none in store.")


def _shared(report: FleetReport, most: int) -> RenderableType:
    rows = table("Model", "Plants ", "Devices ", "Together ", "Alone ", "Held ", "Way ", "For")
    for one in report.shared[:most]:
        figures = map(str, (len(one.plants), one.devices, one.needed, one.alone, one.held))
        rows.add_row(one.model, *figures, f"{two_digits(one.wait_days)} d", few(one.plants, 2))
    return _cut(rows, len(report.shared), most, shared_note(report))


def _failures(report: FleetReport) -> RenderableType:
    rows = table("Kind", "Failures a device and year (90 %)", "More often than before?")
    for one in report.failures:
        more = f"; at {few(one.more_often_at, 3)} more often" if one.more_often_at else ""
        rows.add_row(one.kind, one.rate, one.trend + more)
    return rows


def _outliers(report: FleetReport, most: int) -> RenderableType:
    rows = table("Plant", "Model", "Setting", "Set to", "The others")
    for one in report.outliers[:most]:
        rows.add_row(one.plant, one.model, column(one.setting).sentence, one.value, f"{one.others} ({one.plants})")
    return _cut(rows, len(report.outliers), most)


def _years(report: FleetReport) -> RenderableType:
    rows = table("Year", "Plants ", "Positions ", "Majors ", "For 100 ", "Known ")
    for year in report.years:
        known = "nothing" if year.known_pct is None else percent(year.known_pct)
        figures = map(str, (year.plants, year.positions, year.majors))
        rows.add_row(str(year.year), *figures, two_digits(year.majors_per_100), known)
    return rows
