"""What each way of starting lets through to the motor, at every speed and moment of a start."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import NamedTuple

import numpy as np

from register.calc import load_curve
from register.calc.load_curve import Load
from register.calc.machine import Machine, admittance
from register.calc.reduced_voltage import KNEE_XFLA, Bent, bent_of
from register.calc.supply import Supply

DIRECT, TAP, SOFT, TORQUE, DRIVE = range(5)
ROUNDS = 3  # in which a voltage that depends on itself settles: each leaves a fiftieth of the error
FAINTEST = 1e-6  # of full voltage, so that a ramp from nothing is no division by zero


@dataclass(frozen=True)
class Control:
    """How each motor is started, as arrays of one length.

    method is DIRECT, TAP (star-delta with a tap of 1/√3, or an autotransformer: tap of full
    voltage until transition_s), SOFT (voltage from `initial` of the full over ramp_s, never above
    limit_xfla), TORQUE (torque from torque_from to torque_to of full-load torque over ramp_s and
    held there, within the same limit; `then_full` 1 gives full voltage after it) or DRIVE (full
    speed in ramp_s within torque_to and limit_xfla of motor current). A limit of inf is none.
    """

    method: np.ndarray
    tap: np.ndarray
    transition_s: np.ndarray
    initial: np.ndarray
    ramp_s: np.ndarray
    limit_xfla: np.ndarray
    torque_from: np.ndarray
    torque_to: np.ndarray
    then_full: np.ndarray

    @classmethod
    def of(
        cls,
        *,
        method: np.ndarray,
        tap: np.ndarray | float = 1.0,
        transition_s: np.ndarray | float = 0.0,
        initial: np.ndarray | float = 1.0,
        ramp_s: np.ndarray | float = 0.0,
        limit_xfla: np.ndarray | float = np.inf,
        torque_from: np.ndarray | float = 0.0,
        torque_to: np.ndarray | float = np.inf,
        then_full: np.ndarray | float = 0.0,
    ) -> Control:
        """Control with what a method has no use for filled in; numbers stand for all motors."""
        given = (tap, transition_s, initial, ramp_s, limit_xfla, torque_from, torque_to, then_full)
        method, *rest = np.broadcast_arrays(np.atleast_1d(method), *given)
        return cls(method.astype(int), *(np.asarray(values, float) for values in rest))

    def take(self, index: np.ndarray | slice) -> Control:
        """The motors at that index, mask or slice."""
        return Control(**{f.name: getattr(self, f.name)[index] for f in fields(self)})


@dataclass(frozen=True)
class Path:
    """Motor, cable, supply and load at the speeds of a start: (G, n), or (n,) where it says so.

    `drawn`, `cosine` and `pull` are the motor's current, its power factor and its torque at 1 pu of voltage at its
    terminals, `load` the load's torque. What a start lets through is counted in effective voltage: that
    times `drawn` is the current, its square times `pull` the torque; `bent` says how the voltage
    follows. `full` is the effective voltage with nothing in between; z_s, z_c and v_oc of the supply are (n,).
    """

    speed: np.ndarray
    drawn: np.ndarray
    cosine: np.ndarray
    pull: np.ndarray
    load: np.ndarray
    full: np.ndarray
    bent: Bent
    z_s: np.ndarray
    z_c: np.ndarray
    v_oc: np.ndarray

    def net(self, volts: np.ndarray) -> np.ndarray:
        """Torque that accelerates at those effective voltages [pu]."""
        return volts * volts * self.pull - self.load

    def behind_tap(self, tap: np.ndarray) -> np.ndarray:
        """Effective voltage behind a tap of the bus voltage [pu]."""
        return behind(self, tap * self.v_oc, self.z_c + tap**2 * self.z_s)


def behind(at: Path, source: np.ndarray, z: np.ndarray) -> np.ndarray:
    """Effective voltage of a motor behind a source and an impedance [pu]."""
    exponent = at.bent.exponent(at.drawn)
    # |1 + z·Y·f|² without complex numbers: they are slow.
    along = 2.0 * at.drawn * (z.real * at.cosine + z.imag * sine(at.cosine))
    square = (z.real**2 + z.imag**2) * at.drawn * at.drawn
    factor = 1.0
    for _ in range(ROUNDS):
        volts = source / np.sqrt(1.0 + factor * (along + factor * square))
        factor = at.bent.factor(volts, at.drawn, exponent)
    return factor * source / np.sqrt(1.0 + factor * (along + factor * square))


def sine(cosine: np.ndarray) -> np.ndarray:
    """Sine of the angle with that cosine."""
    return np.sqrt(np.maximum(1.0 - cosine * cosine, 0.0))


def bus_volts(along: np.ndarray, current: np.ndarray, z_s: np.ndarray, v_oc: np.ndarray) -> np.ndarray:
    """Voltage of the bus when a device in series passes that current with that voltage in phase with it [pu]."""
    square = np.maximum(v_oc**2 - (along + z_s.real * current) ** 2, 0.0)
    across = np.sqrt(square) - z_s.imag * current
    return np.sqrt(along * along + across * across)


def path(*, machine: Machine, load: Load, supply: Supply, speed: np.ndarray) -> Path:
    """Motor, cable, supply and load at those speeds, of synchronous speed and (G, n)."""
    y, pull = admittance(machine, 1.0 - speed)
    drawn = np.abs(y)
    found = Path(
        speed=speed,
        drawn=drawn,
        cosine=y.real / drawn,
        pull=pull,
        load=machine.t_fl * load_curve.torque(load, speed / (1.0 - machine.s_fl)),
        full=drawn,
        bent=bent_of(machine),
        z_s=supply.z_s,
        z_c=supply.z_c,
        v_oc=supply.v_oc,
    )
    return replace(found, full=behind(found, supply.v_oc, supply.z_s + supply.z_c))


def final_volts(*, path: Path, control: Control, t_fl: np.ndarray) -> np.ndarray:
    """Effective voltage once all ramps and transitions are over [pu]."""
    limited = np.isin(control.method, (SOFT, TORQUE))
    limit = np.where(limited, control.limit_xfla, np.inf)
    by_torque = (control.method == TORQUE) & ~(control.then_full > 0.0)
    held = np.where(by_torque, control.torque_to * t_fl, np.inf)
    volts = np.minimum(path.full, limit / path.drawn)
    return np.minimum(volts, np.sqrt(held / path.pull))


class ByVoltage(NamedTuple):
    """Net torque of motors at one speed, by the clock, while a ramp of voltage opens [pu].

    Bus to motor at a ratio r of voltages and equal active power: |Z|²/r² − R² is the square of what the device
    and the motor's reactance oppose to the current in quadrature.
    """

    first: np.ndarray
    rate: np.ndarray
    r_motor: np.ndarray
    x_motor: np.ndarray
    pull: np.ndarray
    most: np.ndarray
    load: np.ndarray
    exponent: np.ndarray
    knee: np.ndarray
    z_s: np.ndarray
    z_c: np.ndarray
    v_oc: np.ndarray

    def at(self, time: np.ndarray | float) -> np.ndarray:
        """So long after the beginning."""
        ratio = np.minimum(self.first + self.rate * time, 1.0)
        volts = ratio * self.v_oc
        for _ in range(ROUNDS - 1):
            factor = np.maximum(volts, self.knee) ** self.exponent
            effective = self._effective(ratio, factor)
            volts = effective / factor
        return np.minimum(effective * effective * self.pull, self.most) - self.load

    def _effective(self, ratio: np.ndarray, factor: np.ndarray) -> np.ndarray:
        current = through(ratio, self.r_motor / factor, self.x_motor / factor, self)
        return current * np.hypot(self.r_motor, self.x_motor)


def through(ratio: np.ndarray, r: np.ndarray, x: np.ndarray, supply: Supply | Path | ByVoltage) -> np.ndarray:
    """Current through a device in series at that ratio of voltages into a motor's resistance and reactance [pu]."""
    r, x = r + supply.z_c.real, x + supply.z_c.imag
    square = (r * r + x * x) / (ratio * ratio) - r * r
    along, across = r + supply.z_s.real, np.sqrt(square) + supply.z_s.imag
    return supply.v_oc / np.sqrt(along * along + across * across)


