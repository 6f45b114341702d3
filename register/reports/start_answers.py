"""A start and a window of starts in one sentence each: the first line of a screen, the title of a picture."""

from __future__ import annotations

from collections.abc import Iterable

from register.starts.model import FAILOVER, MAY_STALL, STARTS, Figure, Start, Study, Window
from register.text import shown

BOUNDS = {
    "start": "coming up to speed",
    "dip": "dip of the bus",
    "heat": "heat of the motor",
    "overload": "overload",
    "duty": "duty of the device",
    "breaker": "main breaker",
    "device": "range of the device",
}
HELD = {
    "dip_pct": "dip of the bus",
    "motor_heat_pct": "heat of the motor",
    "overload": "overload",
    "duty_s": "duty of the device",
    "duty_peak": "current in the device",
    "main_breaker_pct": "main breaker",
}
ANYHOW = ("outcome", "torque_margin_pct")  # said already by what becomes of the start


def of_study(made: Study) -> str:
    """What becomes of the start, what it exceeds, and what is too near a bound to tell."""
    way = " on the bypass" if made.way == FAILOVER else ""
    if made.start is None:
        return f"{made.tag}{way}: can't tell, {made.why_not}."
    figures = [f for f in made.start.figures if f.name not in ANYHOW]
    over = [_named(f) for f in figures if f.within is False and not saves(f, figures)]
    near = [_named(f) for f in figures if f.within is None and f.value is not None and f.bound is not None]
    unknown = [_named(f) for f in figures if f.name in HELD and (f.value is None or (f.to_read and f.bound is None))]
    parts = [f"{made.tag}{way} {_outcome(made.start)}"]
    parts += [f"not within its bound: {', '.join(over)}"] if over else []
    parts += [f"too near its bound to tell: {', '.join(near)}"] if near else []
    parts += [f"not known: {', '.join(unknown)}"] if unknown else []
    within = f"{parts[0]}, within every bound." if made.start.has("time_s") else f"{parts[0]}."
    return "; ".join(parts) + "." if len(parts) > 1 else within


def saves(figure: Figure, figures: Iterable[Figure]) -> bool:
    """Whether that is the overload's trip at a motor that does not come up: it is what saves the motor."""
    return figure.name == "overload" and figure.value == "trips" and all(f.name != "time_s" for f in figures)


def _outcome(start: Start) -> str:
    word = start.figure("outcome").value
    if start.has("time_s"):
        time = start.figure("time_s")
        least, most = f"{time.low:.3g}", MAY_STALL if isinstance(time.high, str) else f"{time.high:.3g} s"
        word = f"{word}: {time.value:.3g} s to full speed" if word != STARTS else f"{word} in {time.value:.3g} s"
        return word if f"{time.value:.3g} s" == most else f"{word} ({least} to {most})"
    lowest = start.figure("lowest_limit_xfla").value if start.has("lowest_limit_xfla") else None
    if isinstance(lowest, float):
        return f"{word}; lowest workable limit {lowest:.3g} × FLA"
    return str(word)


def _named(figure: Figure) -> str:
    name = HELD.get(figure.name, figure.sentence)
    return f"{name} ({figure.value})" if figure.name == "overload" and figure.value else name


def of_window(made: Window) -> str:
    """Which limits are workable, and where the present one lies; or that none is, and what forbids each."""
    if made.why_not:
        return f"{made.tag}: can't tell, {made.why_not}."
    if made.workable is None:
        return f"{made.tag}: nothing workable; {why_nothing(made)}.{_set(made)}"
    low, high = made.workable
    recommended = f"recommended {made.recommended_xfla:g} × FLA"
    return f"{made.tag}: workable {low:.2f} to {high:.2f} × FLA, {recommended}.{_set(made)}"


def _set(made: Window) -> str:
    if made.set_xfla is None:
        return ""
    if made.workable is None:
        return f" Set to {shown(made.set_xfla, '×FLA')}."
    low, high = made.workable
    where = "below" if made.set_xfla < low else "above" if made.set_xfla > high else "within it"
    return f" Set to {shown(made.set_xfla, '×FLA')}: {where}."


def why_nothing(made: Window) -> str:
    """The bounds that forbid, the one that forbids most first: at every limit, or over which stretch."""
    spans = {name: [s.limit_xfla for s in made.steps if name in s.crossed] for name in BOUNDS}
    spans = {name: limits for name, limits in spans.items() if limits}
    always = [BOUNDS[name] for name, limits in spans.items() if len(limits) == len(made.steps)]
    if always:
        return f"{' and '.join(always)} forbid{'s' if len(always) == 1 else ''} every limit"
    most_first = sorted(spans, key=lambda name: -len(spans[name]))
    return ", ".join(f"{BOUNDS[n]} forbids {spans[n][0]:.2f} to {spans[n][-1]:.2f}" for n in most_first) + " × FLA"
