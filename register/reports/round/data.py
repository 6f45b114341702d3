"""What the page of a round is made of, as small as it can be: columns once, and of each question what is its own."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from register.columns import Column
from register.columns.units import FOOT_M, KW_PER_HP, LB_FT2
from register.rounds.follow_ups import CONDITION
from register.rounds.model import Job, Question, Round, Stop
from register.rounds.stations import DESK, STATIONS, on_paper, station

# Units in which a plate or a tape may say it: each with its factor into the register's, and what is taken off before.
OFFERED: dict[str, tuple[tuple[str, float, float], ...]] = {
    "kW": (("kW", 1, 0), ("hp", KW_PER_HP, 0)),
    "m": (("m", 1, 0), ("ft", FOOT_M, 0)),
    "°C": (("°C", 1, 0), ("°F", 5 / 9, 32)),
    "kg·m²": (("kg·m²", 1, 0), ("lb·ft²", LB_FT2, 0)),
    "kA": (("kA", 1, 0), ("A", 1e-3, 0)),
}
# What a plate of US practice says first.
_FIRST_US = {"kW": "hp", "m": "ft", "°C": "°F", "kg·m²": "lb·ft²"}
KINDS = {"real": "n", "integer": "i", "date": "d", "text": "t"}


class _Table:
    """Values each of which is written once, and named by its number."""

    def __init__(self) -> None:
        self.numbers: dict[Any, int] = {}

    def number(self, value: Any) -> int:
        return self.numbers.setdefault(value, len(self.numbers))

    def values(self) -> list[Any]:
        return list(self.numbers)


def packed(made: Round) -> str:
    """The round as JSON that can stand in a page: no sign in it begins a tag."""
    columns, lists, names = _Table(), _Table(), _Table()
    stops = [_stop(stop, made, columns, names, lists) for stop in made.stops]
    data: dict[str, Any] = {
        "register": made.register,
        "site": made.site,
        "title": made.title,
        "made_on": made.made_on,
        "crew": made.crew is not None,
        "stations": [
            {"place": s.place, "needs": s.needs, "lead": s.lead, "safety": s.safety, "walked": s.walked}
            for s in made.stations
        ],
        "units": units(made.practice),
        "cols": [_column(column, lists) for column in columns.values()],
        "lists": lists.values(),
        "names": names.values(),
        "stops": stops,
    }
    data["page"] = hashlib.sha256(_written(data).encode("utf-8", "surrogatepass")).hexdigest()[:16]
    return _written(data).replace("<", "\\u003c")


def page_number(made: Round) -> str:
    """The number of a round: the same in each form that it is written in."""
    number: str = json.loads(packed(made))["page"]
    return number


def _written(data: Any) -> str:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"))


def units(practice: str) -> dict[str, list[tuple[str, float, float]]]:
    """The units offered for each of the register's, the usual one of the practice first."""
    first = _FIRST_US if practice == "us" else {}
    return {unit: sorted(offered, key=lambda one: one[0] != first.get(unit, unit)) for unit, offered in OFFERED.items()}


def _column(column: Column, lists: _Table) -> list[Any]:
    """Name, table, what is asked, kind, station, unit, range, list, what it depends on, where it is read."""
    where, condition = station(column.name), CONDITION.get(column.name)
    needs = condition and [condition.column, lists.number(condition.words), condition.more_than]
    return _short(
        [
            column.name,
            column.table,
            title(column),
            "c" if column.choices else KINDS[column.kind],
            STATIONS.index(where),  # of a round; a crew's page says it of each cell
            column.unit,
            column.low,
            column.high,
            lists.number(column.choices) if column.choices else None,
            needs,
            on_paper(column.name) if where is DESK else None,
        ]
    )


def title(column: Column) -> str:
    """What is asked, as a line begins."""
    return column.sentence[:1].upper() + column.sentence[1:]


def _stop(stop: Stop, made: Round, columns: _Table, names: _Table, lists: _Table) -> list[Any]:
    """Where, area, lineup, what is asked, rows by table, description, what is installed, bucket, critical, work."""
    rows = {q.column.table: 1 if q.row == stop.at else q.row for q in stop.questions if q.row is not None}
    questions = [_question(q, made, columns) for q in stop.questions]
    jobs = [_job(job, stop, made, lists) for job in stop.jobs]
    place = [stop.at, names.number(stop.area), names.number(stop.bus), questions]
    return [*place, rows, stop.description, stop.told, stop.cubicle, int(stop.critical), *([jobs] if jobs else [])]


def _job(job: Job, stop: Stop, made: Round, lists: _Table) -> list[Any]:
    """Table, name, title, station, results; then why, steps, caution, what is measured, its unit, whether of a bus."""
    own: list[Any] = [list(job.told) or None, lists.number(job.steps) if job.steps else None]
    own += [text or None for text in (job.caution, job.ask, job.unit)] + [1 if stop.is_bus else None]
    choices = lists.number(job.choices)
    return [job.table, job.name, job.title, made.stations.index(job.station), choices, *_short(own)]


def _question(question: Question, made: Round, columns: _Table) -> Any:
    """The number of its column, and what it has of its own, if anything."""
    own = [question.on_file, question.origin, question.doubt, int(question.follows), ", ".join(question.also)]
    own += [question.target, made.stations.index(question.station) if made.crew else None]
    number = columns.number(question.column)
    short = _short([value or None if 0 < n < 5 else value for n, value in enumerate(own)])
    return [number, *short] if short else number


def _short(values: list[Any]) -> list[Any]:
    """The list without the nulls at its end."""
    while values and values[-1] is None:
        values.pop()
    return values
