"""A round as one object: what is asked, where, in the order of the walk; nothing formatted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from register.columns.model import Column
from register.rounds.follow_ups import CONDITION, Condition
from register.rounds.stations import STATIONS, Station, station


@dataclass(frozen=True, slots=True)
class Question:
    """One cell of the register to be filled, or looked at again.

    `row` is the key of the row that is there, None where there is none. `on_file` is its value, and `origin` where that
    came from, or why there is none; `doubt` is why it is not believed. `also` are further positions that the answer is
    for, where they share a row. `condition` is set where the answer to another question decides whether this one
    applies; where it `follows`, no verdict waits for it yet. `target` is what is to be set, where it is a setting to
    change; it is done `where` that says, and not where the column is read.
    """

    column: Column
    row: str | None
    on_file: float | str | None = None
    origin: str = ""
    doubt: str = ""
    also: tuple[str, ...] = ()
    condition: Condition | None = None
    follows: bool = False
    target: float | str | None = None
    where: Station | None = None

    @property
    def station(self) -> Station:
        """Where one stands for it."""
        return self.where or station(self.column.name)


@dataclass(frozen=True, slots=True)
class Job:
    """Something to do at a stop: a task of the programme (`table` record), or a corrective action (action).

    `name` is the kind of the record, or the number of the action. `choices` are the results that can be ticked; `ask`
    is what is measured with it, in `unit`, empty where nothing is. `told` says in lines why, and since when it waits.
    """

    table: str
    name: str
    title: str
    station: Station
    choices: tuple[str, ...]
    told: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    caution: str = ""
    ask: str = ""
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Bring:
    """Something to bring, and for which places: a tool with its range, or a part from store."""

    what: str
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Crew:
    """The head of a crew's page: for whom and which day, what to bring, what must be off; each a line."""

    name: str
    on: str
    bring: tuple[Bring, ...]
    off: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stop:
    """A position, or a lineup (`is_bus`), with what is asked there; `told` says in a line what is installed."""

    at: str
    is_bus: bool
    description: str
    told: str
    area: str
    bus: str
    cubicle: str
    critical: bool
    questions: tuple[Question, ...]
    jobs: tuple[Job, ...] = ()


@dataclass(frozen=True)
class Round:
    """All of a round, or of a day where it has a `crew`. `left_out` counts what it cannot bring, by the reason why."""

    register: str
    site: str
    title: str
    made_on: str
    practice: str
    stops: tuple[Stop, ...]
    left_out: Mapping[str, int] = field(default_factory=dict)
    crew: Crew | None = None
    stations: tuple[Station, ...] = STATIONS

    @cached_property
    def count(self) -> int:
        """How many questions there are, those included that may not apply."""
        return sum(len(stop.questions) for stop in self.stops)

    @property
    def jobs(self) -> Iterator[tuple[Stop, Job]]:
        """Each job with its stop, in the order of the walk."""
        return ((stop, job) for stop in self.stops for job in stop.jobs)

    def at(self, where: Station) -> Iterator[tuple[Stop, tuple[Question, ...]]]:
        """The stops that have something to ask at a station, with what that is."""
        for stop in self.stops:
            own = tuple(question for question in stop.questions if question.station is where)
            if own:
                yield stop, own


def condition_among(name: str, asked: set[str]) -> Condition | None:
    """On what a question depends, where that is asked at the same stop."""
    condition = CONDITION.get(name)
    return condition if condition and condition.column in asked else None
