"""A round as one object: what is asked, where, in the order of the walk; nothing formatted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from register.columns.model import Column
from register.rounds.follow_ups import CONDITION, Condition
from register.rounds.stations import Station, station


@dataclass(frozen=True, slots=True)
class Question:
    """One cell of the register to be filled, or looked at again.

    `row` is the key of the row that is there, None where there is none. `on_file` is its value, and `origin` where that
    came from, or why there is none; `doubt` is why it is not believed. `also` are further positions that the answer is
    for, where they share a row. `condition` is set where the answer to another question decides whether this one
    applies; where it `follows`, no verdict waits for it yet.
    """

    column: Column
    row: str | None
    on_file: float | str | None = None
    origin: str = ""
    doubt: str = ""
    also: tuple[str, ...] = ()
    condition: Condition | None = None
    follows: bool = False

    @property
    def station(self) -> Station:
        """Where one stands for it."""
        return station(self.column.name)


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


@dataclass(frozen=True)
class Round:
    """All of a round. `left_out` counts readings that no round can bring, by the reason why."""

    register: str
    site: str
    title: str
    made_on: str
    practice: str
    stops: tuple[Stop, ...]
    left_out: Mapping[str, int] = field(default_factory=dict)

    @cached_property
    def count(self) -> int:
        """How many questions there are, those included that may not apply."""
        return sum(len(stop.questions) for stop in self.stops)

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
