"""One step of a start in closed form: from one speed to the next, with torque straight between.

A cell is the way between two neighbouring speeds. Its scale is inertia times the difference of
speeds, so that torque over scale is the share of the cell passed in a second.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

ROOT_STEPS = 30
CLOSE = 1e-7  # share of a cell left over at which its time is found
SMALL = 1e-4  # below this the functions phi lose digits to cancellation
MOST_GROWTH = 500.0  # keeps exp within range; a motor is through its cell long before


def phi_1(z: np.ndarray) -> np.ndarray:
    """(eᶻ − 1)/z, 1 at 0."""
    safe = np.where(np.abs(z) < SMALL, 1.0, z)
    return np.where(np.abs(z) < SMALL, 1.0 + z / 2.0 + z * z / 6.0, np.expm1(safe) / safe)


def phi_2(z: np.ndarray) -> np.ndarray:
    """(eᶻ − 1 − z)/z², 1/2 at 0."""
    safe = np.where(np.abs(z) < SMALL, 1.0, z)
    exact = (np.expm1(safe) - safe) / (safe * safe)
    return np.where(np.abs(z) < SMALL, 0.5 + z / 6.0 + z * z / 24.0, exact)


def steady(
    *, first: np.ndarray, last: np.ndarray, scale: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
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
    rise = np.where(turns, last / start - 1.0, 0.0)
    log = np.log1p(rise)
    flat = np.abs(rise) < SMALL
    safe_log, safe_rise = np.where(flat, 1.0, log), np.where(flat, 1.0, rise)
    ratio = np.where(flat, 1.0 - rise / 2.0, safe_log / safe_rise)
    mean = np.where(flat, 0.5 - log / 12.0, 1.0 / safe_log - 1.0 / safe_rise)
    time = np.where(turns, scale * ratio / start, np.inf)
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


def growing(
    *,
    first: np.ndarray,
    last: np.ndarray,
    later: Callable[[np.ndarray], np.ndarray],
    scale: np.ndarray,
    most: np.ndarray,
) -> tuple[np.ndarray, np.ndarray]:
    """Time through a cell whose torque grows by the clock as well, but no longer than `most`.

    Parameters
    ----------
    first, last : net torque at both ends, at the moment the cell is entered [pu]
    later : net torque at the far end as a function of the time since then [pu]
    scale : inertia times difference of speeds [s]
    most : time until the growth ends [s]

    Returns
    -------
    time [s], and the share of the cell passed by then, 1 unless time is `most`

    Notes
    -----
    scale·dξ/dt = first + growth·t + (last − first)·ξ, so that after a time t the share is
    t·(first·φ₁(z) + (later(t) − last)·φ₂(z))/scale with z = (last − first)·t/scale. A mean torque
    instead of this fails where torque begins at nothing, at breakaway.
    """
    slope = (last - first) / scale

    def miss(time: np.ndarray) -> np.ndarray:
        z = np.minimum(slope * time, MOST_GROWTH)
        grown = np.maximum(later(time) - last, 0.0)
        # φ₁ = 1 + zφ₂ saves an exponential.
        share = time * (first + (first * z + grown) * phi_2(z)) / scale
        # Far beyond the cell the share grows exponentially; its logarithm keeps the search short.
        return np.where(share > 1.0, np.log(np.maximum(share, 1.0)), share - 1.0)

    bound, _ = steady(first=first, last=last, scale=scale)
    high = np.minimum(bound, most)
    f_high = miss(high)
    # The bound is exact where nothing grows, but for a rounding.
    stopped = (f_high < 0.0) & (bound >= most)
    share = np.where(stopped, np.clip(f_high + 1.0, 0.0, 1.0), 1.0)
    return _root(miss, high, f_high), share


def _root(
    f: Callable[[np.ndarray], np.ndarray], high: np.ndarray, f_high: np.ndarray
) -> np.ndarray:
    """Where f, −1 at 0 and f_high at high, is 0; by false position."""
    a, f_a = np.zeros_like(high), np.full_like(high, -1.0)
    b, f_b = high, f_high
    for _ in range(ROOT_STEPS):
        open_ = (np.abs(f_b) > CLOSE) & (f_a * f_b < 0.0)
        if not open_.any():
            break
        c = np.where(open_, (a * f_b - b * f_a) / (f_b - f_a), b)
        f_c = np.where(open_, f(c), f_b)
        turned = f_c * f_b < 0.0
        # Anderson and Björck: an end that stays is taken down by as much as the other came closer.
        less = 1.0 - f_c / f_b
        less = np.where(open_, np.where(less > 0.0, less, 0.5), 1.0)
        a, f_a = np.where(turned, b, a), np.where(turned, f_b, f_a * less)
        b, f_b = c, f_c
    return b
