"""Does a sheet's physics hold together: a column in the wrong unit, or sorted by itself?

What is compared: output power against √3·V·I·η·cosφ (IEC 60034-1), and rated speed against the
synchronous speed 120·f/p. Only a whole column is judged here; single rows are the audit's matter.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import sqrt
from typing import Any

import numpy as np

from register.columns.units import KW_PER_HP

FEWEST = 8
SYNCHRONOUS = {3600, 1800, 1200, 900, 720, 600, 514, 450, 3000, 1500, 1000, 750, 500, 375}


def suspects(columns: Mapping[str, Sequence[Any]]) -> Iterator[tuple[str, str]]:
    """(column, what is wrong with it) for each column that the others contradict."""
    yield from _power(columns)
    yield from _speed(columns)


def _array(columns: Mapping[str, Sequence[Any]], name: str) -> np.ndarray | None:
    return _numbers(columns[name]) if name in columns else None


def _numbers(values: Sequence[Any]) -> np.ndarray:
    return np.array([np.nan if v is None else v for v in values], float)


def usual_product(power_kw: np.ndarray) -> np.ndarray:
    """η·cosφ that motors of this size usually have: 0.6 at 0.4 kW to 0.84 at 150 kW and above.

    A straight line in log power through catalogue values of four-pole motors (common practice).
    """
    return np.clip(0.66 + 0.036 * np.log(np.maximum(power_kw, 1e-3)), 0.45, 0.86)


def _power(columns: Mapping[str, Sequence[Any]]) -> Iterator[tuple[str, str]]:
    power, volts = _array(columns, "power_kw"), _array(columns, "motor_voltage_v")
    amps, phases = _array(columns, "fla_a"), _array(columns, "phases")
    if power is None or volts is None or amps is None:
        return
    root = np.full(len(power), sqrt(3))
    if phases is not None:
        root[phases == 1] = 1.0
    apparent = root * volts * amps / 1000
    known = np.isfinite(power) & np.isfinite(apparent)
    if known.sum() < FEWEST:
        return
    off = np.log(power[known] / apparent[known] / usual_product(power[known]))
    middle = float(np.median(off))
    spread = float(np.median(np.abs(off - middle)))
    if spread > 0.45:
        yield _shuffled(columns, ("power_kw", "fla_a", "motor_voltage_v"), known)
        return
    causes = {
        ("power_kw", "it looks like horsepower, read as kW"): -np.log(KW_PER_HP),
        ("power_kw", "it looks like kW, read as horsepower"): np.log(KW_PER_HP),
        ("motor_voltage_v", "it looks like phase voltage, line voltage belongs here"): np.log(sqrt(3)),
        ("fla_a", "it is about ten times what power and voltage give"): -np.log(10),
        ("fla_a", "it is about a tenth of what power and voltage give"): np.log(10),
    }
    (name, cause), shift = min(causes.items(), key=lambda item: abs(middle - item[1]))
    if abs(middle) > 0.17 and abs(middle - shift) < min(0.15, abs(middle)) and spread < 0.2:
        yield name, f"{cause} (η·cosφ comes out {100 * (np.exp(middle) - 1):+.0f} % off the usual)"
    elif abs(middle) > 0.5:
        yield "power_kw", "kW, V and A of this sheet do not agree; one is in another unit"


def _shuffled(columns: Mapping[str, Sequence[Any]], names: tuple[str, ...], known: np.ndarray) -> tuple[str, str]:
    """Of columns that no longer belong together, the one that runs in order by itself."""
    runs = {}
    for name in names:
        steps = np.diff(_numbers(columns[name])[known])
        steps = steps[steps != 0]
        runs[name] = abs(np.sign(steps).sum()) / len(steps) if len(steps) > 2 else 0.0
    name = max(runs, key=runs.__getitem__)
    if runs[name] > 0.9 and sorted(runs.values())[-2] < 0.9:
        return name, "it was sorted by itself: its values are in order but do not fit their rows"
    return "fla_a", "power, voltage and current do not fit row by row: one was sorted by itself"


def _speed(columns: Mapping[str, Sequence[Any]]) -> Iterator[tuple[str, str]]:
    speed, poles = _array(columns, "speed_rpm"), _array(columns, "poles")
    if speed is None:
        return
    given = speed[np.isfinite(speed)]
    if len(given) >= FEWEST and np.mean([v in SYNCHRONOUS for v in given]) > 0.8:
        yield ("speed_rpm", "these are synchronous speeds; the nameplate's full-load speed belongs here")
        return
    if poles is None:
        return
    known = np.isfinite(speed) & np.isfinite(poles)
    if known.sum() < FEWEST:
        return
    speed, poles = speed[known], poles[known]

    def fit(count: np.ndarray) -> float:
        slips = [1 - speed / (120 * f / count) for f in (50, 60)]
        return max(float(np.mean((s > -0.002) & (s < 0.13))) for s in slips)

    if fit(poles) > 0.75:
        return
    if fit(2 * poles) > 0.9:
        yield "poles", "these look like pairs of poles"
    else:
        yield "speed_rpm", "it does not fit the poles row by row: one of them was sorted by itself"
