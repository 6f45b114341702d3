"""A squirrel-cage motor as a circuit that carries exactly what its nameplate promises.

Everything is per unit of the motor's own rating: line voltage of the nameplate, full-load current,
S = √3·V·FLA, torque S/ω_s. Slip is 1 at standstill and 0 at synchronous speed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

STATOR_SHARE = 0.4  # of the losses on the stator's side; the rest goes with the square of voltage
HIGHEST_POWER_FACTOR = 0.99
AT_STANDSTILL = 1.02  # breakdown over locked-rotor torque below which there is hardly a peak
LEAST_LEAKAGE = 0.9  # running leakage over that at standstill, which saturation makes the smaller
SLIPS = 32  # at which the largest torque is looked for
STEPS = 24  # of halving or false position; the latter needs 5 to 8
CLOSE = 1e-8  # share of the breakdown torque at which the search rests
BLOCK = 512  # motors at a time, so that their slips stay in the processor's cache


@dataclass(frozen=True)
class Plate:
    """What a nameplate states, one element a motor; NaN is unknown."""

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


@dataclass(frozen=True)
class Curve:
    """A maker's curves of one motor at rated voltage, by ascending speed from standstill up.

    Of synchronous speed [%], of full-load torque [%], and of full-load current [×FLA]; the power
    factor where the maker gives it.
    """

    speed_pct: np.ndarray
    torque_pct: np.ndarray
    current_xfla: np.ndarray
    power_factor: np.ndarray | None = None


@dataclass(frozen=True)
class Machine:
    """The circuit of each motor, as arrays of one length; `ok` False where there is none.

    g is the conductance at the terminals; r_s, x_s the stator; x_m magnetising; r_1, x_1 the rotor
    up to full-load slip, r_l, x_l at standstill, where the stator's reactance is x_slr; q bends
    the way between the two. t_fl is full-load torque, s_fl full-load slip.
    """

    g: np.ndarray
    r_s: np.ndarray
    x_s: np.ndarray
    x_m: np.ndarray
    r_1: np.ndarray
    x_1: np.ndarray
    r_l: np.ndarray
    x_l: np.ndarray
    x_slr: np.ndarray
    s_fl: np.ndarray
    t_fl: np.ndarray
    q: np.ndarray
    ok: np.ndarray
    s_base_kva: np.ndarray
    v_base_v: np.ndarray
    i_base_a: np.ndarray
    omega_s: np.ndarray
    t_base_nm: np.ndarray
    curves: np.ndarray | None = None  # of Curve or None

    def take(self, index: np.ndarray | slice) -> Machine:
        """The motors at that index, mask or slice."""
        picked = {f.name: getattr(self, f.name) for f in fields(self)}
        return Machine(**{n: None if v is None else v[index] for n, v in picked.items()})


def full_load_power_factor(plate: Plate) -> np.ndarray:
    """Power factor at full load that agrees with power, voltage, current and efficiency.

    The plate's own only stands in for an unknown efficiency: beside it, its rounding would be a
    large part of the losses, which are the small difference that the circuit rests on.
    """
    efficiency = plate.efficiency_pct / 100.0
    return np.where(np.isnan(efficiency), plate.power_factor, _share(plate) / efficiency)


def fit(*, plate: Plate, shape: float = 0.75) -> Machine:
    """The circuit that meets each nameplate: full load, locked rotor and breakdown torque.

    Parameters
    ----------
    plate : the nameplates
    shape : exponent by which the rotor changes from full load to standstill: 0.5 leaves more
        torque between breakdown and standstill, 1 less

    Returns
    -------
    Machine : `ok` False where something is unknown, or where no such circuit exists

    Notes
    -----
    A single cage whose resistance and leakage change with slip, as deep bars and saturation make
    them. All is closed form but the running leakage reactance, which is sought until the largest
    torque is the breakdown torque. A plate that puts breakdown at standstill (design D) is met by
    a curve that rises at most 2 % above its locked-rotor torque.

    References
    ----------
    Lindenmayer et al., An induction motor parameter estimation method, 2001, and deep-bar theory
    (both from memory).
    """
    columns = np.broadcast_arrays(*(np.atleast_1d(getattr(plate, f.name)) for f in fields(Plate)))
    columns = [np.asarray(column, float) for column in columns]
    size = len(columns[0])
    blocks = [
        _fit(Plate(*(column[first : first + BLOCK] for column in columns)), float(shape))
        for first in range(0, max(size, 1), BLOCK)
    ]
    names = [f.name for f in fields(Machine) if f.name != "curves"]
    return Machine(**{n: np.concatenate([getattr(b, n) for b in blocks]) for n in names})


def admittance(machine: Machine, slip: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Admittance seen from the terminals, and torque, at 1 pu voltage.

    Parameters
    ----------
    machine : the motors, n of them
    slip : of synchronous speed, (n,) or (G, n)

    Returns
    -------
    complex admittance and torque, both of the shape of slip [pu]

    Notes
    -----
    Y = g + 1/(R_s + jX_s + Z_p); torque is the power across the air gap, |i|²·Re Z_p.
    """
    slip = np.asarray(slip, float)
    with np.errstate(all="ignore"):
        r_gap, r, x = _impedance(machine, slip, _bend(machine, slip))
        squared = 1.0 / (r * r + x * x)
        y = np.empty(np.shape(squared), complex)
        y.real, y.imag = machine.g + r * squared, -x * squared
        torque = r_gap * squared
    return _by_curves(machine, slip, y, torque) if machine.curves is not None else (y, torque)


