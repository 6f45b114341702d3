"""A start that was seen beside the study of it: whether they agree, and which assumed value would reconcile them."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

import numpy as np

from register.calc.start_course import STARTS as UP
from register.calc.start_strain import overload
from register.calc.stress import TRIPS
from register.calc.study import Start
from register.starts.model import MAY_STALL, STARTS, Figure
from register.starts.one_start import Run
from register.text import shown

FACTORS = np.linspace(0.4, 1.8, 57)
# What may be wrong, in words, the facts behind it, and how far it can be off.
DOUBTED = (
    ("an inertia of", ("load_inertia_kgm2", "rotor_inertia_kgm2"), (0.4, 1.8)),
    ("a load torque of", ("load_torque_pct", "load_breakaway_pct"), (0.4, 1.8)),
    ("a bus voltage of", ("bus_voltage_v",), (0.8, 1.15)),
)


def figures(run: Run) -> list[Figure]:
    """Time and current of the start that was measured, held against the study's band."""
    values = run.case.values
    if values["start_seen"] is None or run.case.trial.tried:
        return []
    bands = (
        ("measured_start_s", "time to full speed, measured", "s", run.banded(lambda march: march.start_s)),
        ("measured_start_peak_a", "highest line current, measured", "A", _amperes(run)),
    )
    return [
        Figure(name, sentence, values[name], unit, within=bool(low <= values[name] <= high))
        for name, sentence, unit, (_, low, high) in bands
        if values[name] is not None and isfinite(low + high)
    ]


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
    works = run.outcome in (STARTS, MAY_STALL) and not run.trips_first()
    if works and (seconds is None or low <= seconds <= high or not isfinite(low + high)):
        yield (
            "This start was seen to work, as the study has it."
            if run.outcome == STARTS
            else ("By the study it may stall; a start that was seen to work since it is set so decides: it starts.")
        )
        return
    seen = f"it was measured to take {shown(seconds, 's')}" if seconds is not None else "it was seen to work"
    yield f"Study and plant disagree: {seen}; by the study it {_by_study(run, low, high)}. Believe the plant."
    found = [_would(run, words, names, ends, seconds) for words, names, ends in DOUBTED]
    told = [saying for saying in found if saying]
    if told:
        yield f"What would reconcile them: {'; or '.join(told)}. Nothing is changed by itself: read the assumed first."
    else:
        yield "No inertia, load torque or voltage near those entered reconciles them: read the settings at the device."


def _by_study(run: Run, low: float, high: float) -> str:
    if run.outcome != STARTS:
        return run.outcome
    if run.trips_first():
        return "trips its overload on the way"
    return f"takes {shown(float(f'{low:.2g}'), '')} to {shown(float(f'{high:.2g}'), 's')}"


def _amperes(run: Run) -> tuple[float, float, float]:
    fla = run.case.values["fla_a"]
    return tuple(peak * fla for peak in run.banded(lambda march: march.peak))


def _would(run: Run, words: str, names: tuple[str, ...], ends: tuple[float, float], seconds: float | None) -> str:
    """The value that brings the centre's time to the measured one, or lets it start at all; "" where none near does."""
    factors = FACTORS[(ends[0] <= FACTORS) & (ends[1] >= FACTORS)]
    many = run.start.take(np.zeros(len(factors), int))
    facts = {**many.facts, **{name: many.facts[name] * factors for name in names}}
    start = Start(facts, many.control)
    march = start.march(start.machine())
    holds = overload(start, march).state != TRIPS
    times = np.where((march.status == UP) & holds, march.start_s, np.inf)
    factor = _crossing(factors, times, seconds) if seconds is not None else _nearest_start(factors, times)
    if factor is None:
        return ""
    name = names[0]
    value, unit = run.case.values[name] * factor, run.case.input(name).unit
    assumed = ", which is assumed now" if run.case.input(name).is_assumed else ""
    return f"{words} {shown(float(f'{value:.2g}' if unit != 'V' else f'{value:.0f}'), unit)}{assumed}"


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
