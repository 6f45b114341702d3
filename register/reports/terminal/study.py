"""The study of a start, and a start window, in a terminal."""

from __future__ import annotations

from math import isfinite

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from register.audit.report import read_at
from register.reports import panels, start_answers, window_panels
from register.reports.terminal import braille
from register.reports.terminal.report import table, titled
from register.starts.model import FAILOVER, Figure, Start, Step, Study, Window
from register.text import shown

ROWS = 13
# What moves a study most, first.
# fmt: off
WORTH_MEASURING = (
    "load_inertia_kgm2", "load_breakaway_pct", "load_torque_pct", "locked_rotor_torque_pct",
    "breakdown_torque_pct", "locked_rotor_ratio", "load_curve", "hot_stall_s", "efficiency_pct",
    "cable_length_m", "dip_limit_pct",
)
# fmt: on
CAUTION = (
    "A study does not authorise energising. Isolate, lock and prove dead before working on it; before it "
    "is first started: connections checked, doors closed, nobody near the machine or the cubicle, "
    "then a bump test for rotation with the load free to turn either way. An arc flash kills at "
    "arm's length. Local codes and licensed practice decide."
)
PASSED = {
    "start": "may not start",
    "dip": "dip",
    "heat": "motor heat",
    "overload": "overload",
    "duty": "device duty",
    "breaker": "main breaker",
    "device": "device range",
}
BELOW = {
    "start": "it may not come up to speed",
    "dip": "the bus dips deeper than allowed",
    "heat": "the motor takes more heat than it withstands",
    "overload": "the overload may trip",
    "duty": "the device's duty code is exceeded",
    "breaker": "the main breaker trips",
    "device": "the device can't be set so",
}


def study(made: Study, width: int, *, fine: bool = True) -> RenderableType:
    """One start: verdict, figures, what they mean, what they assume, curves, cautions."""
    parts: list[RenderableType] = [Text(start_answers.of_study(made), style="bold"), _head(made)]
    if made.start is None:
        parts += _why_not(made.why_not, made.to_read)
    else:
        parts += [
            titled("What the start does", _figures(made.start.figures)),
            titled("What it means", _sayings(made.start)),
            Text(),
            braille.drawing(panels.of_study(made), width, fine=fine),
        ]
    parts.append(titled("What it assumes", _inputs(made)))
    if made.start is not None:
        parts.append(_next(made))
    return Group(*parts, Text(), Text(CAUTION, style="dim"))


def _head(made: Study | Window) -> RenderableType:
    way = " on the bypass" if getattr(made, "way", "") == FAILOVER else ""
    name = f"{made.tag}  {made.description}".rstrip()
    lines = [Text(name), Text(f"Start{way}: {made.how}")]
    tried = [i for i in made.inputs if i.origin == "tried"]
    if tried:
        values = ", ".join(f"{i.column} {shown(i.value, i.unit)}" for i in tried)
        lines.append(Text(f"Tried, and not in the register: {values}"))
    if getattr(made, "idle", ()):
        lines.append(Text(f"Tried, without effect in this way of starting: {', '.join(made.idle)}"))
    if not made.why_not:
        lines.append(Text(f"Certainty {made.certainty}: {made.certainty_words}"))
    return Group(*lines)


def _why_not(reason: str, to_read: tuple[str, ...]) -> list[RenderableType]:
    lines: list[RenderableType] = [Text(), Text(f"Can't be studied: {reason}.", style="bold")]
    if to_read:
        rows = table("Field", "is read at")
        for name in to_read:
            rows.add_row(name, read_at(name))
        lines.append(titled("To read or check", rows))
    return lines


def _figures(figures: tuple[Figure, ...]) -> RenderableType:
    rows = table("Result", "Figure", "Held against", "")
    for figure in figures:
        verdict = {True: "within", False: "OVER", None: ""}[figure.within]
        if start_answers.saves(figure, figures):
            verdict = ""
        elif figure.bound is None:
            verdict = {True: "", False: "NO", None: ""}[figure.within]
        bound = "" if figure.bound is None else shown(figure.bound, _unit(figure))
        rows.add_row(figure.sentence, value_of(figure), bound, verdict)
    return rows


def _unit(figure: Figure) -> str:
    return "" if isinstance(figure.bound, str) else figure.unit


def value_of(figure: Figure) -> str:
    """The value with its band and unit, or the fields to read."""
    if figure.value is None:
        read = f": read {', '.join(figure.to_read)}" if figure.to_read else ""
        return f"can't tell{read}"
    if figure.low is None or _rounded(figure.low) == _rounded(figure.high):
        return shown(_rounded(figure.value), figure.unit)
    value = shown(_rounded(figure.value))
    band = " to ".join(shown(_rounded(end)) for end in (figure.low, figure.high))
    return f"{value} ({band}) {figure.unit.replace('×', '× ')}"


