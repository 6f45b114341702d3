"""What a study of starts hands on: numbers with units, limits and reasons; nothing formatted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np

from register.errors import Problem, StartrollError

OWN, FAILOVER = "own", "failover"
NO_LIMIT = "none"  # where full voltage does not take the motor to speed either
STARTS, MAY_STALL, STALLS, DOES_NOT_TURN = "starts", "may stall", "stalls", "does not turn"


@dataclass(frozen=True, slots=True)
class Input:
    """A value that a study is based on, and where it came from."""

    column: str
    sentence: str
    value: float | str
    unit: str
    origin: str

    @property
    def is_assumed(self) -> bool:
        """Whether it is assumed for a blank."""
        return self.origin.startswith("assumed: ")


@dataclass(frozen=True, slots=True)
class Figure:
    """One result: its value, band and unit, and what it is held against.

    `value` None is can't tell, with the fields `to_read`; `within` None is not judged.
    """

    name: str
    sentence: str
    value: float | str | None
    unit: str = ""
    low: float | str | None = None
    high: float | str | None = None
    bound: float | str | None = None
    within: bool | None = None
    to_read: tuple[str, ...] = ()


@dataclass(frozen=True)
class Course:
    """A start as it goes on in time, row by row.

    `time_s`; `speed_pct` of synchronous speed; `current_xfla` of the line; `bus_pct` of the bus
    voltage before the start, `terminal_pct` of the motor's rated voltage; `torque_pct` of the motor
    and `load_pct` of the load, of full-load torque.
    """

    time_s: np.ndarray
    speed_pct: np.ndarray
    current_xfla: np.ndarray
    bus_pct: np.ndarray
    terminal_pct: np.ndarray
    torque_pct: np.ndarray
    load_pct: np.ndarray


@dataclass(frozen=True)
class Record:
    """The current of a start that was recorded, and the study's band of it: the least and the greatest, all ×FLA.

    `time_s` is counted from switching on; `band_s` are the moments of the band, which has 5 % for the clamp and 3 %
    for the clock.
    """

    time_s: np.ndarray
    current_xfla: np.ndarray
    band_s: np.ndarray
    low_xfla: np.ndarray
    high_xfla: np.ndarray


@dataclass(frozen=True)
class Curves:
    """Torque against speed: the motor at full voltage, the motor as started, the load.

    `speed_pct` of synchronous speed, for the motor at full voltage and the load; the motor as
    started has speeds of its own. Torques of full-load torque.
    """

    speed_pct: np.ndarray
    full_pct: np.ndarray
    load_pct: np.ndarray
    started_speed_pct: np.ndarray
    started_pct: np.ndarray


@dataclass(frozen=True)
class Band:
    """The least and the greatest of a start's band at each moment: line current [×FLA], speed of synchronous [%]."""

    time_s: np.ndarray
    current_low_xfla: np.ndarray
    current_high_xfla: np.ndarray
    speed_low_pct: np.ndarray
    speed_high_pct: np.ndarray


@dataclass(frozen=True, slots=True)
class Mark:
    """A limit to be drawn into a chart: of what, where, in words, and whether someone set it."""

    of: str
    at: float
    words: str
    is_set: bool = False


@dataclass(frozen=True)
class Start:
    """What becomes of one start: figures, what they mean in sentences, its curves, and one that was recorded."""

    figures: tuple[Figure, ...]
    sayings: tuple[str, ...]
    course: Course
    curves: Curves
    marks: tuple[Mark, ...]
    record: Record | None = None
    band: Band | None = None

    def figure(self, name: str) -> Figure:
        """The figure of that name; KeyError when there is none."""
        for figure in self.figures:
            if figure.name == name:
                return figure
        raise KeyError(name)

    def has(self, name: str) -> bool:
        """Whether there is a figure of that name."""
        return any(figure.name == name for figure in self.figures)


