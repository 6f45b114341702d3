"""One step of a start in closed form: from one speed to the next, with torque straight between.

A cell is the way between two neighbouring speeds. Its scale is inertia times the difference of
speeds, so that torque over scale is the share of the cell passed in a second.
"""

from __future__ import annotations

from typing import Protocol

import numpy as np

ROOT_STEPS = 30
CLOSE = 3e-4  # share of a cell by which the last step moves at most: what is left is its square
MOMENT = 1e-3  # after which growth is looked at [s]
LEAST_SCALE = 1e-12  # where two speeds are one [s]
SMALL = 1e-6  # below this z is moved: a smaller one loses digits to cancellation
MOST_GROWTH = 500.0  # keeps exp within range; a motor is through its cell long before


def _away_from_0(z: np.ndarray) -> np.ndarray:
    """z, moved where it would be 0/0, by too little to matter."""
    return np.where(np.abs(z) < SMALL, SMALL, z)


def phi_1(z: np.ndarray) -> np.ndarray:
    """(eᶻ − 1)/z, 1 at 0."""
    z = _away_from_0(z)
    return np.expm1(z) / z


def phi_2(z: np.ndarray) -> np.ndarray:
    """(eᶻ − 1 − z)/z², 1/2 at 0."""
    z = _away_from_0(z)
    return (np.expm1(z) - z) / (z * z)


def steady(*, first: np.ndarray, last: np.ndarray, scale: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Time through a cell whose torque depends on speed alone, and where the time is spent.

    Parameters
    ----------
    first, last : net torque at both ends [pu]
    scale : inertia times difference of speeds [s]

    Returns
    -------
    time, inf where the torque gives out [s], and the mean over time of the share passed

    Notes
    -----
    t = scale·ln(last/first)/(last − first); mean share = 1/z − first/(last − first), z the
    logarithm.
    """
    turns = (first > 0.0) & (last > 0.0)
    start = np.where(turns, first, 1.0)
    rise = _away_from_0(np.where(turns, last / start, 1.0) - 1.0)
    log = np.log(1.0 + rise)  # twice as quick as log1p
    mean = 1.0 / log - 1.0 / rise
    time = np.where(turns, scale / start * (log / rise), np.inf)
    return np.where(scale > 0.0, time, 0.0), mean


def passed(
    *, first: np.ndarray, last: np.ndarray, scale: np.ndarray, time: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Share of such a cell passed in a given time, and the mean of that share until then.

    Parameters
    ----------
    first, last : net torque at both ends [pu]
    scale : inertia times difference of speeds [s]
    time : since the first end [s]

    Returns
    -------
    share at that time and its mean over the time, both of the whole cell
    """
    z = np.clip((last - first) * time / scale, -np.inf, MOST_GROWTH)
    drive = np.maximum(first, 0.0) * time / scale
    return np.clip(drive * phi_1(z), 0.0, 1.0), np.clip(drive * phi_2(z), 0.0, 1.0)


class Growing(Protocol):
    """Torque by the clock of many cells, a tuple of arrays."""

    def at(self, time: np.ndarray | float) -> np.ndarray:
        """So long after the beginning."""


def growing(*, first: np.ndarray, later: Growing, scale: np.ndarray, most: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Time through a cell whose torque grows by the clock as well, but no longer than `most`.

    Parameters
    ----------
    first : net torque where the cell is entered, and when; none drives backwards [pu]
    later : net torque at the far end by the time since then [pu]
    scale : inertia times difference of speeds [s]
    most : time until the growth ends [s]

    Returns
    -------
    time [s], and the share of the cell passed by then, 1 unless time is `most`

    Notes
    -----
    scale·dξ/dt = first + growth·t + (last − first)·ξ with last = later(0), so that after a time t
    the share is t·(first·φ₁(z) + (later(t) − last)·φ₂(z))/scale with z = (last − first)·t/scale. A
    mean torque instead of this fails where torque begins at nothing, at breakaway. Newton's steps
    are safe: the share bends one way only, and its slope, torque over scale, is never negative.
    Each cell stops by itself, so that its neighbours change nothing.
    """
    first, scale = np.maximum(first, 0.0), np.maximum(scale, LEAST_SCALE)
    last = later.at(0.0)
    time = _guess(first, last, (later.at(MOMENT) - last) / MOMENT, scale, most)
    taken, share, until = time.copy(), np.zeros_like(time), most
    going: np.ndarray | slice = slice(None)
    for _ in range(ROOT_STEPS):
        passed_by, rate = _progress(time, first, last, later.at(time), scale)
        missing = 1.0 - passed_by
        far = np.flatnonzero(passed_by > 2.0)
        # There the share grows exponentially, and its logarithm evenly.
        missing[far] = -passed_by[far] * np.log(passed_by[far])
        new = np.minimum(np.maximum(time + missing / rate, time / 4.0), most)
        moved = (new - time) * rate
        taken[going], share[going] = new, passed_by + moved
        (left,) = np.nonzero(np.abs(moved) > CLOSE)
        if not left.size:
            break
        going = left if isinstance(going, slice) else going[left]
        time, first, last, scale, most = (v[left] for v in (new, first, last, scale, most))
        later = type(later)(*(part[left] for part in later))
    return taken, np.where(taken < until, 1.0, np.minimum(share, 1.0))


def _guess(first: np.ndarray, last: np.ndarray, growth: np.ndarray, scale: np.ndarray, most: np.ndarray) -> np.ndarray:
    """About how long a cell takes: as at even growth, or until the far end can be reached."""
    bent = 2.0 * (growth * scale + (last - first) * first)
    evenly = 2.0 * scale / (first + np.sqrt(np.maximum(first * first + bent, 0.0)))
    return np.fmin(np.fmax(np.fmax(evenly, -last / growth), 0.0), most)


def _progress(
    time: np.ndarray, first: np.ndarray, last: np.ndarray, net: np.ndarray, scale: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Share of the cell passed, and how fast it is passed then [1/s]."""
    rise, grown = last - first, np.maximum(net - last, 0.0)
    z = np.minimum(rise * time / scale, MOST_GROWTH)
    # φ₁ = 1 + zφ₂ saves an exponential.
    share = time * (first + (first * z + grown) * phi_2(z)) / scale
    return share, (first + rise * share + grown) / scale
