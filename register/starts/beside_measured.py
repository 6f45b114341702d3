"""A start that was seen beside the study of it: whether they agree, and which assumed value would reconcile them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite

import numpy as np

from register.calc import recorded_current as recording
from register.calc.recorded_current import CLAMP, CLOCK, Recorded, Stretch
from register.calc.start_course import STARTS as UP
from register.calc.start_course import March
from register.calc.start_shapes import BAND
from register.calc.start_strain import overload
from register.calc.stress import TRIPS
from register.calc.study import Start
from register.starts.model import MAY_STALL, STARTS, Figure, Record
from register.starts.one_start import Run
from register.text import shown

FACTORS = np.linspace(0.3, 3.0, 109)
MAY_START = (STARTS, MAY_STALL)
SAME_TIME = 0.02  # of the time kept beside it, within which a recorded curve is of that start
# What may be wrong, in words, the facts behind it, and how far it can be off.
DOUBTED = (
    ("an inertia of", ("load_inertia_kgm2", "rotor_inertia_kgm2"), (0.3, 3.0)),
    ("a load torque of", ("load_torque_pct", "load_breakaway_pct"), (0.4, 1.8)),
    ("a bus voltage of", ("bus_voltage_v",), (0.8, 1.15)),
)


@dataclass(frozen=True)
class Changed:
    """One value otherwise than entered: in words, and what a recorded current then misses the study by [×FLA]."""

    words: str
    misses_xfla: float


def figures(run: Run) -> list[Figure]:
    """Time and current of the start that was measured, held against the study's band."""
    values = run.case.values
    if values["start_seen"] is None or run.case.trial.tried:
        return []
    bands = (
        ("measured_start_s", "time to full speed, measured", "s", run.banded(lambda march: march.start_s), CLOCK),
        ("measured_start_peak_a", "highest line current, measured", "A", _amperes(run), CLAMP),
    )
    made = [
        Figure(name, sentence, values[name], unit, within=_between(low, values[name], high, off))
        for name, sentence, unit, (_, low, high), off in bands
        if values[name] is not None and isfinite(low + high)
    ]
    recorded = _recorded(run)
    if recorded is not None and run.outcome in MAY_START:
        stretches = recording.outside(recorded, run.marches)
        words = "; ".join(map(_where, stretches)) or "throughout"
        sentence = "recorded current outside the band" if stretches else "recorded current within the band"
        made.append(Figure("measured_current", sentence, words, within=not stretches))
    return made


def record(run: Run) -> Record | None:
    """The recorded current with the study's band, to be drawn."""
    recorded = _recorded(run)
    if recorded is None or run.outcome not in MAY_START:
        return None
    at = recording.moments(recorded, run.marches)
    seen = recorded.time_s <= at[-1]
    return Record(recorded.time_s[seen], recorded.current_xfla[seen], at, *recording.band(recorded, run.marches, at))


def sayings(run: Run) -> Iterator[str]:
    """Whether study and plant agree, and what would make them."""
    values = run.case.values
    seconds = values["measured_start_s"]
    if run.case.trial.tried:
        return
    if values["start_seen"] is None:
        if seconds is not None:
            yield "A start was measured, but before motor, device or settings were last changed: it is not compared."
        return
    _, low, high = run.banded(lambda march: march.start_s)
    works = run.outcome in MAY_START and not run.trips_first()
    in_time = works and (seconds is None or not isfinite(low + high) or _between(low, seconds, high, CLOCK))
    recorded = _recorded(run)
    beyond = recording.outside(recorded, run.marches) if recorded is not None and run.outcome in MAY_START else []
    if in_time and not beyond:
        yield (
            "This start was seen to work, as the study has it."
            if run.outcome == STARTS
            else ("By the study it may stall; a start that was seen to work since it is set so decides: it starts.")
        )
        return
    if in_time:
        yield "Study and plant agree that it starts and in what time, but not in its current. Believe the plant."
    else:
        seen = f"it was measured to take {shown(seconds, 's')}" if seconds is not None else "it was seen to work"
        yield f"Study and plant disagree: {seen}; by the study it {_by_study(run, low, high)}. Believe the plant."
    if beyond:
        yield f"The recorded current lies outside the study's band: {'; '.join(map(_where, beyond))}."
    yield _reconciled(run, recorded, seconds)


def _between(low: float, value: float, high: float, off: float) -> bool:
    """Whether a measured value lies in the band, but for the share that the instrument may be off."""
    return bool(low * (1.0 - off) <= value <= high * (1.0 + off))


def _where(stretch: Stretch) -> str:
    """Where a record lies outside, and how far."""
    by = stretch.current_xfla - stretch.end_xfla
    return (
        f"from {stretch.begins_s:.3g} to {stretch.ends_s:.3g} s {'above' if by > 0.0 else 'below'} it by up to "
        f"{abs(by):.1f} × FLA ({stretch.current_xfla:.1f} against {stretch.end_xfla:.1f})"
    )


