"""A crew's page as a workbook: what must be off first, then a sheet a part, white cells for what is to be entered."""

from __future__ import annotations

import io
from typing import Any

import xlsxwriter

from register.reports.round.data import page_number, title
from register.rounds.book_lines import DAY, DONE_ON, FOUND, KEY, LINE, NOTE, RESULT, WHO, Line, key_of, lines_of
from register.rounds.model import Job, Question, Round, Stop
from register.rounds.stations import Station
from register.text import neutral, shown, visible

NO_PERMIT = (
    "This page is no permit to work. Local codes, the site's permit, the makers' instructions and licensed practice go "
    "before all that stands here. Isolate, lock out, prove dead; where a line here and the place differ, stop and ask."
)
HALF = "What is half done is said so, with a note of what is left: it counts for nothing, and stands on the next page."
PERMIT = ("Permit to work no.", "issued by", "Isolated and locked by", "proved dead by, at")
COLUMNS = (
    (LINE, 5), ("place", 12), ("bucket", 8), ("it drives", 18), ("what to do", 30), ("why, and how", 44),
    (RESULT, 18), (FOUND, 21), ("unit", 9), (NOTE, 28),
)  # fmt: skip
LEFT, RIGHT = 40, 80  # how wide the columns of the first sheet are
TOP = 3  # the row of the headings, counted from 0


def workbook(made: Round) -> bytes:
    """The page as a workbook; the same page gives the same cells."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True}) as book:
        _day(book, made)
        numbered = list(enumerate(lines_of(made), 1))
        for station in made.stations:
            own = [(number, *one) for number, one in numbered if one[1].station is station]
            if own:
                _Part(book, made, station).write(own)
        page = book.add_worksheet(KEY)
        page.hide()
        for number, row in enumerate(key_of(made, page_number(made))):
            page.write_string(number, 0, row)
    return out.getvalue()


def _day(book: Any, made: Round) -> None:
    """Who goes, what must be off, what to bring; the cells for who did it and on which day."""
    assert made.crew is not None
    page = book.add_worksheet(DAY)
    wrapped = book.add_format({"text_wrap": True, "valign": "top"})
    bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
    white = book.add_format({"border": 1, "bg_color": "#FFFFFF"})
    page.set_column(0, 0, LEFT, wrapped)
    page.set_column(1, 1, RIGHT, wrapped)
    rows: list[tuple[str, str, Any]] = [
        (made.title, made.site, bold),
        (NO_PERMIT, "", bold),
        (HALF, "", wrapped),
        (WHO, made.crew.name, white),
        (DONE_ON, made.crew.on, white),
        *((label, "", white) for label in PERMIT),
        *((f"off: {line}", "", wrapped) for line in made.crew.off),
        *((f"☐ bring: {one.what}", f"for {', '.join(one.places)}", wrapped) for one in made.crew.bring),
    ]
    for number, (left, right, form) in enumerate(rows):
        is_asked = form is white
        if right or is_asked:
            page.write_string(number, 0, _safe(left), wrapped if is_asked else form)
            page.write_string(number, 1, _safe(right), white if is_asked else wrapped)
        else:
            page.merge_range(number, 0, number, 1, _safe(left), form)
        whole = not right and not is_asked
        page.set_row(number, _height((left, LEFT + RIGHT if whole else LEFT), (right, RIGHT)))
    page.set_portrait()
    page.fit_to_pages(1, 0)


class _Part:
    """One part of the day: what is done with this much off."""

    def __init__(self, book: Any, made: Round, station: Station) -> None:
        self.made, self.station = made, station
        self.page = book.add_worksheet(f"{station.place} {station.needs}"[:31])
        add = book.add_format
        self.bold, self.head = add({"bold": True, "text_wrap": True, "valign": "top"}), add({"bold": True, "bottom": 1})
        self.told = add({"text_wrap": True, "valign": "top", "bg_color": "#EFEFEF", "font_size": 9})
        self.asked = add({"border": 1, "bg_color": "#FFFFFF", "text_wrap": True, "valign": "top"})

    def write(self, lines: list[tuple[int, Stop, Job | Question, Line]]) -> None:
        page, last = self.page, len(COLUMNS) - 1
        page.merge_range(0, 0, 0, last, _safe(f"{self.made.title}: white cells only"), self.bold)
        page.merge_range(1, 0, 1, last, f"{self.station.lead} {self.station.safety}", self.bold)
        page.set_row(1, 48)
        for place, (name, width) in enumerate(COLUMNS):
            page.write_string(TOP, place, name, self.head)
            page.set_column(place, place, width)
        page.freeze_panes(TOP + 1, 2)
        page.set_landscape()
        page.fit_to_pages(1, 0)
        page.repeat_rows(TOP)
        for row, (number, stop, what, line) in enumerate(lines, TOP + 1):
            self._line(row, number, stop, what, line)

    def _line(self, row: int, number: int, stop: Stop, what: Job | Question, line: Line) -> None:
        is_job = isinstance(what, Job)
        about, why = _of_job(what) if isinstance(what, Job) else _of_question(what)
        place = f"lineup {stop.at}" if stop.is_bus else stop.at
        found = line.found_unit if is_job else line.unit
        told = (str(number), place, stop.cubicle, stop.description, about, why)
        self.page.set_row(row, _height(*((text, COLUMNS[at][1]) for at, text in enumerate(told))))
        for column, text in enumerate(told):
            self.page.write_string(row, column, _safe(text), self.told)
        result, seen, note = (
            next(n for n, (name, _) in enumerate(COLUMNS) if name == own) for own in (RESULT, FOUND, NOTE)
        )
        self.page.write_blank(row, result, None, self.asked)
        asks_found = bool(what.ask) if isinstance(what, Job) else what.target is not None
        self.page.write_blank(row, seen, None, self.asked if asks_found else self.told)
        self.page.write_string(row, seen + 1, _safe(found), self.told)
        self.page.write_blank(row, note, None, self.asked)
        choices = what.choices if isinstance(what, Job) else what.column.choices
        rule: dict[str, Any] = {"validate": "any"}
        if choices and len(",".join(choices)) <= 255:
            rule = {"validate": "list", "source": list(choices), "error_type": "warning"}
        self.page.data_validation(row, result, row, result, rule | {"input_message": visible(about)[:255]})


def _height(*cells: tuple[str, int]) -> float:
    """The height of a row in which each text has a column so wide: not every program works it out for itself."""
    return 15.0 * max(sum(1 + len(line) // width for line in text.split("\n")) for text, width in cells)


def _of_job(job: Job) -> tuple[str, str]:
    caution = [f"Caution: {' '.join(job.caution.split())}"] if job.caution else []
    measured = [f"Measure: {job.ask}"] if job.ask else []
    return job.title, "\n".join([*job.told, *(f"- {step}" for step in job.steps), *caution, *measured])


def _of_question(asked: Question) -> tuple[str, str]:
    column = asked.column
    on_file = asked.origin or "nothing" if asked.on_file is None else shown(asked.on_file, column.unit)
    lines = [f"on file: {on_file}", *([f"{asked.doubt}: look again"] if asked.doubt else [])]
    if asked.target is None:
        return f"Read: {title(column)}", "\n".join([*lines, "or: illegible, not there, not applicable, not known"])
    return f"Set {column.name} to {shown(asked.target, column.unit)}", "\n".join([title(column), *lines])


def _safe(text: str) -> str:
    """A text that is shown as it is: neither a formula nor a character that steers."""
    return str(neutral(visible(text)))[:32000]