def from_curves(*, machine: Machine, curves: Sequence[Curve | None]) -> Machine:
    """The same motors, with the makers' curves in place of the circuit where there are any.

    Between points the curves are straight; beyond the last one they run on to synchronous speed,
    where torque is 0 and the current is the circuit's. Without a power factor the circuit's is
    taken.
    """
    held = np.empty(len(curves), object)
    held[:] = list(curves)
    return replace(machine, curves=held)


def _share(plate: Plate) -> np.ndarray:
    """Output power over apparent power at full load."""
    return plate.power_kw * 1000.0 / (np.sqrt(3.0) * plate.motor_voltage_v * plate.fla_a)


def _bend(machine: Machine, slip: np.ndarray) -> np.ndarray:
    """How far the rotor has gone from its running values (0) to those of standstill (1)."""
    way = (slip - machine.s_fl) / (1.0 - machine.s_fl)
    return np.maximum(way, 0.0) ** machine.q


def _impedance(
    m: Machine, slip: np.ndarray, bend: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Resistance of rotor and magnetising branch together, resistance and reactance of the whole.

    In real numbers, which are twice as quick as complex ones, and times slip throughout, so that
    synchronous speed is no division by zero.
    """
    r = m.r_1 + (m.r_l - m.r_1) * bend
    x = slip * (m.x_1 + (m.x_l - m.x_1) * bend)
    x_all = x + slip * m.x_m
    scale = m.x_m / (r * r + x_all * x_all)
    r_gap = scale * r * slip * m.x_m
    x_s = m.x_s + (m.x_slr - m.x_s) * bend
    return r_gap, m.r_s + r_gap, x_s + scale * (r * r + x * x_all)


def _fit(plate: Plate, shape: float) -> Machine:
    """One block of motors."""
    with np.errstate(all="ignore"):
        known = _known(plate)
        slip = known.s_fl ** np.linspace(1.0, 0.0, SLIPS)[:, None]
        bend = np.maximum((slip - known.s_fl) / (1.0 - known.s_fl), 0.0) ** shape

        def excess(x: np.ndarray) -> np.ndarray:
            # The reciprocal of the largest torque is almost straight in the leakage.
            return 1.0 - known.t_target * _least_inverse(_circuit(known, x, shape), slip, bend)

        x = _root(excess, *_bracket(known))
        machine = _circuit(known, x, shape)
        met = np.abs(excess(x)) < 1e-6
    return replace(machine, ok=machine.ok & met)


@dataclass(frozen=True)
class _Known:
    """What a plate says of the circuit before the running leakage is known, pu."""

    s_fl: np.ndarray
    t_fl: np.ndarray
    t_target: np.ndarray  # largest torque
    g: np.ndarray
    r_s: np.ndarray
    i_fl: np.ndarray  # full-load current less that in g, complex
    r_stall: np.ndarray  # of the rotor and the magnetising branch together, at standstill
    x_stall: np.ndarray  # of the whole, at standstill
    base: dict[str, np.ndarray]
    ok: np.ndarray


def _known(plate: Plate) -> _Known:
    pf = full_load_power_factor(plate)
    s_fl = 1.0 - plate.speed_rpm * plate.poles / (120.0 * plate.motor_frequency_hz)
    s_fl = np.where((s_fl > 0.0) & (s_fl < 1.0), s_fl, np.nan)
    t_fl = _share(plate) / (1.0 - s_fl)
    t_stall = t_fl * plate.locked_rotor_torque_pct / 100.0
    t_target = np.maximum(t_fl * plate.breakdown_torque_pct / 100.0, AT_STANDSTILL * t_stall)
    lost = pf - t_fl
    g = (1.0 - STATOR_SHARE) * lost
    i_fl = pf - g - 1j * np.sqrt(1.0 - pf**2)
    r_s = STATOR_SHARE * lost / np.abs(i_fl) ** 2
    # |g + 1/Z| is the locked-rotor current, of which the circuit behind g takes i.
    i_sq = (plate.locked_rotor_ratio**2 - g**2 - 2.0 * g * t_stall) / (1.0 + 2.0 * g * r_s)
    r_stall = t_stall / i_sq
    x_stall = np.sqrt(1.0 / i_sq - (r_s + r_stall) ** 2)
    omega_s = 4.0 * np.pi * plate.motor_frequency_hz / plate.poles
    kva = np.sqrt(3.0) * plate.motor_voltage_v * plate.fla_a / 1000.0
    base = {
        "s_base_kva": kva, "v_base_v": plate.motor_voltage_v, "i_base_a": plate.fla_a,
        "omega_s": omega_s, "t_base_nm": 1000.0 * kva / omega_s,
    }  # fmt: skip
    ok = (pf <= HIGHEST_POWER_FACTOR) & (lost > 0.0) & (plate.breakdown_torque_pct > 100.0)
    return _Known(s_fl, t_fl, t_target, g, r_s, i_fl, r_stall, x_stall, base, ok)


def _circuit(known: _Known, x: np.ndarray, shape: float) -> Machine:
    """The circuit with x as running leakage reactance of stator and of rotor."""
    behind = 1.0 - (known.r_s + 1j * x) * known.i_fl
    e_sq = np.abs(behind) ** 2
    u = (e_sq + np.sqrt(e_sq**2 - 4.0 * (known.t_fl * x) ** 2)) / (2.0 * known.t_fl)
    x_m = e_sq / ((behind * known.i_fl.conj()).imag - e_sq * x / (u**2 + x**2))
    x_slr = np.minimum(x, known.x_stall / 2.0)
    rotor = 1.0 / (1.0 / (known.r_stall + 1j * (known.x_stall - x_slr)) - 1.0 / (1j * x_m))
    r_1 = u * known.s_fl
    ok = known.ok & (x >= LEAST_LEAKAGE * known.x_stall / 2.0)
    for part in (known.r_s, x, x_m, r_1, x_slr, rotor.real, rotor.imag):
        ok &= np.isfinite(part) & (part > 0.0)
    return Machine(
        g=known.g, r_s=known.r_s, x_s=x, x_m=x_m, r_1=r_1, x_1=x, r_l=rotor.real, x_l=rotor.imag,
        x_slr=x_slr, s_fl=known.s_fl, t_fl=known.t_fl, q=np.full(x.shape, shape), ok=ok,
        **known.base,
    )  # fmt: skip


def _least_inverse(machine: Machine, slip: np.ndarray, bend: np.ndarray) -> np.ndarray:
    """One over the largest torque at and between those slips, evenly spaced in logarithm."""
    r_gap, r, x = _impedance(machine, slip, bend)
    # All but a hyperbolic cosine of ln s: a parabola finds its lowest point.
    inverse = (r * r + x * x) / r_gap
    lowest = np.argmin(inverse, axis=0)
    middle = lowest.clip(1, len(slip) - 2)
    below, at, above = (
        np.take_along_axis(inverse, (middle + step)[None], axis=0)[0] for step in (-1, 0, 1)
    )
    vertex = at - (above - below) ** 2 / (8.0 * (above - 2.0 * at + below))
    return np.where(lowest == middle, vertex, inverse.min(axis=0))


def _bracket(known: _Known) -> tuple[np.ndarray, np.ndarray]:
    """Running leakage between next to nothing and all of the reactive power the plate leaves it."""
    low = np.full(known.s_fl.shape, 1e-4)
    high = -known.i_fl.imag / np.abs(known.i_fl) ** 2
    possible = low
    for _ in range(STEPS):
        middle = (possible + high) / 2.0
        fits = _circuit(known, middle, 1.0).x_m > 0.0
        possible, high = np.where(fits, middle, possible), np.where(fits, high, middle)
    return low, possible


def _root(f: Callable[[np.ndarray], np.ndarray], low: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Where f is 0 between the two, by false position (Illinois); the last try where it is not."""
    a, b, f_a, f_b = low, high, f(low), f(high)
    for _ in range(STEPS):
        open_ = (np.abs(f_b) > CLOSE) & (f_a * f_b < 0.0)
        if not open_.any():
            break
        c = np.where(open_, (a * f_b - b * f_a) / (f_b - f_a), b)
        f_c = np.where(open_, f(c), f_b)
        turned = f_c * f_b < 0.0
        a = np.where(turned, b, a)
        f_a = np.where(turned, f_b, np.where(open_, f_a / 2.0, f_a))
        b, f_b = c, f_c
    return b


def _by_curves(
    machine: Machine, slip: np.ndarray, y: np.ndarray, torque: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Admittance and torque with the makers' curves where there are any."""
    y, torque = y.copy(), torque.copy()
    slip = np.broadcast_to(slip, y.shape)
    for motor in np.flatnonzero(np.not_equal(machine.curves, None)):
        curve, at = machine.curves[motor], (..., motor)
        speed = 100.0 * (1.0 - slip[at])
        idle = machine.g[motor] + 1.0 / (
            machine.r_s[motor] + 1j * (machine.x_s[motor] + machine.x_m[motor])
        )
        torque[at] = machine.t_fl[motor] * _along(curve, curve.torque_pct, speed, 0.0) / 100.0
        size = _along(curve, curve.current_xfla, speed, abs(idle))
        angle = np.angle(y[at])
        if curve.power_factor is not None:
            angle = -np.arccos(_along(curve, curve.power_factor, speed, np.cos(np.angle(idle))))
        y[at] = size * np.exp(1j * angle)
    return y, torque


def _along(curve: Curve, values: np.ndarray, speed: np.ndarray, at_end: float) -> np.ndarray:
    ends = np.asarray(curve.speed_pct)[-1] < 100.0
    points = np.append(curve.speed_pct, 100.0) if ends else curve.speed_pct
    return np.interp(speed, points, np.append(values, at_end) if ends else values)
