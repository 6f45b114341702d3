"""What each way of starting lets through to the motor, at every speed and moment of a start."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import NamedTuple

import numpy as np

from register.calc import load_curve
from register.calc.load_curve import Load
from register.calc.machine import Machine, admittance
from register.calc.supply import Supply

DIRECT, TAP, SOFT, TORQUE, DRIVE = range(5)
FAINTEST = 1e-6  # of full voltage, so that a ramp from nothing is no division by zero


@dataclass(frozen=True)
class Control:
    """How each motor is started, as arrays of one length.

    method is DIRECT, TAP (star-delta with a tap of 1/√3, or an autotransformer: tap of full
    voltage until transition_s), SOFT (voltage from `initial` of the full over ramp_s, never above
    limit_xfla), TORQUE (torque from torque_from to torque_to of full-load torque over ramp_s and
    held there, within the same limit) or DRIVE (full speed in ramp_s within torque_to and
    limit_xfla of motor current). A limit of inf is none.
    """

    method: np.ndarray
    tap: np.ndarray
    transition_s: np.ndarray
    initial: np.ndarray
    ramp_s: np.ndarray
    limit_xfla: np.ndarray
    torque_from: np.ndarray
    torque_to: np.ndarray

    @classmethod
    def of(
        cls,
        *,
        method: np.ndarray,
        tap: np.ndarray = 1.0,
        transition_s: np.ndarray = 0.0,
        initial: np.ndarray = 1.0,
        ramp_s: np.ndarray = 0.0,
        limit_xfla: np.ndarray = np.inf,
        torque_from: np.ndarray = 0.0,
        torque_to: np.ndarray = np.inf,
    ) -> Control:
        """Control with what a method has no use for filled in; numbers stand for all motors."""
        given = (tap, transition_s, initial, ramp_s, limit_xfla, torque_from, torque_to)
        method, *rest = np.broadcast_arrays(np.atleast_1d(method), *given)
        return cls(method.astype(int), *(np.asarray(values, float) for values in rest))

    def take(self, index: np.ndarray | slice) -> Control:
        """The motors at that index, mask or slice."""
        return Control(**{f.name: getattr(self, f.name)[index] for f in fields(self)})


@dataclass(frozen=True)
class Path:
    """Motor, cable, supply and load at the speeds of a start: (G, n), or (n,) where it says so.

    At 1 pu of voltage before the cable: `drawn` is the current, `cosine` its power factor, `pull`
    the torque, `kept` the voltage left behind the cable. `load` is the load's torque, `full` the
    voltage before the cable with nothing in between; z_s and v_oc of the supply are (n,).
    """

    speed: np.ndarray
    admittance: np.ndarray
    drawn: np.ndarray
    cosine: np.ndarray
    pull: np.ndarray
    kept: np.ndarray
    load: np.ndarray
    full: np.ndarray
    z_s: np.ndarray
    v_oc: np.ndarray

    def net(self, volts: np.ndarray) -> np.ndarray:
        """Torque that accelerates at those voltages [pu]."""
        return volts * volts * self.pull - self.load

    def behind_tap(self, tap: np.ndarray) -> np.ndarray:
        """Voltage at the motor's cable behind a tap of the bus voltage [pu]."""
        return tap * self.v_oc / np.abs(1.0 + self.z_s * tap**2 * self.admittance)


def bus_volts(at: Path, volts: np.ndarray, z_s: np.ndarray, v_oc: np.ndarray) -> np.ndarray:
    """Voltage of the bus when a device in series leaves the motor's cable that much [pu].

    `at` is anything with the current drawn and its cosine at 1 pu; the device passes the current
    and the active power on unchanged.
    """
    current, along = volts * at.drawn, volts * at.cosine
    square = np.maximum(v_oc**2 - (along + z_s.real * current) ** 2, 0.0)
    across = np.sqrt(square) - z_s.imag * current
    return np.sqrt(along * along + across * across)