def _reconciled(run: Run, recorded: Recorded | None, seconds: float | None) -> str:
    """Which value, otherwise than entered, would bring study and plant together."""
    by_course = _changes(run, recorded, seconds) if recorded is not None else []
    found = by_course or _changes(run, None, seconds)
    if not found:
        return "No inertia, load torque or voltage near those entered reconciles them: read the settings at the device."
    what, ranked = "them", sorted(found, key=lambda made: made.misses_xfla)
    first, *others = (made.words for made in ranked)
    if by_course:
        told = f"{first}, by the course of the current" + (f"; less likely {' or '.join(others)}" if others else "")
    else:
        told = "; or ".join((first, *others))
        what = "them" if recorded is None else "their times, though not their currents"
    return f"What would reconcile {what}: {told}. Nothing is changed by itself: read the assumed first."


def _changes(run: Run, recorded: Recorded | None, seconds: float | None) -> list[Changed]:
    return [made for doubt in DOUBTED if (made := _changed(run, recorded, doubt, seconds))]


def _recorded(run: Run) -> Recorded | None:
    """The current of the start that was measured, if it was recorded and is of that start."""
    values = run.case.values
    if values["start_seen"] is None or run.case.trial.tried or values["measured_start_s"] is None:
        return None
    found = recording.recorded_of(values["measured_start_curve"], values["fla_a"])
    if found is None or abs(found.start_s / values["measured_start_s"] - 1.0) > SAME_TIME:
        return None
    return found


def _by_study(run: Run, low: float, high: float) -> str:
    if run.outcome != STARTS:
        return run.outcome
    if run.trips_first():
        return "trips its overload on the way"
    return f"takes {shown(float(f'{low:.2g}'), '')} to {shown(float(f'{high:.2g}'), 's')}"


def _amperes(run: Run) -> tuple[float, float, float]:
    fla = run.case.values["fla_a"]
    return tuple(peak * fla for peak in run.banded(lambda march: march.peak))


def _changed(
    run: Run, recorded: Recorded | None, doubt: tuple[str, tuple[str, ...], tuple[float, float]], seconds: float | None
) -> Changed | None:
    """The value at which study and plant agree; None where none near does.

    By a recorded current it is the one that misses it least, in any of the shapes, if the record then lies in the
    band; by a time alone the one that gives the centre that time, and else the nearest with which it starts at all.
    """
    words, names, (least, most) = doubt
    factors = FACTORS[(least <= FACTORS) & (most >= FACTORS)]
    missed = 0.0
    if recorded is not None:
        factor, missed = _nearest_course(run, recorded, names, factors)
    else:
        start, (march,) = _marches(run, names, factors, BAND[:1])
        holds = overload(start, march).state != TRIPS
        times = np.where((march.status == UP) & holds, march.start_s, np.inf)
        factor = _crossing(factors, times, seconds) if seconds is not None else _nearest_start(factors, times)
    if factor is None:
        return None
    name = names[0]
    value, unit = run.case.values[name] * factor, run.case.input(name).unit
    assumed = ", which is assumed now" if run.case.input(name).is_assumed else ""
    told = shown(float(f"{value:.2g}" if unit != "V" else f"{value:.0f}"), unit)
    return Changed(f"{words} {told}{assumed}", missed)


def _marches(
    run: Run, names: tuple[str, ...], factors: np.ndarray, shapes: tuple[int, ...]
) -> tuple[Start, list[March]]:
    """The start with those facts by each of the factors, in those shapes."""
    many = run.start.take(np.zeros(len(factors), int))
    start = Start({**many.facts, **{name: many.facts[name] * factors for name in names}}, many.control)
    return start, [start.march(start.machine(shape)) for shape in shapes]


def _nearest_course(
    run: Run, recorded: Recorded, names: tuple[str, ...], factors: np.ndarray
) -> tuple[float | None, float]:
    """The factor with which a recorded current is missed least, if it then lies in the band, and by how much."""
    _, marches = _marches(run, names, factors, BAND)
    missed = np.min([recording.misfit(recorded, march) for march in marches], axis=0)
    nearest = int(missed.argmin())
    if not isfinite(missed[nearest]):
        return None, np.inf
    there = [march.take(np.array([nearest])) for march in marches]
    inside = all(march.status[0] == UP for march in there) and not recording.outside(recorded, there)
    return (float(factors[nearest]) if inside else None), float(missed[nearest])


def _crossing(factors: np.ndarray, times: np.ndarray, seconds: float) -> float | None:
    """The factor at which the time is that many seconds."""
    for i in range(len(factors) - 1):
        first, last = times[i], times[i + 1]
        if isfinite(first) and isfinite(last) and (first - seconds) * (last - seconds) <= 0.0:
            share = (seconds - first) / (last - first) if last != first else 0.0
            return float(factors[i] + share * (factors[i + 1] - factors[i]))
    return None


def _nearest_start(factors: np.ndarray, times: np.ndarray) -> float | None:
    able = factors[np.isfinite(times)]
    return float(able[np.abs(able - 1.0).argmin()]) if able.size else None
