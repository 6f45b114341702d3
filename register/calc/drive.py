"""The start of a motor on a drive, which gives it the frequency it needs, not full voltage."""

from __future__ import annotations

import numpy as np

from register.calc.course_rows import EXTRA
from register.calc.machine import Machine, admittance
from register.calc.speed_step import steady
from register.calc.start_course import DOES_NOT_TURN, STALLS, STARTS, March
from register.calc.start_methods import Control, Path

EFFICIENCY = 0.97  # of the drive (common practice)
LINE_POWER_FACTOR = 0.95  # of a six-pulse rectifier with a choke (common practice)


def drive_start(*, path: Path, machine: Machine, control: Control, inertia_pu: np.ndarray, t_max_s: float) -> March:
    """Starts within the ramp, the torque and the current that a drive is set to.

    Parameters
    ----------
    path : motor, supply and load at the speeds of the start
    machine : the motors
    control : how each is started; all on drives
    inertia_pu : of motor and load, as time to synchronous speed at 1 pu of torque [s]
    t_max_s : time after which a start counts as a stall [s]

    Notes
    -----
    The speed follows the ramp as long as torque and current allow. The motor is held at its rated
    flux: its current is the magnetising one in quadrature with one in proportion to the torque. An
    estimate: losses of harmonics and boost at low speed are left out.
    """
    idle = np.abs(admittance(machine, np.zeros_like(inertia_pu))[0].imag)
    by_current = np.sqrt(np.maximum(control.limit_xfla**2 - idle**2, 0.0) / (1.0 - idle**2))
    most = machine.t_fl * np.minimum(control.torque_to, by_current)
    spare = np.minimum(most, 1e9) - path.load
    way = np.diff(path.speed, axis=0)
    by_torque, _ = steady(first=spare[:-1], last=spare[1:], scale=inertia_pu * way)
    taken = np.maximum(by_torque, way / path.speed[-1] * control.ramp_s)
    time = np.vstack([np.zeros(way.shape[1]), np.cumsum(taken, axis=0)])
    time = np.vstack([np.zeros((EXTRA, way.shape[1])), time])
    # The rows of a wait and of a hand-over, which a drive has none of, repeat standstill.
    speed, load, spare = (np.vstack([v[:1]] * EXTRA + [v]) for v in (path.speed, path.load, spare))
    least = spare.min(axis=0)
    rate = np.minimum(path.speed[-1] / control.ramp_s, spare / inertia_pu)
    torque = load + inertia_pu * np.maximum(rate, 0.0)
    stuck = np.argmax(spare <= 0.0, axis=0)
    gives_out = np.where((spare <= 0.0).any(axis=0), _at(speed, stuck), np.nan)
    ended = _ended(time, {"speed": speed, "torque": torque, "load": load}, t_max_s)
    known = {"stall_speed": gives_out, "spare": least, "up": time[-1] <= t_max_s}
    return _march(machine, idle, path.v_oc, ended, **known)


def _at(values: np.ndarray, row: np.ndarray) -> np.ndarray:
    return values[row, np.arange(values.shape[1])]


def _ended(time: np.ndarray, rows: dict[str, np.ndarray], t_max_s: float) -> dict[str, np.ndarray]:
    """The rows until t_max_s; later ones repeat that one."""
    beyond = ~(time <= t_max_s)
    upper = np.where(beyond.any(axis=0), np.maximum(np.argmax(beyond, axis=0), 1), len(time) - 1)
    lower = upper - 1
    way = _at(time, upper) - _at(time, lower)
    share = np.clip((t_max_s - _at(time, lower)) / way, 0.0, 1.0)
    share = np.where(way > 0.0, share, 1.0)
    ended = {"time": np.minimum(time, t_max_s)}
    for name, values in rows.items():
        end = _at(values, lower) + share * (_at(values, upper) - _at(values, lower))
        ended[name] = np.where(beyond, end, values)
    return ended


def _march(
    machine: Machine,
    idle: np.ndarray,
    v_oc: np.ndarray,
    rows: dict[str, np.ndarray],
    stall_speed: np.ndarray,
    spare: np.ndarray,
    up: np.ndarray,
) -> March:
    """Currents of motor and line, and the verdict."""
    taken = np.diff(rows["time"], axis=0)
    motor = np.sqrt(idle**2 + (1.0 - idle**2) * (rows["torque"] / machine.t_fl) ** 2)
    lost = machine.g + motor**2 * (machine.r_s + machine.r_1)
    power = (rows["torque"] * rows["speed"] + lost) / EFFICIENCY
    line = power / (v_oc * LINE_POWER_FACTOR)

    def integral(values: np.ndarray) -> np.ndarray:
        steps = taken * (values[:-1] + values[1:]) / 2.0
        return np.vstack([np.zeros(len(idle)), steps])

    return March(
        **rows,
        current=line,
        motor_current=motor,
        v_bus=np.ones_like(line),
        v_term=np.minimum(rows["speed"], 1.0),
        di2=integral(line * line),
        motor_di2=integral(motor * motor),
        status=np.where(up, STARTS, np.where(stall_speed == 0.0, DOES_NOT_TURN, STALLS)),
        start_s=np.where(up, rows["time"][-1], np.nan),
        stall_speed=np.where(up, np.nan, stall_speed),
        reached=rows["speed"][-1],
        energy=integral(power).sum(axis=0),
        spare=spare,
        peak=line.max(axis=0),
        least_bus=np.ones(len(idle)),
    )