def path(*, machine: Machine, load: Load, supply: Supply, speed: np.ndarray) -> Path:
    """Motor, cable, supply and load at those speeds, of synchronous speed and (G, n)."""
    y, pull = admittance(machine, 1.0 - speed)
    cable = 1.0 / (1.0 + supply.z_c * y)
    y, kept = y * cable, np.abs(cable)
    drawn = np.abs(y)
    return Path(
        speed=speed,
        admittance=y,
        drawn=drawn,
        cosine=y.real / drawn,
        pull=pull * kept * kept,
        kept=kept,
        load=machine.t_fl * load_curve.torque(load, speed / (1.0 - machine.s_fl)),
        full=supply.v_oc / np.abs(1.0 + supply.z_s * y),
        z_s=supply.z_s,
        v_oc=supply.v_oc,
    )


def final_volts(*, path: Path, control: Control, t_fl: np.ndarray) -> np.ndarray:
    """Voltage before the cable once all ramps and transitions are over [pu]."""
    limited = np.isin(control.method, (SOFT, TORQUE))
    limit = np.where(limited, control.limit_xfla, np.inf)
    held = np.where(control.method == TORQUE, control.torque_to * t_fl, np.inf)
    volts = np.minimum(path.full, limit / path.drawn)
    return np.minimum(volts, np.sqrt(held / path.pull))


class ByVoltage(NamedTuple):
    """Net torque of motors at one speed, by the clock, while a ramp of voltage opens [pu].

    Bus to motor at a ratio r of voltages and equal active power: 1/r² − cos²φ is what the device
    adds in quadrature.
    """

    first: np.ndarray
    rate: np.ndarray
    along: np.ndarray
    across: np.ndarray
    cosine_sq: np.ndarray
    pull: np.ndarray
    most: np.ndarray
    load: np.ndarray

    def at(self, time: np.ndarray | float) -> np.ndarray:
        """So long after the beginning."""
        ratio = self.first + self.rate * time
        opened = np.sqrt(1.0 / (ratio * ratio) - self.cosine_sq) + self.across
        return np.minimum(self.pull / (self.along + opened * opened), self.most) - self.load


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
            self._first, last = np.maximum(control.initial, FAINTEST) * path.v_oc, path.v_oc
        self._seconds = control.ramp_s
        self._rate = (last - self._first) / control.ramp_s
        self._pull, self._load, self._most = path.pull, path.load, final * final * path.pull
        v_sq = path.v_oc**2
        self._cosine_sq = path.cosine**2 / v_sq
        self._along = (path.cosine + path.z_s.real * path.drawn) ** 2 / v_sq
        self._across = path.z_s.imag * path.drawn / path.v_oc

    def since(
        self, time: np.ndarray | float, row: int, columns: np.ndarray | slice = slice(None)
    ) -> ByVoltage | ByTorque:
        """Torque of those motors at that speed, by the clock, beginning at that moment."""
        rate = self._rate[columns]
        by_speed = (self._most, self._load)
        if not self.by_torque:
            by_speed = (self._along, self._across, self._cosine_sq, self._pull, *by_speed)
        law = ByTorque if self.by_torque else ByVoltage
        first = self._first[columns] + rate * time
        return law(first, rate, *(values[row][columns] for values in by_speed))

    def reaches(self, torque: np.ndarray, rows: int | slice = slice(None)) -> np.ndarray:
        """Moment at which it gives that torque at those speeds, load and all; its end at most."""
        set_ = torque
        if not self.by_torque:
            across = np.sqrt(np.maximum(self._pull[rows] / torque - self._along[rows], 0.0))
            opened = np.maximum(across - self._across[rows], 0.0)
            set_ = 1.0 / np.sqrt(opened * opened + self._cosine_sq[rows])
        missing = set_ - self._first
        time = np.where(self._rate > 0.0, missing / self._rate, np.inf * np.sign(missing))
        # What is more than the limit or the supply gives is never reached.
        time = np.where(torque > self._most[rows], np.inf, time)
        return np.fmin(np.fmax(time, 0.0), self._seconds)

    def capped(self) -> np.ndarray:
        """Moments from which the ramp is above what the limit, or the supply, gives."""
        return self.reaches(self._most)
