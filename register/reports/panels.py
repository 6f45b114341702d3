"""What is to be drawn of a start and of a window, whatever draws it: in a terminal or a picture."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, floor, log10

import numpy as np

from register.reports.start_answers import of_study as answer
from register.starts.model import OWN, Start, Study, Window
from register.text import number

MAIN, SECOND, THIRD, BOUND, SET = "main", "second", "third", "bound", "set"
SHOWN_PAST_TRIP = 1.15  # of the latest trip, when the motor does not come up
ABOVE = 1.1  # of the highest point, which leaves room for its name


@dataclass(frozen=True)
class Line:
    """One line: what it is, its points, and the look that sets it apart."""

    label: str
    x: np.ndarray
    y: np.ndarray
    look: str


@dataclass(frozen=True)
class Level:
    """A bound: across the panel at a value of y, or upright at one of x."""

    label: str
    at: float
    look: str = BOUND
    upright: bool = False


@dataclass(frozen=True)
class Between:
    """A band: what lies between a lower and an upper line."""

    x: np.ndarray
    low: np.ndarray
    high: np.ndarray


@dataclass(frozen=True)
class Strip:
    """One bound over the x of a drawing: where it forbids; nowhere judged without `judged`."""

    label: str
    words: str
    spans: tuple[tuple[float, float], ...]
    judged: bool = True


@dataclass(frozen=True)
class Strips:
    """Bounds one below the other, with upright levels across all of them."""

    title: str
    rows: tuple[Strip, ...]
    levels: tuple[Level, ...] = ()


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
    between: tuple[Between, ...] = ()
    by_decades: bool = False  # in a picture; a terminal has too few rows for it


@dataclass(frozen=True)
class Drawing:
    """Panels that share one axis, one below the other, and panels beside them.

    `described` is the picture in words, for who can't see it; a terminal leaves the strips out.
    """

    title: str
    subtitle: str
    below: tuple[Panel, ...]
    beside: tuple[Panel, ...]
    strips: Strips | None = None
    described: str = ""


def caption(made: Study | Window, said: str, day: str, how: str) -> tuple[str, str]:
    """Title and subtitle: tag, name and result; then how, the site and the day."""
    named = f"{made.tag} {made.description}".rstrip()
    title = f"{named}{said.removeprefix(made.tag)}"
    return title, " · ".join(part for part in (how, f"certainty {made.certainty}", made.site, day) if part)


def of_study(study: Study, day: str = "") -> Drawing:
    """Current, torque, speed and voltage against time; torque against speed with the load."""
    start = study.start
    end = _end_s(start)
    way = "" if study.way == OWN else " on the bypass"
    said = answer(study)
    title, subtitle = caption(study, said, day, f"start{way}: {study.how}")
    return Drawing(
        title=title,
        subtitle=subtitle,
        below=(_current(start, end), _torque(start, end), _speed(start, end)),
        beside=(_torque_by_speed(start),),
        described=" ".join((said, *_described(start))),
    )


def _described(start: Start) -> Iterator[str]:
    """What the picture shows, in words."""
    yield "Line current, torque and speed against time, and torque against speed with the load."
    units = {"current": "× FLA", "bus": "%", "time": "s"}
    for mark in start.marks:
        yield f"{mark.words.capitalize()}: {mark.at:.3g} {units[mark.of]}."
    yield from (saying.removeprefix("- ") for saying in start.sayings)


def _end_s(start: Start) -> float:
    end = float(start.course.time_s[-1])
    if start.record is not None:
        return max(end, float(start.record.band_s[-1]))
    if start.band is not None and start.figure("outcome").value == "starts":
        return float(start.band.time_s[-1])
    trips = [mark.at for mark in start.marks if mark.of == "time"]
    if start.figure("outcome").value != "starts" and trips:
        return min(end, SHOWN_PAST_TRIP * max(trips))
    return end


def figures(value: float) -> str:
    """Three figures of a number, which is what a study knows.

    >>> figures(94.712), figures(4.2), figures(137.17)
    ('94.7', '4.2', '137')
    """
    return number(float(f"{value:.3g}"))


def _marks(start: Start, of: str, unit: str, *, upright: bool = False) -> list[Level]:
    return [
        Level(f"{m.words} {figures(m.at)} {unit}", m.at, SET if m.is_set else BOUND, upright)
        for m in start.marks
        if m.of == of
    ]


def _current(start: Start, end: float) -> Panel:
    course = start.course
    lines = (Line("line current", course.time_s, course.current_xfla, MAIN), *_recorded(start))
    highest = max(float(line.y.max()) for line in lines)
    levels = _marks(start, "current", "× FLA")
    top = max([highest, *(level.at for level in levels)])
    levels += [level for level in _marks(start, "time", "s", upright=True) if level.at <= end]
    band = start.band
    drawn = band is not None and start.record is None  # a record has a band of its own
    between = (Between(band.time_s, band.current_low_xfla, band.current_high_xfla),) if drawn else ()
    return Panel("Current, × FLA", "", lines, tuple(levels), end, ABOVE * top, between=between)


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
        lines += (Line("bus voltage, of that before the start", course.time_s, course.bus_pct, SECOND),)
    levels = tuple(_marks(start, "bus", "%"))
    band = start.band
    between = (Between(band.time_s, band.speed_low_pct, band.speed_high_pct),) if band else ()
    return Panel("Speed and bus voltage, %", "Time, s", lines, levels, end, 112.0, between=between)


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


def ticks(begin: float, end: float, most: int) -> list[float]:
    """Round numbers between two ends, at most so many."""
    least = (end - begin) / max(most, 1)
    size = 10.0 ** floor(log10(least))
    step = next(size * by for by in (1.0, 2.0, 5.0, 10.0) if size * by >= least)
    first = ceil(begin / step - 1e-9)
    return [step * n for n in range(first, floor(end / step + 1e-9) + 1)]
