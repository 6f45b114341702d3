"""A maker's curve of torque and current against speed, as one text: what it says, and what is wrong with it."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np

from register.calc.machine import Curve

LEAST_POINTS = 5
FARTHEST = 0.05  # of the plate's value, from which a curve is of another motor
LAST_SPEED_PCT = 90.0  # of synchronous speed, which a curve must go beyond


@lru_cache(maxsize=10_000)
def curve_of(text: str | None) -> Curve | None:
    """The curve in a text of points `speed torque current` or `speed torque current power-factor`, `;` between.

    Speed of synchronous speed [%], torque of full-load torque [%], current [×FLA]. None where there is none, or none
    that can be read.

    Examples
    --------
    >>> [float(v) for v in curve_of("0 110 6.1; 50 95 5.4; 90 230 3.9").torque_pct]
    [110.0, 95.0, 230.0]
    """
    rows = _numbers(text)
    if rows is None or not len(rows):
        return None
    columns = rows.T
    return Curve(*columns[:3], power_factor=columns[3] if len(columns) == 4 else None)


def text_of(rows: np.ndarray) -> str:
    """The text of rows of numbers."""
    return "; ".join(" ".join(f"{value:g}" for value in row) for row in rows)


def wrong_with(
    text: str, *, slip_pct: float, locked_rotor_ratio: float | None, locked_rotor_torque_pct: float | None
) -> Iterator[tuple[str, str]]:
    """What is wrong with a curve and its remedy: its form, its speeds, the points that the nameplate states."""
    curve = curve_of(text)
    if curve is None:
        yield "it cannot be read", "three or four numbers a point: speed %, torque %, current ×FLA, power factor"
        return
    speed, torque, current = curve.speed_pct, curve.torque_pct, curve.current_xfla
    if len(speed) < LEAST_POINTS:
        yield f"it has {len(speed)} points", f"read at least {LEAST_POINTS}, more where it bends"
    for i in np.flatnonzero(np.diff(speed) <= 0.0):
        yield f"speed {speed[i + 1]:g} % follows {speed[i]:g} %", "points by ascending speed, each once"
    if speed[0] != 0.0:
        yield f"it begins at {speed[0]:g} % of speed", "begin at standstill, 0 %"
    if not LAST_SPEED_PCT <= speed[-1] <= 100.0:
        yield f"it ends at {speed[-1]:g} % of synchronous speed", "read it up to the rated speed"
    for i in np.flatnonzero((torque < 0.0) | (current <= 0.0)):
        yield f"at {speed[i]:g} % of speed torque or current is below 0", "read that point again"
    yield from _against_plate(curve, slip_pct, locked_rotor_ratio, locked_rotor_torque_pct)


def _against_plate(
    curve: Curve, slip_pct: float, locked_rotor_ratio: float | None, locked_rotor_torque_pct: float | None
) -> Iterator[tuple[str, str]]:
    """Points that the nameplate states otherwise."""
    rated = 100.0 - slip_pct
    # Torque falls steeply there: compare the speed at which it is full-load torque, by slip.
    stated = [
        ("current at standstill", curve.current_xfla[0], locked_rotor_ratio, "×FLA"),
        ("torque at standstill", curve.torque_pct[0], locked_rotor_torque_pct, "%"),
    ]
    if curve.speed_pct[-1] >= rated:
        amperes = float(np.interp(rated, curve.speed_pct, curve.current_xfla))
        newton_metres = float(np.interp(rated, curve.speed_pct, curve.torque_pct))
        stated += [
            ("current at rated speed", amperes, 1.0, "×FLA"),
            ("torque at rated speed", newton_metres, 100.0, "%"),
        ]
    for what, found, plate, unit in stated:
        rated_point = "rated" in what
        if plate is not None and abs(found / plate - 1.0) > FARTHEST * (4.0 if rated_point else 2.0):
            yield (
                f"{what} is {found:.3g} {unit}, by the nameplate {plate:.3g} {unit}",
                ("percent of full-load torque and multiples of full-load current, of this motor?"),
            )


def _numbers(text: str | None) -> np.ndarray | None:
    try:
        rows = [[float(word) for word in part.split()] for part in text.split(";") if part.strip()]
    except (AttributeError, ValueError):
        return None
    if len({len(row) for row in rows}) != 1 or len(rows[0]) not in (3, 4):
        return None
    found = np.array(rows)
    return found if np.isfinite(found).all() else None
