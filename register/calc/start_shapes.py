"""The three shapes of a motor between standstill and speed, and a circuit found for each of them.

A plate fixes a start at standstill, at breakdown and at rated speed. In between motors differ: the centre is what
catalogue motors do, a little on the safe side; the high end needs the most current, the low end the least.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from register.calc.circuit import (
    Branches,
    Known,
    Plate,
    Shape,
    along_a_start,
    branches,
    inverse_torque,
    leakage,
    plausible,
    read,
)
from register.calc.word_match import known as is_known
from register.calc.word_match import said

CENTRE, HIGH, LOW = 0, 1, 2
BAND = (CENTRE, HIGH, LOW)
# rho, p, m, d, n of each. Chosen on nine catalogue motors of two makers; n by calculation, without a measurement.
VALUES = ((0.40, 1.10, 2.0, 0.00, 1.10), (0.25, 1.20, 4.0, 0.20, 1.20), (1.00, 0.85, 2.0, 0.00, 1.00))
QUARTERS = (0.25, 0.5, 0.75, 1.0)
MOST_LEAKAGE = 1.6  # of the centre's, from which a peak has jumped to standstill
HIGH_FLOOR = 0.85  # of the floor, at the high end
MOST_BEND = 8.0  # of the leakage
FLOOR_STEPS, FLOOR_CLOSE = 20, 1e-6
LEAST_FLOOR, MOST_FLOOR = 0.7, 0.9  # of locked-rotor torque
HIGH_VOLTAGE_V = 1000.0
WITH_FLOOR = ("A", "B", "N", "NY", "NE", "H", "HY", "HE")


def of(end: int, size: int) -> Shape:
    """The shape of that end for as many motors."""
    return Shape(*(np.full(size, value) for value in VALUES[end]))


def pull_up_floor(*, plate: Plate, design_letter: np.ndarray | None) -> np.ndarray:
    """Least torque on the way up, of locked-rotor torque; NaN where a design promises none.

    References
    ----------
    NEMA MG 1, 12.40 (from memory).
    """
    with np.errstate(all="ignore"):
        share = np.clip(100.0 / plate.locked_rotor_torque_pct, LEAST_FLOOR, MOST_FLOOR)
    letters = np.full(share.shape, None, object)
    if design_letter is not None:
        letters = np.broadcast_to(np.atleast_1d(np.asarray(design_letter, object)), share.shape)
    general = said(letters, *WITH_FLOOR) | (~is_known(letters) & ~(plate.motor_voltage_v > HIGH_VOLTAGE_V))
    return np.where(general, share, np.where(said(letters, "C"), LEAST_FLOOR, np.nan))


def solved(
    plate: Plate, floor: np.ndarray, ends: Sequence[int]
) -> Iterator[tuple[Known, Branches, Shape, np.ndarray, np.ndarray]]:
    """For each end: what the plate says, the circuit, its shape, whether there is one, and whether the floor is met."""
    known = read(plate)
    whole = _Fitted(plate, known)
    centre = of(CENTRE, len(known.s_fl))
    x, ok = whole.fitted(centre)
    for end in ends:
        shape, x_end, ok_end = (centre, x.copy(), ok.copy()) if end == CENTRE else whole.drawn_in(end, centre, x, ok)
        lowest = floor * (HIGH_FLOOR if end == HIGH else 1.0)
        shape, x_end, met = whole.raised(shape, x_end, ok_end, lowest)
        yield known, branches(known, x_end), shape, ok_end, met


class _Fitted:
    """Plates for which circuits of several shapes are sought."""

    def __init__(self, plate: Plate, known: Known) -> None:
        self.plate, self.known = plate, known

    def at(self, index: np.ndarray) -> _Fitted:
        """The motors at that index."""
        return _Fitted(self.plate.take(index), self.known.take(index))

    def fitted(self, shape: Shape, near: np.ndarray | None = None) -> tuple[np.ndarray, np.ndarray]:
        """Running leakage, which is sought near one if that is given, and whether there is a circuit."""
        x, missed = leakage(self.known, shape, near)
        return x, plausible(self.plate, self.known, branches(self.known, x)) & (np.abs(missed) < 1e-6)

    def drawn_in(
        self, end: int, centre: Shape, x_centre: np.ndarray, ok: np.ndarray
    ) -> tuple[Shape, np.ndarray, np.ndarray]:
        """The end, drawn towards the centre by quarters where it has no circuit or its peak is at standstill."""
        full = of(end, len(ok))
        shape = Shape(*(values.copy() for values in vars(full).values()))
        x, found = self.fitted(shape)
        for share in QUARTERS:
            (left,) = np.nonzero(ok & ~(found & (x <= MOST_LEAKAGE * x_centre)))
            if not left.size:
                break
            nearer = full.take(left).towards(centre.take(left), share)
            x[left], found[left] = self.at(left).fitted(nearer)
            for kept, values in zip(vars(shape).values(), vars(nearer).values(), strict=True):
                kept[left] = values
        return shape, x, found & ok

    def least(self, shape: Shape, x: np.ndarray) -> np.ndarray:
        """Least torque from breakdown to standstill, of locked-rotor torque."""
        slip, bends = along_a_start(self.known, shape)
        torque = 1.0 / inverse_torque(branches(self.known, x), shape.rho, slip, bends)
        before = np.arange(len(slip))[:, None] < torque.argmax(axis=0)
        return np.where(before, np.inf, torque).min(axis=0) / torque[-1]

    def raised(
        self, shape: Shape, x: np.ndarray, ok: np.ndarray, floor: np.ndarray
    ) -> tuple[Shape, np.ndarray, np.ndarray]:
        """The shape with the leakage bent until the floor is met, the leakage then, and whether it is met."""
        met = ~(self.least(shape, x) < floor) | ~ok
        (low,) = np.nonzero(~met)
        if low.size:
            some, m = self.at(low), shape.m.copy()
            m[low], x[low], met[low] = some._bent(shape.take(low), x[low], floor[low])
            shape = replace(shape, m=m)
        return shape, x, met

    def _bent(self, shape: Shape, x: np.ndarray, floor: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """The bend at which each floor is just met, or the largest that has a circuit.

        False position (Illinois) between a bend that falls short and one that is enough; halves where the latter
        has no circuit.
        """

        def over(x: np.ndarray, at: np.ndarray, m: np.ndarray) -> np.ndarray:
            return self.at(at).least(replace(shape.take(at), m=m), x) / floor[at] - 1.0

        at = np.arange(len(x))
        short, missing, best_x = shape.m.copy(), over(x, at, shape.m), x.copy()
        enough, spare, near = np.full(len(x), MOST_BEND), np.full(len(x), np.nan), np.zeros(len(x), bool)
        asked, last = enough.copy(), np.zeros(len(x), int)
        for _ in range(FLOOR_STEPS):
            if not at.size:
                break
            m = asked[at]
            found, ok = self.at(at).fitted(replace(shape.take(at), m=m), best_x[at])
            value = np.where(ok, over(found, at, m), np.nan)
            below = value < 0.0
            # Where one side moves twice, the other's weight is halved.
            spare[at] = np.where(below & (last[at] < 0), spare[at] / 2.0, spare[at])
            missing[at] = np.where(~below & (last[at] > 0), missing[at] / 2.0, missing[at])
            short[at], missing[at] = np.where(below, m, short[at]), np.where(below, value, missing[at])
            enough[at], spare[at] = np.where(below, enough[at], m), np.where(below, spare[at], value)
            last[at] = np.where(below, -1, np.where(ok, 1, 0))
            near[at] = np.abs(value) < FLOOR_CLOSE
            best_x[at] = np.where(below | near[at], found, best_x[at])
            short[at] = np.where(near[at], m, short[at])
            done = near[at] | (below & (m >= MOST_BEND)) | (enough[at] - short[at] < 1e-6)
            at = at[~done]
            step = -missing[at] / (spare[at] - missing[at])
            step = np.where(np.isfinite(step), np.clip(step, 0.0, 1.0), 0.5)
            asked[at] = short[at] + step * (enough[at] - short[at])
        return short, best_x, near
