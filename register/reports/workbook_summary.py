"""The workbook's first two sheets: what a reader wants first, with links to the rows; and charts of the parts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from math import ceil
from typing import Any

from register.audit.outline import GRADES, OUTCOMES
from register.audit.report import Report
from register.audit.scores import Tally
from register.reports.book import ROW, Chart, Head, Link, Sheet, chart_height, widths
from register.reports.crew_sheet import NAME as CREW
from register.reports.crew_sheet import Crew
from register.reports.first import answer, first_things

WORDS = {"cant-tell": "can't tell"}
HEADINGS = "what 24,is 44,in detail 16,b 14,c 14,d 14,e 14"
MOST_BARS = 20
CAUTION = "A passed verdict is not a permit to work: isolate, lock, prove dead, follow local codes."
SORTING = "Links lead to the rows as they were written: use the filters, or sort a copy."
CONTENTS = {
    "charts": "majors, and how much is unknown, by area and by theme",
    CREW: "by lineup and cubicle, to carry: what is wrong, what to do, who, until when; what is conceded is left out",
    "findings": "all that failed, in the order of priority; prints up to what it takes",
    "values": "what each finding is based on, and where it came from",
    "can't tell": "verdicts that are unknown, and the fields that would decide them",
    "fields to read": "the blanks, those with the most majors first",
    "concessions": "findings that are accepted for a time",
    "actions": "who corrects what, by when",
    "rules": "each rule with its four outcomes",
    "to verify": "clauses that nobody has seen yet",
    "limits": "the limits, and those that the site set itself",
}


def summary(report: Report, carried: Crew) -> Sheet:
    """The first sheet."""
    headings = tuple((name if len(name) > 1 else "", width) for name, width in widths(HEADINGS))
    return Sheet("summary", headings, _rows(report, carried), 0)


def _rows(report: Report, carried: Crew) -> Iterator[Sequence[Any]]:
    yield "answer", answer(report).sentence
    yield "site", report.scope.site
    yield "day", report.scope.today
    yield ()
    yield Head("do first"), Head("what is wrong"), Head("takes"), Head("grade"), Head("harm")
    number_of = {(f.at, f.rule): n for n, f in enumerate(report.findings, 1)}
    titles = {rule.rule: rule.title_failed for rule in report.rules}
    for one in first_things(report):
        found = one.finding
        where = Link(found.at, "findings", number_of[found.at, found.rule])
        yield where, titles[found.rule], one.takes, one.grade, one.harm
    yield ()
    yield Head("verdicts by grade"), *(Head(WORDS.get(o, o), right=True) for o in OUTCOMES), Head("all", right=True)
    yield from _grades(report)
    yield ()
    yield from _parts(report, carried)
    yield Head("sheet"), Head("what is on it")
    for name, told in CONTENTS.items():
        yield Link(name, name), told
    yield ()
    yield Head("basis"), Head("")
    yield from _scope(report)
    yield ()
    yield "links", SORTING
    yield "caution", CAUTION


def _scope(report: Report) -> Iterator[Sequence[Any]]:
    scope = report.scope
    yield "practice", scope.practice
    yield "register", scope.register
    yield "rule pack", scope.pack
    yield "program", f"startroll {scope.program}"
    yield "values", "measured only" if scope.measured_only else "assumed values allowed"
    yield "positions", scope.positions
    yield "rules", scope.rules
    yield "provisional verdicts", report.provisional


def _grades(report: Report) -> Iterator[Sequence[Any]]:
    first: dict[str, int] = {}
    for number, found in enumerate(report.findings, 1):
        first.setdefault(found.grade, number)
    for grade in GRADES:
        counts = [report.grades[grade][outcome] for outcome in OUTCOMES]
        yield Link(grade, "findings", first[grade]) if grade in first else grade, *counts, sum(counts)
    sums = [sum(report.grades[grade][outcome] for grade in GRADES) for outcome in OUTCOMES]
    yield "all", *sums, sum(sums)


def _parts(report: Report, carried: Crew) -> Iterator[Sequence[Any]]:
    areas: dict[str, int] = {}
    for number, found in enumerate(report.findings, 1):
        areas.setdefault(report.evidence.places.get(found.at, found.place).get("area") or "(area unknown)", number)
    for part, rows, sheet, row_of in (
        ("area", report.areas, "findings", areas),
        ("lineup", report.lineups, CREW, carried.lineups),
    ):
        counted = ("positions", *(f"failed, {grade}" for grade in GRADES), "can't tell", "passed")
        yield Head(part), *(Head(word, right=True) for word in counted)
        for row in rows:
            name = getattr(row, part)
            where = Link(name, sheet, row_of[name]) if name in row_of else name
            yield where, row.positions, *(row.failed[grade] for grade in GRADES), row.cant_tell, row.passed
        yield "all", *(sum(n) for n in zip(*map(_counts, rows), strict=True))
        yield ()


def _counts(row: Tally) -> tuple[int, ...]:
    return row.positions, *(row.failed[grade] for grade in GRADES), row.cant_tell, row.passed


def charts(report: Report) -> Sheet:
    """How areas, and how themes, compare: majors that failed, and the share that is unknown beside it.

    The share is that of the verdicts which apply or may apply. Of very many areas those with most majors.
    """
    areas = [(row.area, row.failed["major"], _unknown(row.cant_tell, row.judged)) for row in report.areas]
    areas = sorted(areas, key=lambda row: -row[1])[:MOST_BARS]
    rows: list[Sequence[Any]] = []
    drawn: list[Chart] = []
    for part, table in (("area", areas), ("theme", _themes(report))):
        top = len(rows) + 1 if rows else 0
        if rows:
            rows.append((Head(part), Head("majors failed", right=True), Head("unknown, %", right=True)))
        rows += table
        if table:
            drawn += _pair(part, top, len(table))
        rows += [()] * max(2, ceil(chart_height(len(table)) / ROW) - len(table))
    return Sheet("charts", (("area", 24), ("majors failed", 14), ("unknown, %", 12)), rows, 0, "summary", tuple(drawn))


def _pair(part: str, top: int, many: int) -> Iterator[Chart]:
    first, last = top + 1, top + many
    yield Chart(f"Majors that failed, by {part}", 0, (1,), first, last, (top, 4))
    title = f"Unknown, % of the verdicts that apply, by {part}"
    yield Chart(title, 0, (2,), first, last, (top, 13), colours=("#6B7280",), most=100)


def _themes(report: Report) -> list[tuple[str, int, float | None]]:
    counts: dict[str, Counter[str]] = {}
    for rule in report.rules:
        of = counts.setdefault(rule.rule.partition("/")[0], Counter())
        of["majors"] += rule.counts["failed"] * (rule.grade == "major")
        of["unknown"] += rule.counts["cant-tell"]
        of["judged"] += rule.counts["failed"] + rule.counts["passed"]
    table = [(theme, of["majors"], _unknown(of["unknown"], of["judged"])) for theme, of in counts.items()]
    return sorted(table, key=lambda row: -row[1])


def _unknown(unknown: int, judged: int) -> float | None:
    """The share that is unknown, in whole per cent; None where nothing applies."""
    return round(100 * unknown / (unknown + judged)) if unknown + judged else None