@dataclass(frozen=True)
class Study:
    """The study of a start at one position, on its own device or on the bypass.

    Where it can't be done `start` is None, `why_not` says why and `to_read` which fields to read.
    `idle` are the columns tried that have no effect in this way of starting.
    """

    tag: str
    description: str
    way: str
    how: str
    certainty: str
    certainty_words: str
    inputs: tuple[Input, ...]
    start: Start | None
    why_not: str = ""
    to_read: tuple[str, ...] = ()
    idle: tuple[str, ...] = ()
    site: str = ""

    @property
    def assumed(self) -> tuple[Input, ...]:
        """The inputs that are assumed for blanks."""
        return tuple(i for i in self.inputs if i.is_assumed)

    @property
    def tried(self) -> tuple[Input, ...]:
        """The inputs that were tried and are not in the register."""
        return tuple(i for i in self.inputs if i.origin == "tried")


@dataclass(frozen=True, slots=True)
class Step:
    """A current limit of a window: what a start with it does, and which bounds it passes."""

    limit_xfla: float
    outcome: str
    time_s: float | None
    time_high_s: float | str | None
    dip_pct: float
    motor_heat_pct: float | None
    overload: str | None
    duty_s: float | None
    crossed: tuple[str, ...]


@dataclass(frozen=True)
class Window:
    """Current limits from the lowest that turns the load up to what the supply gives.

    `workable` is the longest run of steps that pass no bound, None where there is none; `below` and
    `above` name the bounds exceeded next to it. `bounds` says in words what each step is held
    against, `held_against` with a number where there is one, `unjudged` what could not be, with
    the fields to read. Where there is no window `why_not` says why. `set_xfla` is the present limit of a device that
    has one, `recommended_xfla` the limit to set where something is workable.
    """

    tag: str
    description: str
    how: str
    certainty: str
    certainty_words: str
    inputs: tuple[Input, ...]
    steps: tuple[Step, ...] = ()
    workable: tuple[float, float] | None = None
    below: tuple[str, ...] = ()
    above: tuple[str, ...] = ()
    sayings: tuple[str, ...] = ()
    bounds: tuple[tuple[str, str], ...] = ()
    held_against: Mapping[str, float] = field(default_factory=dict)
    unjudged: tuple[tuple[str, tuple[str, ...]], ...] = ()
    why_not: str = ""
    to_read: tuple[str, ...] = ()
    site: str = ""
    set_xfla: float | None = None
    recommended_xfla: float | None = None


@dataclass(frozen=True, slots=True)
class PlantStart:
    """The start at one of many positions, or the fields to read before it can be studied."""

    tag: str
    description: str
    area: str
    bus: str
    certainty: str
    provisional: bool
    outcome: str | None
    time_s: float | None
    time_low_s: float | None
    time_high_s: float | None
    peak_xfla: float | None
    dip_pct: float | None
    motor_heat_pct: float | None
    overload: str | None
    lowest_limit_xfla: float | None
    failover_outcome: str | None
    to_read: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Restart:
    """One motor of a bus that comes back: its start, when it may begin, and how deep the bus dips.

    `begins_s` None: left out, `why_not` says why.
    """

    tag: str
    description: str
    how: str
    by_itself: str | None
    peak_a: float | None = None
    start_s: float | None = None
    begins_s: float | None = None
    dip_pct: float | None = None
    why_not: str = ""
    to_read: tuple[str, ...] = ()


@dataclass(frozen=True)
class BusRestart:
    """The motors of one bus after a power dip: all at once, those that restart alone, staggered."""

    bus: str
    dip_limit_pct: float
    dip_limit_origin: str
    pause_s: float
    all_at_once_pct: float | None
    by_themselves_pct: float | None
    motors: tuple[Restart, ...]

    @property
    def sequence(self) -> tuple[Restart, ...]:
        """The motors that have a place, in order."""
        placed = (m for m in self.motors if m.begins_s is not None)
        return tuple(sorted(placed, key=lambda m: m.begins_s))

    @property
    def left_out(self) -> tuple[Restart, ...]:
        """The motors that have none."""
        return tuple(m for m in self.motors if m.begins_s is None)


def one_of(problems: Iterable[Problem]) -> None:
    """Raise StartrollError with all the problems, if there are any."""
    problems = list(problems)
    if problems:
        raise StartrollError(problems, summary="nothing was studied")
