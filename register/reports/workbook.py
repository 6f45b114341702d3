"""The report as a workbook: numbers as numbers, texts that no program takes for a formula."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import isfinite
from typing import Any

import xlsxwriter

from register import columns
from register.audit.outline import GRADES, OUTCOMES
from register.audit.report import Report, read_at
from register.text import neutral, visible

# What a cell, and a sheet, of this file format can hold.
CELL = 32_767
LINES = 1_048_575
WORDS = {"cant-tell": "can't tell"}
A3, A4, WIDE = 8, 9, 150  # the file format's numbers of paper; characters that A4 still prints legibly
DAY = re.compile(r"(?:19|20)\d\d-[01]\d-[0-3]\d")
DIGITS = 4


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: (heading, width in characters) of each column, and the rows below."""

    name: str
    headings: tuple[tuple[str, int], ...]
    rows: Iterable[Sequence[Any]]
    frozen: int = 1


def workbook(report: Report) -> bytes:
    """The whole report; the same report gives the same bytes."""
    title = f"Audit of {report.scope.site} on {report.scope.today}"
    return book_of(sheets(report), title=title, day=report.scope.today)


def book_of(pages: Iterable[Sheet], *, title: str, day: str) -> bytes:
    """A workbook of these sheets; the same sheets give the same bytes."""
    made = io.BytesIO()
    options = {"constant_memory": True, "strings_to_urls": False, "strings_to_formulas": False}
    with xlsxwriter.Workbook(made, options) as book:
        book.set_properties({"title": title, "created": datetime.fromisoformat(day)})
        writing = _Writing(book, title)
        for sheet in pages:
            writing.sheet(sheet)
        writing.rest()
    return made.getvalue()


# Sheet: headings with their widths.
# fmt: off
COLUMNS = {
    "findings": "tag 14,description 28,area 20,bus 12,criticality 12,grade 12,rule 34,finding 90,margin 10,"
        "margin unit 8,priority 9,provisional 11,assumes 40,concession 50,action 70,caution 50,basis 40",
    "values": "tag 14,rule 34,column 26,meaning 44,value 16,unit 8,comes from 50",
    "can't tell": "tag 14,area 20,grade 12,rule 34,fields to read 60",
    "fields to read": "field 26,meaning 50,unit 8,read at 34,verdicts 9,majors 9,positions 10,tags 60",
    "concessions": "tag 14,rule 34,stands 12,why 60,reason given 60,asked by 16,asked on 12,decided by 16,"
        "decided on 12,last day 12",
    "actions": "tag 14,rule 34,state 22,how that is known 60,to do 60,assigned to 16,assigned on 12,due 12,"
        "closed on 12,closed by 16,evidence 50",
    "rules": "rule 34,title 60,grade 12,failed 9,can't tell 10,passed 9,inapplicable 12,provisional 11,"
        "requires 70,basis 50",
    "to verify": "clause 70,seen 16,rules based on it 90,failed majors 9",
    "limits": "limit 30,value 10,unit 8,layer 10,at 16,meaning 60,basis or reason 60,by 14,on 12",
}
# fmt: on


def sheets(report: Report) -> Iterator[Sheet]:
    """The sheets in their order."""
    yield Sheet("summary", (("what", 24), ("is", 30), *(("", 18),) * 5), _summary(report), 0)
    rows = (_findings, _values, _cant_tell, _fields, _concessions, _actions, _rules, _to_verify, _limits)
    for (name, headings), of in zip(COLUMNS.items(), rows, strict=True):
        yield Sheet(name, widths(headings), of(report), 1)


def widths(text: str) -> tuple[tuple[str, int], ...]:
    """The headings of a sheet, each with its width: `tag 14,area 20`."""
    pairs = (pair.rsplit(" ", 1) for pair in text.split(","))
    return tuple((heading, int(width)) for heading, width in pairs)


