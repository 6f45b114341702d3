"""What the study of a start hands on: the course of many starts, row by row."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

STARTS, STALLS, DOES_NOT_TURN, UNKNOWN = 0, 1, 2, -1


@dataclass(frozen=True)
class March:
    """The starts of n motors, row by row of time: (G, n), or (n,) where it says so.

    `time` [s]; `speed` of synchronous speed; `current` of the line and `motor_current` of the
    motor, which differ behind a tap or a drive [×FLA]; `v_bus` of the bus voltage before the start,
    `v_term` of the motor's rated voltage; `torque` and `load` on the motor's base [pu]; `di2` and
    `motor_di2` the integrals of the squares of both currents since the row before [s].

    (n,): `status` STARTS, STALLS, DOES_NOT_TURN or UNKNOWN; `start_s` the time to full speed, NaN
    without [s]; `stall_speed` where the torque gives out, NaN where it does not; `reached` the
    speed in the last row; `energy` taken from the line until then [pu·s]; `spare` the least torque
    left over by the load once ramps and transitions are over, at all speeds [pu]; `peak` the highest current of the
    line [×FLA] and `least_bus` the lowest bus voltage, both as if the current fell no faster than the voltage.
    """

    time: np.ndarray
    speed: np.ndarray
    current: np.ndarray
    motor_current: np.ndarray
    v_bus: np.ndarray
    v_term: np.ndarray
    torque: np.ndarray
    load: np.ndarray
    di2: np.ndarray
    motor_di2: np.ndarray
    status: np.ndarray
    start_s: np.ndarray
    stall_speed: np.ndarray
    reached: np.ndarray
    energy: np.ndarray
    spare: np.ndarray
    peak: np.ndarray
    least_bus: np.ndarray

    @classmethod
    def empty(cls, rows: int, size: int) -> March:
        """Room for as many motors, nothing known of any."""
        deep = {f.name: np.full((rows, size), np.nan) for f in fields(cls)[:10]}
        flat = {f.name: np.full(size, np.nan) for f in fields(cls)[10:]}
        return cls(**deep, **flat | {"status": np.full(size, UNKNOWN)})

    def take(self, index: np.ndarray | slice) -> March:
        """The motors at that index, mask or slice."""
        return March(**{f.name: getattr(self, f.name)[..., index] for f in fields(self)})

    def each(self, which: np.ndarray) -> March:
        """As many motors as `which` has numbers, each with the course of that motor; laid out as these are."""
        return March(**{f.name: np.take(getattr(self, f.name), which, axis=-1) for f in fields(self)})

    def put(self, index: np.ndarray, part: March) -> None:
        """Write the motors of a part at that index of this one."""
        for f in fields(self):
            getattr(self, f.name)[..., index] = getattr(part, f.name)
