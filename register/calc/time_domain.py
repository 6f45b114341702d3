"""One motor followed moment by moment, for what a simulation by speed cannot do: speed that falls.

A kick before a limit, a soft stop, a dip of the supply and what comes after. The machine, the load
and the supply are those of the simulation by speed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from math import inf, sqrt
from typing import NamedTuple

import numpy as np

from register.calc.load_curve import Load
from register.calc.machine import Machine
from register.calc.reduced_voltage import KNEE_XFLA, bent_of
from register.calc.start_methods import FAINTEST, ROUNDS, SOFT, TAP, TORQUE, Control, bus_volts, path
from register.calc.supply import Supply

SPEEDS = 4001
TOLERANCE = 1e-7  # of speed, a step
ROWS = 300  # no step is longer than that part of its stretch
FIRST_STEP_S = 1e-4
LEAST_STEP_S = 1e-9


class At(NamedTuple):
    """Motor, supply and load at one speed, as in `start_methods.Path`; `tapped` behind the tap."""

    drawn: float
    cosine: float
    pull: float
    load: float
    full: float
    tapped: float
    exponent: float


class Stretch(NamedTuple):
    """Part of a course: how long, the effective voltage by the time in it, and behind what.

    `tap` is the ratio of line current to motor current, `source` the supply's voltage, of the
    usual.
    """

    seconds: float
    volts: Callable[[float, At], float]
    tap: float = 1.0
    source: float = 1.0


@dataclass(frozen=True)
class Course:
    """What one motor does, row by row of time.

    `time` [s]; `speed` of synchronous speed; `current` of the line [×FLA]; `v_bus` of the bus
    voltage without the motor, `v_term` of the motor's rated voltage; `torque` and `load` on the
    motor's base [pu]; `i2` the integral of the square of the line current until then [s].
    """

    time: np.ndarray
    speed: np.ndarray
    current: np.ndarray
    v_bus: np.ndarray
    v_term: np.ndarray
    torque: np.ndarray
    load: np.ndarray
    i2: np.ndarray


class Stand:
    """One motor with its load, supply and way of starting, ready to be followed.

    Parameters
    ----------
    machine, load, supply, control, inertia_pu : as for the simulation by speed, arrays of one: a single motor

    Notes
    -----
    `up_to_speed` is the speed, of synchronous speed, from which a start is over: 1 − 2·s_fl.
    """

    def __init__(self, *, machine: Machine, load: Load, supply: Supply, control: Control, inertia_pu: np.ndarray):
        speed = np.linspace(0.0, 1.0, SPEEDS)[:, None]
        with np.errstate(all="ignore"):
            along = path(machine=machine, load=load, supply=supply, speed=speed)
            parts = [getattr(along, name)[:, 0] for name in At._fields[:-2]]
            self.bent = bent_of(machine)
            parts += [along.behind_tap(control.tap)[:, 0], self.bent.exponent(along.drawn)[:, 0]]
            self._net = along.net(along.full)[:, 0]
        # Plain numbers: arrays are slow when asked for one speed at a time.
        self._rows = np.transpose(parts).tolist()
        self.inertia = float(inertia_pu[0])
        self.t_fl = float(machine.t_fl[0])
        self.up_to_speed = 1.0 - 2.0 * float(machine.s_fl[0])
        self.z_s, self.z_c, self.v_oc = complex(supply.z_s[0]), complex(supply.z_c[0]), float(supply.v_oc[0])
        self.control = Control(*(getattr(control, f.name)[0] for f in fields(Control)))

    def at(self, speed: float) -> At:
        """Motor, cable, supply and load at that speed."""
        place = min(max(speed, 0.0), 1.0) * (SPEEDS - 1)
        row = min(int(place), SPEEDS - 2)
        part = place - row
        pairs = zip(self._rows[row], self._rows[row + 1], strict=True)
        return At(*[first + (last - first) * part for first, last in pairs])

    def running_speed(self) -> float:
        """Highest speed at which torque and load are equal at full voltage, 0 if it cannot run."""
        able = np.flatnonzero(self._net >= 0.0)
        if not able.size:
            return 0.0
        row = min(able[-1], SPEEDS - 2)
        first, last = self._net[row], self._net[row + 1]
        return float(row + (first / (first - last) if last < 0.0 else 1.0)) / (SPEEDS - 1)

    def behind_ratio(self, at: At, ratio: float) -> float:
        """Effective voltage behind a device in series set to that ratio of voltages."""
        ratio, sine_ = max(min(ratio, 1.0), FAINTEST), sqrt(1.0 - at.cosine**2)

        def effective(factor: float) -> float:
            r = at.cosine / (at.drawn * factor) + self.z_c.real
            x = sine_ / (at.drawn * factor) + self.z_c.imag
            across = sqrt(max((r * r + x * x) / ratio**2 - r * r, 0.0)) + self.z_s.imag
            return self.v_oc / sqrt((r + self.z_s.real) ** 2 + across**2) / at.drawn

        return self._settled(at, effective)

    def behind_source(self, at: At, share: float) -> float:
        """Effective voltage at full voltage of a source that is that share of the usual."""
        y = at.drawn * complex(at.cosine, -sqrt(1.0 - at.cosine**2))
        z = self.z_s + self.z_c
        return self._settled(at, lambda factor: factor * share * self.v_oc / abs(1.0 + z * y * factor))

    def _settled(self, at: At, effective: Callable[[float], float]) -> float:
        factor = 1.0
        for _ in range(ROUNDS):
            factor = max(effective(factor) / factor, KNEE_XFLA / at.drawn) ** at.exponent
        return effective(factor)

    def bus(self, at: At, effective: float, tap: float, source: float) -> tuple[float, float]:
        """Voltage of the bus and at the terminals [pu]."""
        terminal = float(self.bent.terminal(effective, at.drawn, at.exponent))
        current = effective * at.drawn
        along = terminal * at.cosine + self.z_c.real * current
        if tap < 1.0:
            across = terminal * sqrt(1.0 - at.cosine**2) + self.z_c.imag * current
            return sqrt(along**2 + across**2) / tap, terminal
        return float(bus_volts(along, current, self.z_s, source * self.v_oc)), terminal

    def start_volts(self, time: float, at: At) -> float:
        """Effective voltage by the motor's way of starting, so long after it began."""
        c = self.control
        if c.method == TAP:
            return at.tapped if time < c.transition_s else at.full
        limited = c.method in (SOFT, TORQUE)
        most = min(at.full, c.limit_xfla / at.drawn) if limited else at.full
        part = time / c.ramp_s if time < c.ramp_s else 1.0
        if c.method == TORQUE and not (part == 1.0 and c.then_full):
            asked = c.torque_from + (c.torque_to - c.torque_from) * part
            return min(most, sqrt(max(asked * self.t_fl / at.pull, 0.0)))
        if c.method == SOFT and part < 1.0:
            return min(most, self.behind_ratio(at, c.initial + (1.0 - c.initial) * part))
        return most

    def start_stretches(self, t_max_s: float) -> list[Stretch]:
        """The motor's way of starting, cut where its voltage has a corner."""
        tapped = self.control.method == TAP
        corner = min(self.control.transition_s if tapped else self.control.ramp_s, t_max_s)
        return [
            Stretch(corner, self.start_volts, tap=self.control.tap if tapped else 1.0),
            Stretch(t_max_s - corner, lambda time, at: self.start_volts(corner + time, at)),
        ]