class _Writing:
    """Writes sheets one after the other, and keeps what is too long for a cell for the last."""

    def __init__(self, book: xlsxwriter.Workbook, title: str = "") -> None:
        self.book, self.title = book, title
        self.bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top", "bottom": 1})
        self.text = book.add_format({"text_wrap": True, "valign": "top"})
        self.number = book.add_format({"num_format": "#,##0.###", "valign": "top"})
        self.whole = book.add_format({"num_format": "#,##0", "valign": "top"})
        self.day = book.add_format({"num_format": "yyyy-mm-dd", "align": "left", "valign": "top"})
        # The word stays beside the colour, which a printer may leave out.
        self.graded = {
            word: book.add_format({"bg_color": colour, "text_wrap": True, "valign": "top"})
            for word, colour in (("major", "#F3D5CC"), ("minor", "#F3E6C4"), ("observation", "#E3E8EC"))
        }
        self.long: list[tuple[str, int, str]] = []

    def sheet(self, sheet: Sheet) -> None:
        """One sheet; what has no room on it goes on in another of the same headings."""
        rows = iter(sheet.rows)
        part, more = 1, True
        while more:
            name = sheet.name if part == 1 else f"{sheet.name} {part}"
            more = self._page(sheet, name, rows)
            part += 1

    def _page(self, sheet: Sheet, name: str, rows: Iterator[Sequence[Any]]) -> bool:
        page = self.book.add_worksheet(name)
        for place, (heading, width) in enumerate(sheet.headings):
            page.set_column(place, place, width)
            page.write_string(0, place, heading, self.bold)
        page.freeze_panes(1, sheet.frozen)
        page.repeat_rows(0)
        page.set_landscape()
        page.set_paper(A3 if sum(width for _, width in sheet.headings) > WIDE else A4)
        page.set_margins(left=0.4, right=0.4, top=0.6, bottom=0.6)
        page.fit_to_pages(1, 0)
        page.set_header(f"&L{self.title[:100].replace('&', '&&')}&R&A")
        page.set_footer("&LA passed verdict is not a permit to work.&R&P / &N")
        line = 0
        for line, row in enumerate(rows, 1):
            for place, value in enumerate(row):
                self._cell(page, name, line, place, value)
            if line == LINES:
                return True
        if sheet.frozen:
            page.autofilter(0, 0, max(line, 1), len(sheet.headings) - 1)
        return False

    def _cell(self, page: Any, name: str, line: int, place: int, value: Any) -> None:
        if isinstance(value, float) and not isfinite(value):
            value = "no limit"
        if isinstance(value, int):
            page.write_number(line, place, value, self.whole)
        elif isinstance(value, float):
            page.write_number(line, place, rounded(value), self.number)
        elif value and (day := _day(value)):
            page.write_datetime(line, place, day, self.day)
        elif value:
            text = self._short(f"{name} row {line + 1}", neutral(visible(value)))
            page.write_string(line, place, text, self.graded.get(value, self.text))

    def _short(self, where: str, text: str) -> str:
        """The text, or its beginning with a word on where the rest is."""
        if len(text) <= CELL:
            return text
        self.long.append((where, len(self.long) + 1, text))
        note = f" … whole on sheet 'long texts', text {len(self.long)}"
        return text[: CELL - len(note)] + note

    def rest(self) -> None:
        """The texts that were too long for a cell, in pieces."""
        if self.long:
            room = CELL - 1
            pieces = [
                (number, where, text[start : start + room])
                for where, number, text in self.long
                for start in range(0, len(text), room)
            ]
            self.sheet(Sheet("long texts", widths("text 8,of 24,piece 120"), pieces))


def _day(text: str) -> datetime | None:
    """The day that a text is, and nothing else; or None."""
    try:
        return datetime.fromisoformat(text) if DAY.fullmatch(text) else None
    except ValueError:
        return None


def rounded(value: float) -> float:
    """A number without more digits than it deserves; large ones keep what stands before the point.

    >>> rounded(64.68149813085516), rounded(123456.7), rounded(0.00012345), rounded(0.0)
    (64.68, 123457.0, 0.0001234, 0.0)
    """
    return round(value) * 1.0 if abs(value) >= 10**DIGITS else float(f"{value:.{DIGITS}g}")


