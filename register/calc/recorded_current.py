"""The current of a start as it was recorded, beside that of the study: where it lies outside the band, and how far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from register.calc.start_course import STARTS, March

TURNED_ON, UP_TO_SPEED = 0.2, 2.0  # ×FLA: where a start begins, and where it has come down to
FIRST_CYCLES_S = 0.1  # whose offset is not the start's current
CLAMP = 0.05  # of the current, that a clamp and its recorder may be off (common practice)
CLOCK, MOMENT_S = 0.03, 0.1  # of the time, and in seconds, by which a moment may be off
TAIL = 0.1  # of a start's time, in which the current falls from there to that of the load
MOMENTS = 241
HAIR_XFLA = 0.05  # by which a current must be outside to be worth telling
SHORTEST, BREAK = 3, 12  # moments, below which nothing lies outside, and nothing lies between


@dataclass(frozen=True)
class Recorded:
    """A recorded start: seconds since it was switched on, line current [×FLA], when it was up to speed [s]."""

    time_s: np.ndarray
    current_xfla: np.ndarray
    start_s: float

    @property
    def running_xfla(self) -> float:
        """Current after the start."""
        return float(self.current_xfla[-1])

    def at(self, moments: np.ndarray) -> np.ndarray:
        """Current then; after the last point as at it [×FLA]."""
        return np.interp(moments, self.time_s, self.current_xfla)


@dataclass(frozen=True)
class Stretch:
    """Where a record lies outside: from and to [s]; the current where it is farthest, and the band's end there."""

    begins_s: float
    ends_s: float
    current_xfla: float
    end_xfla: float


def switched_on(time_s: np.ndarray, current: np.ndarray, fla: float) -> tuple[float, float] | None:
    """When a recorded start was switched on and when it had come down to speed [s]; None where it never did.

    Parameters
    ----------
    time_s : ascending [s]
    current : of one line conductor [A]
    fla : full-load current of the motor [A]
    """
    (turned,), (high,) = (np.nonzero(current >= multiple * fla) for multiple in (TURNED_ON, UP_TO_SPEED))
    if not high.size or high[-1] == len(current) - 1:
        return None
    (after, before), (last, first) = ((v[high[-1] + 1], v[high[-1]]) for v in (time_s, current))
    share = (first - UP_TO_SPEED * fla) / (first - last)
    return float(time_s[turned[0]]), float(before + share * (after - before))


def recorded_of(text: str | None, fla: float) -> Recorded | None:
    """The start in a text of points `seconds amperes`, `;` between; None where there is none that comes to speed.

    Examples
    --------
    >>> start = recorded_of("0 0; 1 600; 9 500; 11 100; 12 90", 100.0)
    >>> start.start_s, start.running_xfla
    (9.5, 0.9)
    """
    points = [part.split() for part in (text or "").split(";") if part.strip()]
    if not points or {len(point) for point in points} != {2}:
        return None
    time_s, amperes = np.array(points, float).T
    ends = switched_on(time_s, amperes, fla)
    if ends is None:
        return None
    kept = time_s >= ends[0]
    return Recorded(time_s[kept] - ends[0], amperes[kept] / fla, ends[1] - ends[0])


def moments(recorded: Recorded, marches: Sequence[March]) -> np.ndarray:
    """Moments to compare at: after the first cycles, until all are up to speed."""
    ends = [recorded.start_s * (1.0 + TAIL), *(m.start_s[0] for m in marches if m.status[0] == STARTS)]
    return np.linspace(FIRST_CYCLES_S, max(ends), MOMENTS)


def along(march: March, at: np.ndarray, running: float, *, motor: int = 0, tail: float = 0.0) -> np.ndarray:
    """Line current of a start at those moments; once up to speed that of the load, after a tail of its time [×FLA]."""
    found = np.interp(at, march.time[:, motor], march.current[:, motor])
    return np.where(at > march.start_s[motor] * (1.0 + tail), running, found)


def band(recorded: Recorded, marches: Sequence[March], at: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Least and greatest current of the starts at those moments, with what clamp and clock may be off [×FLA]."""
    slack = CLOCK * at + MOMENT_S
    low, high = np.full(at.shape, np.inf), np.zeros(at.shape)
    for shift in (-1.0, -0.5, 0.0, 0.5, 1.0):
        then = np.maximum(at + shift * slack, 0.0)
        for march in marches:
            low = np.minimum(low, along(march, then, recorded.running_xfla))
            high = np.maximum(high, along(march, then, recorded.running_xfla, tail=TAIL))
    return low * (1.0 - CLAMP), high * (1.0 + CLAMP)


def outside(recorded: Recorded, marches: Sequence[March]) -> list[Stretch]:
    """Where the record lies above or below the band of these starts."""
    at = moments(recorded, marches)
    low, high = band(recorded, marches, at)
    current = recorded.at(at)
    side = np.where(current > high + HAIR_XFLA, 1, np.where(current < low - HAIR_XFLA, -1, 0))
    found: list[Stretch] = []
    for begin, end in _stretches(side):
        if end - begin >= SHORTEST:
            edge = (high if side[begin] > 0 else low)[begin:end]
            farthest = int(np.argmax(np.abs(current[begin:end] - edge)))
            place = begin + farthest
            ends = float(at[begin]), float(at[end - 1])
            found.append(Stretch(*ends, float(current[place]), float(edge[farthest])))
    return found


def _stretches(side: np.ndarray) -> list[tuple[int, int]]:
    """Where it is 1 or −1, from and to; short breaks, as of a trembling needle, do not part one."""
    turns = [0, *(np.flatnonzero(np.diff(side)) + 1).tolist(), len(side)]
    found: list[tuple[int, int]] = []
    for begin, end in pairwise(turns):
        if not side[begin]:
            continue
        if found and begin - found[-1][1] < BREAK and side[found[-1][0]] == side[begin]:
            begin = found.pop()[0]
        found.append((begin, end))
    return found


def misfit(recorded: Recorded, march: March) -> np.ndarray:
    """Root of the mean square by which each of these starts misses the recorded current; inf where it stalls [×FLA].

    The clamp is given the error, within its own, that makes it least.
    """
    found = np.full(march.status.shape, np.inf)
    for motor in np.flatnonzero(march.status == STARTS).tolist():
        at = np.linspace(FIRST_CYCLES_S, max(recorded.start_s, march.start_s[motor]), MOMENTS)
        seen, by_study = recorded.at(at), along(march, at, recorded.running_xfla, motor=motor)
        missed = by_study - seen * np.clip((by_study @ seen) / (seen @ seen), 1.0 - CLAMP, 1.0 + CLAMP)
        found[motor] = np.sqrt(np.mean(missed * missed))
    return found
