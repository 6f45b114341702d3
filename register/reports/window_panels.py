"""What is to be drawn of a start window: time and heat against the limit, and which bound forbids where."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from register.reports.panels import (
    ABOVE,
    BOUND,
    MAIN,
    SECOND,
    SET,
    THIRD,
    Between,
    Drawing,
    Level,
    Line,
    Panel,
    Strip,
    Strips,
    caption,
)
from register.reports.start_answers import BOUNDS
from register.reports.start_answers import of_window as answer
from register.starts.model import Step, Window

STEEP = 6.0  # times the median: beyond it a start near its lowest limit would flatten all others
MOST_SHARE = 400.0  # % of a bound, beyond which how far matters no more
HALF = 0.025  # ×FLA, half of what lies between two limits of a window
NEXT = 3.0 * HALF  # ×FLA, within which two limits are neighbours
ROOM = 0.1  # ×FLA beside a present limit that lies outside


def of_window(window: Window, day: str = "") -> Drawing:
    """Time against current limit; dip, heat and duty as shares of their bounds; each bound where it forbids."""
    steps = [step for step in window.steps if step.time_s is not None]
    x = np.array([step.limit_xfla for step in steps])
    begin, end = _ends(window)
    words = "workable" if window.workable else "nothing workable"
    seconds = np.array([step.time_s for step in steps])
    latest = [s.time_high_s if isinstance(s.time_high_s, float) else np.inf for s in steps]
    most = min(float(seconds.max()), STEEP * float(np.median(seconds))) * ABOVE if steps else 1.0
    between = (Between(x, seconds, np.minimum(latest, 2.0 * most)),) if steps else ()
    lines = (Line("as the centre of its band", x, seconds, MAIN),) if steps else ()
    named = tuple(_limits(window))
    first = Panel("Time to full speed, s", "", lines, named, end, most, begin, window.workable, words, between)
    shares = tuple(_shares(window, steps, x))
    top = max([120.0, *(float(line.y.max()) for line in shares)])
    unnamed = tuple(Level("", level.at, level.look, upright=True) for level in named)
    share = Panel(
        "Share of its bound, as the centre of its band, %",
        "Current limit, × FLA",
        shares,
        (Level("bound", 100.0), *unnamed),
        end,
        ABOVE * min(top, MOST_SHARE),
        begin,
        window.workable,
        by_decades=True,
    )
    strips = Strips("Where each bound forbids", tuple(_strips(window, begin)), unnamed)
    said = answer(window)
    title, subtitle = caption(window, said, day, window.how)
    return Drawing(title, subtitle, (first, share), (), strips, _described(window, said))


def _ends(window: Window) -> tuple[float, float]:
    begin, end = window.steps[0].limit_xfla, window.steps[-1].limit_xfla
    if window.set_xfla is not None:
        begin, end = min(begin, window.set_xfla - ROOM), max(end, window.set_xfla + ROOM)
    return (begin, end) if end > begin else (begin - ROOM, end + ROOM)


def _limits(window: Window) -> Iterator[Level]:
    if window.set_xfla is not None:
        yield Level(f"set {window.set_xfla:g} × FLA", window.set_xfla, SET, upright=True)
    if window.recommended_xfla is not None:
        yield Level(f"recommended {window.recommended_xfla:g} × FLA", window.recommended_xfla, BOUND, upright=True)


def _shares(window: Window, steps: list[Step], x: np.ndarray) -> Iterator[Line]:
    held = window.held_against
    looks = {"dip": ("dip_pct", SECOND), "heat": ("motor_heat_pct", MAIN), "duty": ("duty_s", THIRD)}
    for name, (attribute, look) in looks.items():
        values = [getattr(step, attribute) for step in steps]
        if steps and name in held and None not in values:
            yield Line(BOUNDS[name], x, 100.0 * np.array(values) / held[name], look)


def _strips(window: Window, begin: float) -> Iterator[Strip]:
    """A strip for each bound: the stretches of limits that pass it, or that it was not judged."""
    bounds, unjudged = dict(window.bounds), dict(window.unjudged)
    for name, words in BOUNDS.items():
        if name in unjudged:
            read = ", ".join(unjudged[name])
            yield Strip(words, f"not judged: read {read}" if read else "not judged: not known", (), judged=False)
        elif name in bounds or name == "start":
            over = [step.limit_xfla for step in window.steps if name in step.crossed]
            spans = _joined(over, HALF)
            if name == "start":
                spans = _joined_to(begin, window.steps[0].limit_xfla, spans)
            yield Strip(words, bounds.get(name, ""), spans)


def _joined(limits: list[float], half: float) -> tuple[tuple[float, float], ...]:
    """Stretches of neighbouring limits, half a step longer at either end."""
    spans: list[tuple[float, float]] = []
    for limit in limits:
        if spans and limit - spans[-1][1] < NEXT:
            spans[-1] = (spans[-1][0], limit)
        else:
            spans.append((limit, limit))
    return tuple((low - half, high + half) for low, high in spans)


def _joined_to(begin: float, first: float, spans: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    """The stretches, with what lies below the window's first limit, at which the load does not turn."""
    if spans and spans[0][0] <= first:
        return (begin, spans[0][1]), *spans[1:]
    return (begin, first), *spans


def _described(window: Window, said: str) -> str:
    """The picture in words, for who can't see it."""
    told = [said]
    for name, words in (("start", ""), *window.bounds):
        over = [step.limit_xfla for step in window.steps if name in step.crossed]
        where = " and ".join(f"{low:.2f} to {high:.2f}" for low, high in _joined(over, 0.0))
        held = f"{BOUNDS[name].capitalize()} ({words})" if words else BOUNDS[name].capitalize()
        told.append(f"{held} forbids {where} × FLA." if where else f"{held} forbids no limit.")
    told += [f"{BOUNDS[name].capitalize()} was not judged." for name, _ in window.unjudged]
    return " ".join(told)