def _rounded(value: float | str | None) -> float | str | None:
    """Three figures: a study knows no more."""
    if not isinstance(value, float) or not isfinite(value):
        return value
    return float(f"{value:.3g}") if abs(value) < 1000.0 else round(value)


def _sayings(start: Start) -> RenderableType:
    told = start.sayings or (_without_sayings(start.figures),)
    return Group(*(Padding(Text(s[2:]), (0, 0, 0, 4), expand=False) if s.startswith("- ") else Text(s) for s in told))


def _without_sayings(figures: tuple[Figure, ...]) -> str:
    """What to say of a start without sentences of its own: whether its figures are within their bounds."""
    over = [figure.sentence for figure in figures if figure.within is False]
    return f"Not within its bound: {'; '.join(over)}." if over else "Nothing stands out."


def _inputs(made: Study | Window) -> RenderableType:
    rows = table("Value", "is", "from")
    for item in made.inputs:
        rows.add_row(item.column, shown(item.value, item.unit), item.origin)
    return rows


def _next(made: Study | Window) -> RenderableType:
    """What to measure next: the assumed values that move a study most."""
    assumed = {i.column for i in made.inputs if i.is_assumed}
    first = [name for name in WORTH_MEASURING if name in assumed][:3]
    if not first:
        return titled("To measure next", Text("One start: its current and time, and the speed if it can be had."))
    rows = table("Field", "is read at")
    for name in first:
        rows.add_row(name, read_at(name))
    note = Text(f"{len(assumed)} values are assumed; these move the result most.", style="dim")
    return titled("To measure next", Group(rows, note))


def window(made: Window, width: int, *, fine: bool = True, show_all: bool = False) -> RenderableType:
    """A start window: the workable stretch, what ends it, limit by limit."""
    parts: list[RenderableType] = [Text(start_answers.of_window(made), style="bold"), _head(made)]
    if made.why_not:
        parts += _why_not(made.why_not, made.to_read)
        parts += [Text(saying) for saying in made.sayings]
        return Group(*parts)
    parts += [Text(), *_verdict(made)]
    chosen = made.steps if show_all else _chosen(made)
    parts.append(titled("Limit by limit", _steps(made, chosen)))
    left = len(made.steps) - len(chosen)
    if left:
        parts.append(Text(f"{left} more: --all shows every one.", style="dim"))
    bounds = table("Held against", "which is")
    for name, words in made.bounds:
        bounds.add_row(PASSED[name], words)
    for name, fields in made.unjudged:
        bounds.add_row(PASSED[name], f"not judged: read {', '.join(fields)}" if fields else "not judged: not known")
    parts += [titled("Bounds", bounds), Text(), braille.drawing(window_panels.of_window(made), width, fine=fine)]
    return Group(*parts, _next(made), Text(), Text(CAUTION, style="dim"))


def _verdict(made: Window) -> list[Text]:
    if made.workable is None:
        return [Text(saying, style="bold" if n == 0 else "") for n, saying in enumerate(made.sayings)]
    low, high = made.workable
    lines = [Text(f"Workable: {low:.2f} to {high:.2f} × FLA.", style="bold")]
    lines.append(Text(f"Below {low:.2f}: {_and(made.below)}."))
    above = _and(made.above) if made.above else "the supply gives no more"
    lines.append(Text(f"Above {high:.2f}: {above}."))
    return lines


def _and(names: tuple[str, ...]) -> str:
    return " and ".join(BELOW[name] for name in names)


def _chosen(made: Window) -> tuple[Step, ...]:
    """A handful of steps, with both ends of the workable stretch and their neighbours."""
    every = max(len(made.steps) // ROWS, 1)
    ends = made.workable or ()
    kept = []
    for place, step in enumerate(made.steps):
        near = any(abs(step.limit_xfla - end) < 0.06 for end in ends)
        if place % every == 0 or near or place == len(made.steps) - 1:
            kept.append(step)
    return tuple(kept)


def _steps(made: Window, steps: tuple[Step, ...]) -> RenderableType:
    rows = table("× FLA ", "time ", "at most ", "dip ", "heat ", "overload", "duty ", "passes")
    for step in steps:
        passed = ", ".join(PASSED[name] for name in step.crossed)
        low, high = made.workable or (1.0, 0.0)
        inside = low <= step.limit_xfla <= high
        rows.add_row(
            f"{step.limit_xfla:.2f}",
            _cell(step.time_s, "s") if step.time_s is not None else step.outcome,
            _cell(step.time_high_s, "s"),
            _cell(step.dip_pct, "%"),
            _cell(step.motor_heat_pct, "%"),
            step.overload or "unknown",
            _cell(step.duty_s, "s"),
            passed or "workable",
            style="bold" if inside else "",
        )
    return rows


def _cell(value: float | str | None, unit: str) -> str:
    return "-" if value is None else shown(_rounded(value), "" if isinstance(value, str) else unit)
