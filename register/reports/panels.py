"""What is to be drawn of a start and of a window, whatever draws it: in a terminal or a picture."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, floor, log10

import numpy as np

from register.starts.model import OWN, Start, Step, Study, Window
from register.text import number

MAIN, SECOND, THIRD, BOUND, SET = "main", "second", "third", "bound", "set"
SHOWN_PAST_TRIP = 1.15  # of the latest trip, when the motor does not come up
ABOVE = 1.1  # of the highest point, which leaves room for its name
STEEP = 6.0  # times the median: beyond it a start near its lowest limit would flatten all others


@dataclass(frozen=True)
class Line:
    """One line: what it is, its points, and the look that sets it apart."""

    label: str
    x: np.ndarray
    y: np.ndarray
    look: str


@dataclass(frozen=True)
class Level:
    """A bound: across the panel at a value of y, named above or below, or upright at one of x."""

    label: str
    at: float
    look: str = BOUND
    upright: bool = False
    named_below: bool = False


@dataclass(frozen=True)
class Panel:
    """One set of axes, with its lines and bounds, and the stretch of x that is marked.

    y begins at 0; without `x_title` the axis is that of the panel below.
    """

    title: str
    x_title: str
    lines: tuple[Line, ...]
    levels: tuple[Level, ...]
    x_end: float
    y_end: float
    x_begin: float = 0.0
    marked: tuple[float, float] | None = None
    marked_words: str = ""


@dataclass(frozen=True)
class Drawing:
    """Panels that share one axis, one below the other, and panels beside them."""

    title: str
    below: tuple[Panel, ...]
    beside: tuple[Panel, ...]


def of_study(study: Study) -> Drawing:
    """Current, torque, speed and voltage against time; torque against speed with the load."""
    start = study.start
    end = _end_s(start)
    way = "" if study.way == OWN else " on the bypass"
    return Drawing(
        title=f"{study.tag}: start{way}, {study.how}",
        below=(_current(start, end), _torque(start, end), _speed(start, end)),
        beside=(_torque_by_speed(start),),
    )


def _end_s(start: Start) -> float:
    end = float(start.course.time_s[-1])
    if start.record is not None:
        return max(end, float(start.record.band_s[-1]))
    trips = [mark.at for mark in start.marks if mark.of == "time"]
    if start.figure("outcome").value != "starts" and trips:
        return min(end, SHOWN_PAST_TRIP * max(trips))
    return end


def _marks(start: Start, of: str, unit: str, *, upright: bool = False) -> list[Level]:
    return [
        Level(
            f"{m.words} {number(round(m.at, 2))} {unit}",
            m.at,
            SET if m.is_set else BOUND,
            upright,
            m.is_set or of == "bus",
        )
        for m in start.marks
        if m.of == of
    ]


def _current(start: Start, end: float) -> Panel:
    course = start.course
    levels = _marks(start, "current", "× FLA")
    top = max([float(course.current_xfla.max()), *(level.at for level in levels)])
    lines = (Line("line current", course.time_s, course.current_xfla, MAIN), *_recorded(start))
    top = max(top, *(float(line.y.max()) for line in lines))
    levels += _marks(start, "time", "s", upright=True)
    return Panel("Current, × FLA", "", lines, tuple(levels), end, ABOVE * top)


def _recorded(start: Start) -> Iterator[Line]:
    """The current of a start that was recorded, and both ends of the study's band."""
    record = start.record
    if record is not None:
        yield Line("recorded", record.time_s, record.current_xfla, SECOND)
        yield Line("band", record.band_s, record.high_xfla, THIRD)
        yield Line("", record.band_s, record.low_xfla, THIRD)


def _torque(start: Start, end: float) -> Panel:
    course = start.course
    lines = (
        Line("motor", course.time_s, course.torque_pct, MAIN),
        Line("load", course.time_s, course.load_pct, SECOND),
    )
    return Panel("Torque, % of full load", "", lines, (), end, _top(lines))


def _speed(start: Start, end: float) -> Panel:
    course = start.course
    lines = (Line("speed, of synchronous", course.time_s, course.speed_pct, MAIN),)
    if start.has("dip_pct"):
        lines += (Line("bus voltage, of before", course.time_s, course.bus_pct, SECOND),)
    levels = tuple(_marks(start, "bus", "%"))
    return Panel("Speed and bus voltage, %", "Time, s", lines, levels, end, 108.0)


def _torque_by_speed(start: Start) -> Panel:
    curves = start.curves
    lines = (
        Line("motor at full voltage", curves.speed_pct, curves.full_pct, THIRD),
        Line("motor as started", curves.started_speed_pct, curves.started_pct, MAIN),
        Line("load", curves.speed_pct, curves.load_pct, SECOND),
    )
    title, x_title = "Torque against speed, % of full load", "Speed, % of synchronous"
    return Panel(title, x_title, lines, (), 100.0, _top(lines))


def _top(lines: tuple[Line, ...]) -> float:
    return ABOVE * max(float(line.y.max()) for line in lines)


def of_window(window: Window) -> Drawing:
    """Time against current limit; dip, heat and duty as shares of their bounds."""
    steps = [step for step in window.steps if step.time_s is not None]
    x = np.array([step.limit_xfla for step in steps])
    begin, end = window.steps[0].limit_xfla, window.steps[-1].limit_xfla
    marked = {"marked": window.workable, "marked_words": "workable"}
    seconds = np.array([step.time_s for step in steps])
    time = Line("", x, seconds, MAIN)
    shares = tuple(_shares(window, steps, x))
    top = max([120.0, *(float(line.y.max()) for line in shares)])
    share = Panel(
        "Share of its bound, %",
        "Current limit, × FLA",
        shares,
        (Level("bound", 100.0),),
        end,
        ABOVE * min(top, 400.0),
        begin,
        **marked,
    )
    most = min(float(seconds.max()), STEEP * float(np.median(seconds)))
    first = Panel("Time to full speed, s", "", (time,), (), end, ABOVE * most, begin, **marked)
    return Drawing(f"{window.tag}: start window, {window.how}", (first, share), ())


def _shares(window: Window, steps: list[Step], x: np.ndarray) -> list[Line]:
    held = window.held_against
    looks = {"dip": ("dip_pct", SECOND), "heat": ("motor_heat_pct", MAIN), "duty": ("duty_s", THIRD)}
    names = {"dip": "dip of the bus", "heat": "heat of the motor", "duty": "duty of the device"}
    lines = []
    for name, (attribute, look) in looks.items():
        values = [getattr(step, attribute) for step in steps]
        if name in held and None not in values:
            lines.append(Line(names[name], x, 100.0 * np.array(values) / held[name], look))
    return lines


def ticks(begin: float, end: float, most: int) -> list[float]:
    """Round numbers between two ends, at most so many."""
    least = (end - begin) / max(most, 1)
    size = 10.0 ** floor(log10(least))
    step = next(size * by for by in (1.0, 2.0, 5.0, 10.0) if size * by >= least)
    first = ceil(begin / step - 1e-9)
    return [step * n for n in range(first, floor(end / step + 1e-9) + 1)]