class ByTorque(NamedTuple):
    """Net torque of motors at one speed, by the clock, while a ramp of torque opens [pu]."""

    first: np.ndarray
    rate: np.ndarray
    most: np.ndarray
    load: np.ndarray

    def at(self, time: np.ndarray | float) -> np.ndarray:
        """So long after the beginning."""
        return np.minimum(self.first + self.rate * time, self.most) - self.load


class Ramp:
    """The torque of a ramp at each of the speeds and at any moment until its end."""

    def __init__(self, *, path: Path, control: Control, final: np.ndarray, t_fl: np.ndarray):
        # A ramp of voltage sets its ratio of the open voltage, one of torque the torque itself.
        self.by_torque = bool((control.method == TORQUE).all())
        if self.by_torque:
            self._first, last = control.torque_from * t_fl, control.torque_to * t_fl
        else:
            self._first, last = np.maximum(control.initial, FAINTEST), 1.0
        self._seconds = control.ramp_s
        self._rate = (last - self._first) / control.ramp_s
        self._path, self._load, self._most = path, path.load, final * final * path.pull
        if not self.by_torque:
            self._r, self._x = path.cosine / path.drawn, sine(path.cosine) / path.drawn
            self._exponent = path.bent.exponent(path.drawn)

    def since(
        self, time: np.ndarray | float, row: int, columns: np.ndarray | slice = slice(None)
    ) -> ByVoltage | ByTorque:
        """Torque of those motors at that speed, by the clock, beginning at that moment."""
        rate = self._rate[columns]
        first = self._first[columns] + rate * time
        by_speed = (self._most, self._load)
        if self.by_torque:
            return ByTorque(first, rate, *(values[row][columns] for values in by_speed))
        by_speed = (self._r, self._x, self._path.pull, *by_speed, self._exponent)
        knee = KNEE_XFLA / self._path.drawn[row][columns]
        supply = (values[columns] for values in (self._path.z_s, self._path.z_c, self._path.v_oc))
        return ByVoltage(first, rate, *(values[row][columns] for values in by_speed), knee, *supply)

    def reaches(self, torque: np.ndarray, rows: int | slice = slice(None)) -> np.ndarray:
        """Moment at which it gives that torque at those speeds, load and all; its end at most."""
        set_ = torque if self.by_torque else self._ratio(np.sqrt(torque / self._path.pull[rows]), rows)
        missing = set_ - self._first
        time = np.where(self._rate > 0.0, missing / self._rate, np.inf * np.sign(missing))
        # What is more than the limit or the supply gives is never reached.
        time = np.where(torque > self._most[rows], np.inf, time)
        return np.fmin(np.fmax(time, 0.0), self._seconds)

    def _ratio(self, effective: np.ndarray, rows: int | slice) -> np.ndarray:
        """Ratio of voltages at which the motors get that effective voltage."""
        at = self._path
        factor = effective / at.bent.terminal(effective, at.drawn[rows], self._exponent[rows])
        r, x = self._r[rows] / factor + at.z_c.real, self._x[rows] / factor + at.z_c.imag
        whole = at.v_oc / (effective * at.drawn[rows])
        across = np.sqrt(np.maximum(whole**2 - (r + at.z_s.real) ** 2, 0.0)) - at.z_s.imag
        across = np.maximum(across, 0.0)
        return np.sqrt((r * r + x * x) / (across * across + r * r))

    def capped(self) -> np.ndarray:
        """Moments from which the ramp is above what the limit, or the supply, gives."""
        return self.reaches(self._most)
