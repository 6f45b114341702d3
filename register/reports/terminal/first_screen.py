"""The first screen of an audit: the answer, what to do first, where it is, how much is known."""

from __future__ import annotations

from datetime import date

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from register.audit.outline import GRADES, Outline
from register.audit.scores import Tally
from register.reports.first import HURTS, First, answer, by_harm, first_things
from register.reports.terminal.layout import DIM, STYLES, graded, table
from register.text import counted, percent

WORDS = {"us": "US", "iec": "IEC"}


def first_screen(report: Outline, *, most: int | None = 20) -> RenderableType:
    """What a person sees first; `most` lineups at the most (None for all)."""
    parts: list[RenderableType] = [*headline(report)]
    things = first_things(report)
    if things:
        parts += [Text(), _first(things)]
        parts.append(Text("   Each has its caution: read it before anything else.", style=DIM))
    if harms := by_harm(report):
        parts += [Text(), _harms(harms)]
    if report.lineups:
        parts += [Text(), lineups(report, most=most)]
    if report.provisional:
        parts += [Text(), Text(f"{report.provisional} verdicts are provisional: they assume a value.", style=DIM)]
    return Group(*parts)


def headline(report: Outline) -> list[Text]:
    """The answer in one sentence, and what it is about."""
    said, scope = answer(report), report.scope
    line = Text(said.sentence, style="bold")
    if said.alarm and said.found:
        line.stylize(STYLES["major"], 0, len(said.alarm))
    on = date.fromisoformat(scope.today)
    practice = WORDS.get(scope.practice, scope.practice)
    about = f"{scope.site}, {on.day} {on:%B} {on.year}: {scope.positions} positions, {scope.rules} rules"
    lines = [line, Text(f"{about}, {practice} practice" if practice else about)]
    if scope.measured_only:
        lines.append(Text("Measured values only: no assumed value was used."))
    return lines


def _first(things: list[First]) -> RenderableType:
    made = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0), header_style="bold", show_header=True)
    made.add_column("", justify="right", no_wrap=True)
    made.add_column("", no_wrap=True)
    made.add_column("Do first", no_wrap=True)
    made.add_column("", overflow="fold")
    made.add_column("it takes", no_wrap=True)
    for place, thing in enumerate(things, 1):
        hurts = thing.harm in HURTS
        mark = Text("!" if hurts else "", style=STYLES["major"])
        title = thing.finding.title[:1].lower() + thing.finding.title[1:]
        more = f" (and at {counted(len(thing.alike), 'other place')})" if thing.alike else ""
        more += f" (and {len(thing.others)} of the same cause)" if thing.others else ""
        made.add_row(str(place), mark, Text(thing.finding.tag, style="bold"), title + more, thing.takes)
    return made


def _harms(harms: list[tuple[str, int]]) -> RenderableType:
    line = Text("Major by harm   ", style="bold")
    for harm, number in harms:
        line.append(f"{harm} {number}   ", style=STYLES["major"] if harm in HURTS else "not bold")
    return line


def lineups(report: Outline, *, most: int | None) -> RenderableType:
    """How each lineup stands, and the plant."""
    return standing_of("Lineup", [(row.lineup, row) for row in report.lineups], most=most)


def standing_of(heading: str, counted: list[tuple[str, Tally]], *, most: int | None) -> RenderableType:
    """A row a part of the plant: positions, what failed by grade, the share that is unknown; and their sum."""
    made = table(heading, "positions ", *(f"{grade} " for grade in GRADES), "unknown ", "passed ")
    for name, tally in counted if most is None else counted[:most]:
        made.add_row(name, *_cells(tally))
    whole = _sum([tally for _, tally in counted])
    made.add_row("all", *_cells(whole), style="bold")
    parts: list[RenderableType] = [made]
    if most is not None and len(counted) > most:
        parts.append(Text(f"{len(counted) - most} more: --all.", style=DIM))
    return Group(*parts)


def _cells(tally: Tally) -> list[str | Text]:
    unknown = "–" if tally.judged_pct is None else percent(100 - tally.judged_pct)
    passed = "–" if tally.passed_pct is None else percent(tally.passed_pct)
    grades = [graded(grade, tally.failed[grade]) for grade in GRADES]
    return [str(tally.positions) if tally.positions else "–", *grades, Text(unknown, style=STYLES["unknown"]), passed]


def _sum(tallies: list[Tally]) -> Tally:
    failed = {grade: sum(t.failed[grade] for t in tallies) for grade in GRADES}
    return Tally(
        sum(t.positions for t in tallies), failed, sum(t.cant_tell for t in tallies), sum(t.passed for t in tallies)
    )
