"""A workbook's sheets as people print and sort them: real numbers and days, links, charts, heads and feet."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import ceil, floor, isfinite, log10
from tempfile import TemporaryDirectory
from typing import Any

import xlsxwriter

from register.text import neutral, visible

# What a cell, and a sheet, of this file format can hold.
CELL = 32_767
LINES = 1_048_575
LINKS, BREAKS = 60_000, 1000
A3, A4, WIDE = 8, 9, 150  # the file format's numbers of paper; characters that A4 still prints legibly
DAY = re.compile(r"(?:19|20)\d\d-[01]\d-[0-3]\d")
DIGITS = 4
MOST_DIGITS = 6
FONT = {"font_name": "Arial", "font_size": 10}
LINE, TALLEST, ROW = 13.0, 400.0, 20  # points of a line and of the tallest row; pixels of a row
PRINTED = 979  # pixels that 10.2 in hold, the narrower of the two usual papers
FOOT = "A passed verdict is not a permit to work."


@dataclass(frozen=True, slots=True)
class Link:
    """A cell that leads to a row of another sheet; `row` counts that sheet's rows below its headings, from 1."""

    text: Any
    sheet: str
    row: int = 0


@dataclass(frozen=True, slots=True)
class Head:
    """A heading within a sheet; one above numbers stands at the right."""

    text: str
    right: bool = False


