"""What a nameplate says of the circuit of its motor, and the leakage that makes the circuit whole.

Everything but the plate is per unit, as in `machine`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from typing import NamedTuple

import numpy as np

STATOR_SHARE = 0.4  # of the losses on the stator's side; the rest goes with the square of voltage
HIGHEST_POWER_FACTOR = 0.99
AT_STANDSTILL = 1.02  # breakdown over locked-rotor torque below which there is hardly a peak
LEAST_LEAKAGE = 0.9  # running leakage over that at standstill, which saturation makes the smaller
SLIPS = 48  # at which the largest torque is looked for
DEEPEST = 6.75  # 27/4: σ²(1−σ) is 1/6.75 at its largest, slip 2/3
LITTLE = 1e-4  # of leakage: next to nothing
STEPS = 24  # of halving or false position; the latter needs 5 to 8
BESIDE = (0.97, 1.06)  # of about what a root will be, between which it is sought first
CLOSE = 1e-8  # share of the breakdown torque at which the search rests


@dataclass(frozen=True)
class Plate:
    """What a nameplate states, as numbers or arrays of one length, one element a motor; NaN is unknown.

    Power at the shaft [kW], line voltage [V], frequency [Hz], number of poles, rated speed [r/min], full-load current
    [A], efficiency [%]; the power factor from 0 to 1; locked-rotor current of full-load current [×FLA], locked-rotor
    and breakdown torque of full-load torque [%]. Of efficiency and power factor one is enough.
    """

    power_kw: np.ndarray
    motor_voltage_v: np.ndarray
    motor_frequency_hz: np.ndarray
    poles: np.ndarray
    speed_rpm: np.ndarray
    fla_a: np.ndarray
    efficiency_pct: np.ndarray
    power_factor: np.ndarray
    locked_rotor_ratio: np.ndarray
    locked_rotor_torque_pct: np.ndarray
    breakdown_torque_pct: np.ndarray

    def take(self, index: np.ndarray | slice) -> Plate:
        """The motors at that index, mask or slice."""
        return Plate(*(getattr(self, f.name)[index] for f in fields(self)))


def full_load_power_factor(plate: Plate) -> np.ndarray:
    """Power factor at full load that agrees with power, voltage, current and efficiency.

    The plate's own is used only for an unknown efficiency: beside it, its rounding would be a
    large part of the losses, which are the small difference that the circuit is based on.
    """
    efficiency = plate.efficiency_pct / 100.0
    return np.where(np.isnan(efficiency), plate.power_factor, _share(plate) / efficiency)


def _share(plate: Plate) -> np.ndarray:
    """Output power over apparent power at full load."""
    return plate.power_kw * 1000.0 / (np.sqrt(3.0) * plate.motor_voltage_v * plate.fla_a)


@dataclass(frozen=True)
class Known:
    """What a plate says of the circuit before the running leakage is known, pu."""

    s_fl: np.ndarray
    t_fl: np.ndarray
    t_target: np.ndarray  # largest torque
    g: np.ndarray
    r_s: np.ndarray
    along: np.ndarray  # full-load current less that in g, in phase with the voltage
    across: np.ndarray  # the same, lagging it by a quarter
    r_stall: np.ndarray  # of the rotor and the magnetising branch together, at standstill
    x_stall: np.ndarray  # of the whole, at standstill
    most: np.ndarray  # running leakage, with all of the reactive power that the plate leaves it

    def take(self, at: np.ndarray) -> Known:
        """The motors at that index."""
        return Known(*(getattr(self, f.name)[at] for f in fields(self)))


@dataclass(frozen=True)
class Shape:
    """What a motor does between the points that its plate fixes: one element a motor.

    `rho` is the rotor's resistance in the flat part of a start, of the lesser of its running and its standing
    one; `p` bends the way from there to standstill, `m` that of the leakage; `d` is the depth of the dip
    that harmonic torques make. `n` is the power with which the current falls with the voltage.
    """

    rho: np.ndarray
    p: np.ndarray
    m: np.ndarray
    d: np.ndarray
    n: np.ndarray

    def take(self, at: np.ndarray | slice) -> Shape:
        """The motors at that index."""
        return Shape(*(getattr(self, f.name)[at] for f in fields(self)))

    def towards(self, other: Shape, share: float) -> Shape:
        """The same, drawn that share of the way towards another; the power of the voltage stays."""
        names = [f.name for f in fields(self)][:-1]
        ends = ((getattr(self, name), getattr(other, name)) for name in names)
        return Shape(*(a + share * (b - a) for a, b in ends), self.n)


class Bends(NamedTuple):
    """How far rotor and leakage have gone at some slips: 0 running, 1 standing; `near` 1 running, 0 elsewhere."""

    rotor: np.ndarray
    near: np.ndarray
    leakage: np.ndarray
    kept: np.ndarray


def rotor_bends(slip: np.ndarray, s_fl: np.ndarray, shape: Shape) -> Bends:
    """The bends at those slips, which do not depend on the leakage that is sought."""
    way = np.clip((slip - s_fl) / (1.0 - s_fl), 0.0, 1.0)
    left = 1.0 - way
    squared = left * left
    fourth = squared * squared
    # A whole power is quicker by hand, and 2 is what most motors keep.
    leakage = squared if np.all(shape.m == 2.0) else left**shape.m
    return Bends(way**shape.p, fourth * fourth * squared, 1.0 - leakage, 1.0 - DEEPEST * shape.d * way * way * left)


class Branches(NamedTuple):
    """Resistances and reactances of a `Machine`."""

    r_s: np.ndarray
    x_s: np.ndarray
    x_m: np.ndarray
    r_1: np.ndarray
    x_1: np.ndarray
    r_l: np.ndarray
    x_l: np.ndarray
    x_slr: np.ndarray


def read(plate: Plate) -> Known:
    """All that follows from the plate without the running leakage."""
    pf = full_load_power_factor(plate)
    s_fl = 1.0 - plate.speed_rpm * plate.poles / (120.0 * plate.motor_frequency_hz)
    s_fl = np.where((s_fl > 0.0) & (s_fl < 1.0), s_fl, np.nan)
    t_fl = _share(plate) / (1.0 - s_fl)
    t_stall = t_fl * plate.locked_rotor_torque_pct / 100.0
    t_target = np.maximum(t_fl * plate.breakdown_torque_pct / 100.0, AT_STANDSTILL * t_stall)
    g = (1.0 - STATOR_SHARE) * (pf - t_fl)
    along, across = pf - g, np.sqrt(1.0 - pf**2)
    r_s = STATOR_SHARE * (pf - t_fl) / (along**2 + across**2)
    # |g + 1/Z| is the locked-rotor current, of which the circuit behind g takes i.
    i_sq = (plate.locked_rotor_ratio**2 - g**2 - 2.0 * g * t_stall) / (1.0 + 2.0 * g * r_s)
    r_stall = t_stall / i_sq
    x_stall = np.sqrt(1.0 / i_sq - (r_s + r_stall) ** 2)
    known = Known(s_fl, t_fl, t_target, g, r_s, along, across, r_stall, x_stall, across)
    return replace(known, most=_most_leakage(known))


def plausible(plate: Plate, known: Known, found: Branches) -> np.ndarray:
    """Whether the plate promises what a motor can, and the circuit is one that can be built."""
    ok = (full_load_power_factor(plate) <= HIGHEST_POWER_FACTOR) & (known.g > 0.0)
    ok &= plate.breakdown_torque_pct > 100.0
    ok &= found.x_1 >= LEAST_LEAKAGE * known.x_stall / 2.0
    for part in found:
        ok &= np.isfinite(part) & (part > 0.0)
    return ok


def leakage(known: Known, shape: Shape, near: np.ndarray | None = None) -> tuple[np.ndarray, np.ndarray]:
    """Running leakage reactance at which the largest torque is that of the plate, and the miss.

    `near` is about what it will be: the search begins beside it.
    """
    slip, bends = along_a_start(known, shape)

    def excess(x: np.ndarray, at: np.ndarray) -> np.ndarray:
        # The reciprocal of the largest torque is almost straight in the leakage.
        some, rho, over, along = known, shape.rho, bends, slip
        if len(at) < len(rho):
            some, rho, along = known.take(at), rho[at], np.take(slip, at, axis=1)
            over = Bends(*(np.take(values, at, axis=1) for values in bends))
        return 1.0 - some.t_target * _least_inverse(branches(some, x), rho, along, over)

    return _root(excess, np.full(known.most.shape, LITTLE), known.most, near)


def along_a_start(known: Known, shape: Shape) -> tuple[np.ndarray, Bends]:
    """Slips from full load to standstill, evenly by logarithm, and the bends there."""
    slip = known.s_fl ** np.linspace(1.0, 0.0, SLIPS)[:, None]
    return slip, rotor_bends(slip, known.s_fl, shape)


def _running(known: Known, x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Rotor resistance over slip, and magnetising reactance, at full load with leakage x."""
    real = 1.0 - known.r_s * known.along - x * known.across
    imaginary = known.r_s * known.across - x * known.along
    e_sq = real * real + imaginary * imaginary
    u = (e_sq + np.sqrt(e_sq**2 - 4.0 * (known.t_fl * x) ** 2)) / (2.0 * known.t_fl)
    reactive = known.across - x * (known.along**2 + known.across**2)
    return u, e_sq / (reactive - e_sq * x / (u * u + x * x))


