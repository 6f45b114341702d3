"""A round as a workbook: a sheet a part, a row a position, white cells to fill in; `take-in` reads it back."""

from __future__ import annotations

import io
from collections.abc import Mapping
from typing import Any

import xlsxwriter

from register.columns import Column, column
from register.reports.round.data import title
from register.rounds.model import Question, Round, Stop
from register.rounds.stations import STATIONS, Station
from register.text import neutral, visible

Filled = Mapping[tuple[str, str], Any]
# What a row of a sheet says of itself besides the tag: by it the rows of motor, device and type are found again.
KEYS = {"motor": "motor", "device": "device", "setting": "device", "model": "model"}
READ_ON = "setting_recorded_on"
TITLES, HEADINGS, FIRST = 2, 3, 4  # rows, counted from 0


def workbook(made: Round, filled: Filled | None = None) -> bytes:
    """The round as a workbook; `filled` are answers to put in, by tag or bus, and column."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True}) as book:
        for station in STATIONS:
            for of_bus in (False, True):
                stops = [(stop, own) for stop, own in made.at(station) if stop.is_bus is of_bus]
                if stops:
                    _Sheet(book, made, station, stops, filled or {}).write()
    return out.getvalue()


class _Sheet:
    """One part of the round, of positions or of lineups."""

    def __init__(
        self, book: Any, made: Round, station: Station, stops: list[tuple[Stop, tuple[Question, ...]]], filled: Filled
    ) -> None:
        self.made, self.station, self.stops, self.filled = made, station, stops, filled
        self.of_bus = stops[0][0].is_bus
        asked = list(dict.fromkeys(q.column.name for _, own in stops for q in own))
        tables = dict.fromkeys(KEYS[q.column.table] for _, own in stops for q in own if q.column.table in KEYS)
        named = ["bus"] if self.of_bus else ["tag", "description", *tables]
        if any(column(name).table == "setting" for name in asked) and READ_ON not in asked:
            asked.insert(0, READ_ON)
        self.named, self.columns = named, [*named, *asked]
        self.page = book.add_worksheet(f"{station.place} {station.needs}{', lineups' if self.of_bus else ''}")
        add = book.add_format
        self.bold, self.wrapped = add({"bold": True}), add({"text_wrap": True, "valign": "top", "font_size": 9})
        self.head = add({"bold": True, "bottom": 1})
        self.not_asked, self.asked = add({"bg_color": "#D9D9D9"}), add({"border": 1, "bg_color": "#FFFFFF"})

    def write(self) -> None:
        page = self.page
        page.write_string(0, 0, visible(f"Round of {self.made.title}, {self.made.site}: white cells only"), self.bold)
        page.write_string(1, 0, f"{self.station.lead} {self.station.safety}".strip())
        for place, name in enumerate(self.columns):
            known = column(name)
            page.write_string(TITLES, place, "" if name in self.named else title(known), self.wrapped)
            page.write_string(HEADINGS, place, f"{name} [{known.unit}]" if known.unit else name, self.head)
        page.set_row(TITLES, 48)
        page.set_column(0, len(self.columns), 16)
        page.freeze_panes(FIRST, 1)
        page.set_landscape()
        page.fit_to_pages(1, 0)
        page.repeat_rows(TITLES, HEADINGS)
        for number, (stop, own) in enumerate(self.stops, FIRST):
            self._row(number, stop, {q.column.name: q for q in own})

    def _row(self, number: int, stop: Stop, own: dict[str, Question]) -> None:
        rows = {KEYS[q.column.table]: q.row.split(" | ")[0] for q in own.values() if q.row and q.column.table in KEYS}
        known = {"tag": stop.at, "bus": stop.at, "description": stop.description, **rows}
        settings = any(q.column.table == "setting" for q in own.values())
        for place, name in enumerate(self.columns):
            if name in self.named:
                self.page.write_string(number, place, str(neutral(known.get(name, ""))))
            elif name in own or (name == READ_ON and settings):
                self._cell(number, place, stop, column(name), own.get(name))
            else:
                self.page.write_blank(number, place, None, self.not_asked)

    def _cell(self, number: int, place: int, stop: Stop, asked: Column, question: Question | None) -> None:
        value = self.filled.get((stop.at, asked.name), "")
        if isinstance(value, str):
            self.page.write_string(number, place, value, self.asked) if value else self.page.write_blank(
                number, place, None, self.asked
            )
        else:
            self.page.write_number(number, place, value, self.asked)
        told = _told(asked, question)
        rule: dict[str, Any] = {"validate": "any"}
        if asked.choices and len(",".join(asked.choices)) <= 255:
            rule = {"validate": "list", "source": list(asked.choices), "error_type": "warning"}
        rule |= {"input_title": asked.name[:32], "input_message": told[:255]}
        self.page.data_validation(number, place, number, place, rule)


def _told(asked: Column, question: Question | None) -> str:
    """What a person is told beside a cell: what is on file, why it is not believed, the range, when it applies."""
    parts = []
    if question:
        on_file = question.origin or "nothing" if question.on_file is None else f"{question.on_file} {asked.unit}"
        parts.append(f"On file: {on_file.strip()}")
        parts += [f"{question.doubt}: look again"] if question.doubt else []
        if question.condition:
            words = " or ".join(question.condition.words) or f"more than {question.condition.more_than:g}"
            parts.append(f"Only where {question.condition.column} is {words}")
    if asked.low is not None and asked.high is not None:
        parts.append(f"{asked.low:g} to {asked.high:g} {asked.unit}".strip())
    return visible(". ".join([*parts, "Or: illegible, not applicable"]))