def _summary(report: Report) -> Iterator[Sequence[Any]]:
    scope = report.scope
    yield "site", scope.site
    yield "day", scope.today
    yield "practice", scope.practice
    yield "register", scope.register
    yield "rule pack", scope.pack
    yield "program", f"startroll {scope.program}"
    yield "values", "measured only" if scope.measured_only else "assumed values allowed"
    yield "positions", scope.positions
    yield "rules", scope.rules
    yield "provisional verdicts", report.provisional
    yield ()
    yield "verdicts by grade", *(WORDS.get(o, o) for o in OUTCOMES), "all"
    for grade in GRADES:
        counts = [report.grades[grade][outcome] for outcome in OUTCOMES]
        yield grade, *counts, sum(counts)
    yield ()
    for part, rows in (("area", report.areas), ("lineup", report.lineups)):
        yield part, "positions", *(f"failed, {g}" for g in GRADES), "can't tell", "passed"
        for row in rows:
            failed = (row.failed[grade] for grade in GRADES)
            yield getattr(row, part), row.positions, *failed, row.cant_tell, row.passed
        yield ()
    yield ("A passed verdict is not a permit to work: isolate, lock, prove dead, follow local codes.",)


def _findings(report: Report) -> Iterator[Sequence[Any]]:
    for f in report.findings:
        place = report.evidence.places.get(f.at, f.place)
        yield (
            f.at,
            place.get("description"),
            place.get("area"),
            place.get("bus"),
            place.get("criticality"),
            f.grade,
            f.rule,
            f.sentence,
            f.margin,
            f.margin_unit,
            round(f.priority.product, 2),
            "yes" if f.provisional else "no",
            "; ".join(f.stand_ins),
            f.concession.why if f.concession else "",
            f.action,
            f.caution,
            "; ".join(map(str, f.basis)),
        )


def _values(report: Report) -> Iterator[Sequence[Any]]:
    criteria = report.evidence.criteria
    units = {limit.name: limit.unit for limit in criteria.limits} if criteria else {}
    for f in report.findings:
        for v in f.values:
            known = "unknown" if v.value is None else v.value
            yield f.at, f.rule, v.column, _meaning(v.column), known, v.unit, v.origin
        for name, (value, layer, reason) in f.limits.items():
            yield (f.at, f.rule, f":{name}", "limit", value, units.get(name, ""), f"{layer}: {reason}")


def _cant_tell(report: Report) -> Iterator[Sequence[Any]]:
    for unknown in report.evidence.unknowns:
        area = report.evidence.places.get(unknown.at, {}).get("area")
        yield unknown.at, area, unknown.grade, unknown.rule, ", ".join(unknown.fields)


def _fields(report: Report) -> Iterator[Sequence[Any]]:
    for f in report.fields:
        yield (f.column, f.sentence, f.unit, read_at(f.column), f.verdicts, f.majors, len(f.tags), ", ".join(f.tags))


def _concessions(report: Report) -> Iterator[Sequence[Any]]:
    for c in report.concessions:
        yield (
            c.tag,
            c.rule,
            c.status,
            c.why,
            c.reason,
            c.asked_by,
            c.asked_on,
            c.decided_by,
            c.decided_on,
            c.expires_on,
        )


def _actions(report: Report) -> Iterator[Sequence[Any]]:
    for a in report.actions:
        yield (
            a.tag,
            a.rule,
            a.state,
            a.why,
            a.task,
            a.assigned_to,
            a.assigned_on,
            a.due_on,
            a.closed_on,
            a.closed_by,
            a.evidence,
        )


def _rules(report: Report) -> Iterator[Sequence[Any]]:
    criteria = report.evidence.criteria
    texts = {rule.id: rule for rule in criteria.rules} if criteria else {}
    for rule in report.rules:
        whole = texts.get(rule.rule)
        more = (whole.requires, "; ".join(map(str, whole.basis))) if whole else ()
        yield (rule.rule, rule.title, rule.grade, *(rule.counts[o] for o in OUTCOMES), rule.provisional, *more)


def _to_verify(report: Report) -> Iterator[Sequence[Any]]:
    for v in report.to_verify:
        yield v.clause, v.seen, ", ".join(v.rules), v.failed_majors


def _limits(report: Report) -> Iterator[Sequence[Any]]:
    criteria = report.evidence.criteria
    for limit in criteria.limits if criteria else ():
        yield (limit.name, limit.value, limit.unit, "pack", "", limit.sentence, str(limit.basis))
        for laid in criteria.overrides:
            if laid.limit == limit.name:
                yield (
                    limit.name,
                    laid.value,
                    limit.unit,
                    laid.layer,
                    laid.at,
                    limit.sentence,
                    laid.reason,
                    laid.by,
                    laid.on,
                )


def _meaning(name: str) -> str:
    return columns.column(name).sentence