def start(*, stand: Stand, kick_ratio: float = 1.0, kick_s: float = 0.0, t_max_s: float = 200.0) -> Course:
    """Start from standstill, with a kick before the motor's own way of starting if one is set.

    Parameters
    ----------
    stand : the motor
    kick_ratio : voltage of the kick, of full voltage
    kick_s : how long it lasts; 0 for none [s]
    t_max_s : time after which the start is given up [s]

    Returns
    -------
    Course : from 0 s until `stand.up_to_speed`, its last speed then, or until t_max_s
    """
    kick = Stretch(kick_s, lambda _, at: stand.behind_ratio(at, kick_ratio))
    stretches = [kick, *stand.start_stretches(t_max_s - kick_s)]
    return _follow(stand, stretches, speed=0.0, ends_from=0)


def stop(
    *, stand: Stand, stop_ramp_s: float, by_torque: bool = False, last_ratio: float = 0.0, t_max_s: float = 200.0
) -> Course:
    """Stop from running speed on a falling voltage, or on a falling torque as suits a pump.

    Parameters
    ----------
    stand : the motor
    stop_ramp_s : time in which voltage or torque is taken down; 0 to coast [s]
    by_torque : torque in a straight line from the load's own to none
    last_ratio : voltage at the end of the ramp, when it is switched off, of full voltage
    t_max_s : how long the motor is followed [s]
    """
    speed = stand.running_speed()
    begun = stand.at(speed).load

    def by_volts(time: float, at: At) -> float:
        return stand.behind_ratio(at, 1.0 - (1.0 - last_ratio) * time / stop_ramp_s)

    def by_pull(time: float, at: At) -> float:
        asked = begun * max(1.0 - time / stop_ramp_s, 0.0)
        return min(at.full, sqrt(asked / at.pull)) if at.pull > 0.0 else at.full

    ramp = Stretch(stop_ramp_s, by_pull if by_torque else by_volts)
    coast = Stretch(t_max_s - stop_ramp_s, lambda _, at: 0.0)
    return _follow(stand, [ramp, coast], speed=speed, ends_from=None)