@dataclass(frozen=True, slots=True)
class Chart:
    """Bars beside the rows `first` to `last` of its sheet: names in one column, figures in others."""

    title: str
    names: int
    figures: tuple[int, ...]
    first: int
    last: int
    at: tuple[int, int]
    unit: str = ""
    colours: tuple[str, ...] = ("#A83A1C",)
    kind: str = "bar"
    most: float | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: (heading, width in characters) of each column, and the rows below.

    `back` is the sheet to which its first heading leads. One `to_carry` prints on A4 with lines
    between its rows; `parts` are the rows of it before which a new page begins. Of another only
    its first `printed` columns go on paper; 0 prints them all.
    """

    name: str
    headings: tuple[tuple[str, int], ...]
    rows: Iterable[Sequence[Any]]
    frozen: int = 1
    back: str = ""
    charts: tuple[Chart, ...] = ()
    to_carry: bool = False
    printed: int = 0
    parts: tuple[int, ...] = ()


def widths(text: str) -> tuple[tuple[str, int], ...]:
    """The headings of a sheet, each with its width: `tag 14,area 20`."""
    pairs = (pair.rsplit(" ", 1) for pair in text.split(","))
    return tuple((heading, int(width)) for heading, width in pairs)


def book_of(pages: Iterable[Sheet], *, title: str, day: str) -> bytes:
    """A workbook of these sheets; the same sheets give the same bytes."""
    made = io.BytesIO()
    options: dict[str, Any] = {"constant_memory": True, "strings_to_urls": False, "strings_to_formulas": False}
    options["default_format_properties"] = dict(FONT)  # the library writes into it
    with TemporaryDirectory() as aside, xlsxwriter.Workbook(made, options | {"tmpdir": aside}) as book:
        book.set_properties({"title": title, "created": datetime.fromisoformat(day)})
        writing = _Writing(book, title)
        for sheet in pages:
            writing.sheet(sheet)
        writing.rest()
    return made.getvalue()


class _Writing:
    """Writes sheets one after the other, and keeps what is too long for a cell for the last."""

    def __init__(self, book: xlsxwriter.Workbook, title: str = "") -> None:
        self.book, self.title = book, title
        self.bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top", "bottom": 1})
        self.bold_right = book.add_format(
            {"bold": True, "text_wrap": True, "valign": "top", "bottom": 1, "align": "right", "indent": 1}
        )
        self.text = book.add_format({"text_wrap": True, "valign": "top"})
        self.link = book.add_format({"text_wrap": True, "valign": "top", "font_color": "#1F4E79", "underline": 1})
        self.bold_link = book.add_format(
            {"bold": True, "text_wrap": True, "valign": "top", "bottom": 1, "font_color": "#1F4E79", "underline": 1}
        )
        self.day = book.add_format({"num_format": "yyyy-mm-dd", "align": "left", "valign": "top"})
        # The word stays beside the colour, which a printer may leave out.
        self.graded = {
            word: book.add_format({"bg_color": colour, "text_wrap": True, "valign": "top"})
            for word, colour in (("major", "#F3D5CC"), ("minor", "#F3E6C4"), ("observation", "#E3E8EC"))
        }
        self.numbers: dict[int, Any] = {}
        self.long: list[tuple[str, int, str]] = []
        self.links = 0

    def sheet(self, sheet: Sheet) -> None:
        """One sheet; what has no room on it goes on in another of the same headings."""
        rows = iter(sheet.rows)
        part, more = 1, True
        while more:
            more = self._page(sheet, part_name(sheet.name, part), rows)
            part += 1

    def _page(self, sheet: Sheet, name: str, rows: Iterator[Sequence[Any]]) -> bool:
        page = self.book.add_worksheet(name)
        self.links = 0
        self._set_up(page, sheet)
        line = 0
        room = [width for _, width in sheet.headings]
        for line, row in enumerate(rows, 1):
            page.set_row(line, _height(row, room))
            for place, value in enumerate(row):
                self._cell(page, name, line, place, value)
            if line == LINES:
                return True
        for chart in sheet.charts:
            self._chart(page, name, chart)
        if sheet.printed:
            page.print_area(0, 0, max(line, 1), sheet.printed - 1)
        if sheet.frozen:
            page.autofilter(0, 0, max(line, 1), len(sheet.headings) - 1)
        return False

    def _set_up(self, page: Any, sheet: Sheet) -> None:
        page.set_row(0, _height([heading for heading, _ in sheet.headings], [width for _, width in sheet.headings]))
        for place, (heading, width) in enumerate(sheet.headings):
            page.set_column(place, place, width)
            if sheet.back and not place:
                self._link(page, 0, 0, Link(heading, sheet.back), self.bold_link, f"to the {sheet.back}")
            else:
                page.write_string(0, place, heading, self.bold)
        page.freeze_panes(1, sheet.frozen)
        page.repeat_rows(0)
        page.set_landscape()
        wide = sum(width for _, width in sheet.headings[: sheet.printed or None]) > WIDE
        page.set_paper(A3 if wide and not sheet.to_carry else A4)
        page.set_margins(left=0.4, right=0.4, top=0.6, bottom=0.6)
        if sheet.to_carry:  # fitting to a width would undo the breaks
            page.set_print_scale(min(100, int(100 * PRINTED / sum(7 * width + 5 for _, width in sheet.headings))))
            page.set_h_pagebreaks(list(sheet.parts[:BREAKS]))
            page.hide_gridlines(0)
        else:
            page.fit_to_pages(1, 0)
        page.set_header(f"&L{self.title[:100].replace('&', '&&')}&R&A")
        page.set_footer(f"&L{FOOT}&R&P / &N")

    def _cell(self, page: Any, name: str, line: int, place: int, value: Any) -> None:
        if isinstance(value, Head):
            page.write_string(line, place, value.text, self.bold_right if value.right else self.bold)
            return
        if isinstance(value, Link):
            if value.text and self.links < LINKS:
                self._link(page, line, place, value, self.link)
                return
            value = value.text
        if isinstance(value, float) and not isfinite(value):
            value = "no limit"
        if isinstance(value, int | float):
            value = rounded(value, MOST_DIGITS)
            page.write_number(line, place, value, self._number(value))
        elif value and (day := _day(value)):
            page.write_datetime(line, place, day, self.day)
        elif value:
            text = self._short(f"{name} row {line + 1}", neutral(visible(value)))
            page.write_string(line, place, text, self.graded.get(value, self.text))

    def _link(self, page: Any, line: int, place: int, link: Link, how: Any, tip: str = "") -> None:
        part, row = divmod(max(link.row - 1, 0), LINES)
        place_there = f"internal:'{part_name(link.sheet, part + 1)}'!A{row + 2 if link.row else 1}"
        # The file format keeps a link and its text apart: the text goes the way of every other one.
        page.write_url(line, place, place_there, how, string=" ", tip=tip or None)
        if isinstance(link.text, int | float):
            page.write_number(line, place, link.text, how)
        else:
            page.write_string(line, place, neutral(visible(link.text))[:CELL], how)
        self.links += 1

    def _number(self, value: float) -> Any:
        """The format that shows all of its digits and no lonely point."""
        _, _, after = f"{value:.12f}".rstrip("0").partition(".")
        decimals = len(after)
        if decimals not in self.numbers:
            pattern = "#,##0" + ("." + "0" * decimals if decimals else "")
            self.numbers[decimals] = self.book.add_format(
                {"num_format": pattern, "valign": "top", "align": "right", "indent": 1}
            )
        return self.numbers[decimals]

    def _chart(self, page: Any, name: str, told: Chart) -> None:
        chart = self.book.add_chart({"type": told.kind})
        for figure, colour in zip(told.figures, told.colours, strict=True):
            chart.add_series(
                {
                    "name": [name, 0, figure],
                    "categories": [name, told.first, told.names, told.last, told.names],
                    "values": [name, told.first, figure, told.last, figure],
                    "fill": {"color": colour},
                    "line": {"color": colour, "width": 2.25 if told.kind == "line" else 0.75},
                    "gap": 60,
                    "data_labels": {"value": told.kind == "bar"},
                }
            )
        chart.set_title({"name": told.title, "name_font": {"size": 11}, "overlay": False})
        bars = told.kind == "bar"
        level, upright = (chart.set_y_axis, chart.set_x_axis)[:: 1 if bars else -1]
        level({"reverse": bars, "num_font": {"size": 9}})
        upright(
            {
                "name": told.unit,
                "min": 0,
                "max": told.most,
                "major_gridlines": {"visible": True, "line": {"color": "#D9D9D9"}},
            }
        )
        if len(told.figures) == 1:
            chart.set_legend({"none": True})
        else:
            chart.set_legend({"position": "bottom"})
        chart.set_size({"width": 560, "height": chart_height(told.last - told.first + 1)})
        page.insert_chart(*told.at, chart, {"description": told.title, "object_position": 3})

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


def chart_height(bars: int) -> int:
    """The height of a chart of so many bars, in pixels."""
    return 110 + 26 * max(5, bars)


def _height(row: Sequence[Any], room: Sequence[int]) -> float:
    """The height that shows every line of a row, in points; not every program works it out for itself."""
    lines = 1
    for value, width in zip(row, room, strict=False):
        text = value.text if isinstance(value, Link | Head) else value
        if isinstance(text, str) and (len(text) >= width or "\n" in text):
            # Letters are narrower than the digits that a width counts; a line ends before the word that has no room.
            letters = max(1.3 * width - 5, 4)
            lines = max(lines, sum(ceil(len(part) / letters) or 1 for part in text.split("\n")))
    return min(2 + LINE * lines, TALLEST)


def part_name(sheet: str, part: int) -> str:
    """The name of a sheet's part: the first has the sheet's own."""
    return sheet if part == 1 else f"{sheet} {part}"


def _day(text: str) -> datetime | None:
    """The day that a text is, and nothing else; or None."""
    try:
        return datetime.fromisoformat(text) if DAY.fullmatch(text) else None
    except ValueError:
        return None


def rounded(value: float, digits: int = DIGITS) -> float:
    """A number without more digits than it deserves; large ones keep what stands before the point.

    >>> rounded(64.68149813085516), rounded(123456.7), rounded(0.00012345), rounded(0.0)
    (64.68, 123457.0, 0.0001234, 0.0)
    """
    if isinstance(value, int) or not isfinite(value):
        return value
    return round(value) * 1.0 if abs(value) >= 10**DIGITS else float(f"{value:.{digits}g}")


def worked_out(value: float, beside: Iterable[float] = (), digits: int = 3) -> float:
    """A number that was worked out: three digits, or as many as tell it from those `beside` it.

    >>> worked_out(64.68149813085516), worked_out(99.97, [100.0]), worked_out(1234.5), worked_out(1e9)
    (64.7, 99.97, 1230.0, 1000000000.0)
    """
    beside = [other for other in beside if isfinite(other)]
    if not value or not isfinite(value):
        return value
    for figures in range(digits, 16):
        places = figures - 1 - floor(log10(abs(value)))
        told = round(value, places)
        if all((told < other) == (value < other) and (told > other) == (value > other) for other in beside):
            return told
    return value