def branches(known: Known, x: np.ndarray) -> Branches:
    """The circuit with x as running leakage reactance of stator and of rotor."""
    u, x_m = _running(known, x)
    x_slr = np.minimum(x, known.x_stall / 2.0)
    r, leak = known.r_stall, known.x_stall - x_slr
    # What is left of them without the magnetising branch in parallel.
    scale = x_m / (r * r + (x_m - leak) ** 2)
    r_l, x_l = scale * r * x_m, scale * (leak * (x_m - leak) - r * r)
    return Branches(known.r_s, x, x_m, u * known.s_fl, x, r_l, x_l, x_slr)


def impedance(
    m: Branches, rho: np.ndarray, slip: np.ndarray, bends: Bends
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Resistance of rotor and magnetising branch together, resistance and reactance of the whole.

    In real numbers, which are twice as quick as complex ones, and times slip throughout, so that
    synchronous speed is no division by zero.
    """
    # In place where that may be: half of the time goes into fresh memory.
    flat = rho * np.minimum(m.r_1, m.r_l)
    r = (m.r_l - flat) * bends.rotor
    r += flat
    r += (m.r_1 - flat) * bends.near
    x = (m.x_l - m.x_1) * bends.leakage
    x += m.x_1
    x *= slip
    through = slip * m.x_m
    x_all, squared = x + through, r * r
    scale = x_all * x_all
    scale += squared
    scale = m.x_m / scale
    r *= through
    r *= scale
    x *= x_all
    x += squared
    x *= scale
    x += m.x_s
    x += (m.x_slr - m.x_s) * bends.leakage
    return r, m.r_s + r, x


def inverse_torque(m: Branches, rho: np.ndarray, slip: np.ndarray, bends: Bends) -> np.ndarray:
    """One over the torque at those slips [pu]."""
    r_gap, r, x = impedance(m, rho, slip, bends)
    r *= r
    x *= x
    r += x
    r_gap *= bends.kept
    r /= r_gap
    return r


def _least_inverse(m: Branches, rho: np.ndarray, slip: np.ndarray, bends: Bends) -> np.ndarray:
    """One over the largest torque at and between those slips, evenly spaced in logarithm."""
    # All but a hyperbolic cosine of ln s: a parabola finds its lowest point.
    inverse = inverse_torque(m, rho, slip, bends)
    column = np.arange(inverse.shape[1])
    lowest = np.argmin(inverse, axis=0)
    middle = lowest.clip(1, len(slip) - 2)
    below, at, above = (inverse[middle + step, column] for step in (-1, 0, 1))
    vertex = at - (above - below) ** 2 / (8.0 * (above - 2.0 * at + below))
    return np.where(lowest == middle, vertex, inverse[lowest, column])


def _most_leakage(known: Known) -> np.ndarray:
    """Largest running leakage that leaves something to magnetise with."""
    high = known.across / (known.along**2 + known.across**2)
    possible = np.full(known.s_fl.shape, LITTLE)
    for _ in range(STEPS):
        middle = (possible + high) / 2.0
        fits = _running(known, middle)[1] > 0.0
        possible, high = np.where(fits, middle, possible), np.where(fits, high, middle)
    return possible


def _root(
    f: Callable[[np.ndarray, np.ndarray], np.ndarray], low: np.ndarray, high: np.ndarray, near: np.ndarray | None
) -> tuple[np.ndarray, np.ndarray]:
    """Where f, of x and the motors asked, is 0 between the two, by false position (Illinois).

    With what f is there, which is far from 0 where it has the same sign at both. It is sought beside `near` first.
    """
    at = np.arange(len(low))
    if near is None:
        a, b, f_a, f_b = low, high, f(low, at), f(high, at)
    else:
        a, b = (np.clip(near * beside, low, high) for beside in BESIDE)
        f_a, f_b = f(a, at), f(b, at)
        (lost,) = np.nonzero(~(f_a * f_b < 0.0))
        a[lost], b[lost] = low[lost], high[lost]
        f_a[lost], f_b[lost] = f(low[lost], lost), f(high[lost], lost)
    x, missed = b.copy(), f_b.copy()
    left = f_a * f_b < 0.0
    for _ in range(STEPS):
        at, a, b, f_a, f_b = (values[left] for values in (at, a, b, f_a, f_b))
        if not at.size:
            break
        c = (a * f_b - b * f_a) / (f_b - f_a)
        f_c = f(c, at)
        turned = f_c * f_b < 0.0
        a, f_a = np.where(turned, b, a), np.where(turned, f_b, f_a / 2.0)
        b, f_b = x[at], missed[at] = c, f_c
        left = np.abs(f_b) > CLOSE
    return x, missed