def after_dip(
    *, stand: Stand, left_ratio: float, dip_s: float, restarts: bool = False, t_max_s: float = 200.0
) -> Course:
    """Run through a dip of the supply and come back to speed.

    Parameters
    ----------
    stand : the motor
    left_ratio : voltage left during the dip, of that before; 0 where the contactor lets go
    dip_s : how long the dip lasts [s]
    restarts : by the motor's way of starting, from the speed it has kept; else at full voltage
    t_max_s : time after the dip at which it is given up [s]

    Notes
    -----
    What a motor's own field does while it is off, and to the moment it is on again, is left out.
    """
    dip = Stretch(dip_s, lambda _, at: stand.behind_source(at, left_ratio), source=left_ratio)
    back = stand.start_stretches(t_max_s) if restarts else [Stretch(t_max_s, lambda _, at: at.full)]
    return _follow(stand, [dip, *back], speed=stand.running_speed(), ends_from=1)


def _follow(stand: Stand, stretches: Sequence[Stretch], *, speed: float, ends_from: int | None) -> Course:
    """Go through the stretches; from that one on, being up to speed ends the course."""
    begun, i2, rows = 0.0, 0.0, []
    for place, stretch in enumerate(stretches):
        until = stand.up_to_speed if ends_from is not None and place >= ends_from else inf
        if stretch.seconds <= 0.0:
            continue
        for time, now, squares in _steps(stand, stretch, speed, i2, until):
            rows.append(_row(stand, stretch, begun, time, now, squares))
        begun, speed, i2 = begun + time, now, squares
        if speed >= until:
            break
    return Course(*np.transpose(rows))


def _row(stand: Stand, stretch: Stretch, begun: float, time: float, speed: float, i2: float):
    at = stand.at(speed)
    volts = stretch.volts(time, at)
    bus, terminal = stand.bus(at, volts, stretch.tap, stretch.source)
    return (
        begun + time,
        speed,
        stretch.tap * volts * at.drawn,
        bus / stand.v_oc,
        terminal,
        volts**2 * at.pull,
        at.load,
        i2,
    )


def _steps(stand: Stand, stretch: Stretch, speed: float, i2: float, until: float):
    """Times, speeds and squares through one stretch, by Bogacki and Shampine's pair of order 3."""

    def rate(time: float, speed: float) -> tuple[float, float]:
        at = stand.at(speed)
        volts = stretch.volts(time, at)
        net = (volts * volts * at.pull - at.load) / stand.inertia
        # A load holds a standing motor; it does not drive it backwards.
        return (max(net, 0.0) if speed <= 0.0 else net), (stretch.tap * volts * at.drawn) ** 2

    time, step = 0.0, min(FIRST_STEP_S, stretch.seconds)
    first = rate(time, speed)
    yield time, speed, i2
    while time < stretch.seconds and speed < until:
        step = min(step, stretch.seconds - time, stretch.seconds / ROWS)
        second = rate(time + step / 2.0, speed + step / 2.0 * first[0])
        third = rate(time + step * 0.75, speed + step * 0.75 * second[0])
        new = speed + step * (2.0 * first[0] + 3.0 * second[0] + 4.0 * third[0]) / 9.0
        last = rate(time + step, new)
        parts = zip((-5.0, 6.0, 8.0, -9.0), (first, second, third, last), strict=True)
        error = abs(step / 72.0 * sum(weight * part[0] for weight, part in parts))
        if error <= TOLERANCE or step <= LEAST_STEP_S:
            squares = i2 + step * (2.0 * first[1] + 3.0 * second[1] + 4.0 * third[1]) / 9.0
            share = 1.0 if new <= until else (until - speed) / (new - speed)
            time, speed, i2 = (time + share * step, max(min(new, until), 0.0), i2 + share * (squares - i2))
            first = last if new > 0.0 else rate(time, 0.0)
            # A stretch that has lost no more than rounding is over.
            time = stretch.seconds if stretch.seconds - time < LEAST_STEP_S else time
            yield time, speed, i2
        step *= min(5.0, max(0.2, 0.9 * (TOLERANCE / max(error, 1e-30)) ** (1.0 / 3.0)))
