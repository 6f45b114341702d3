"""One start worked out: the simulation, those at the ends of the band, the direct one, the relays."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property
from math import inf, isfinite

import numpy as np

from register.calc import start_strain as strain
from register.calc import stress
from register.calc import study as studies
from register.calc.machine import Machine
from register.calc.start_course import STARTS, March
from register.calc.start_methods import DIRECT, Control, final_volts, path
from register.calc.start_shapes import BAND
from register.calc.study import STATES, Start
from register.starts.load_case import Case

SPEEDS = 201
T_MAX_S = 200.0


@dataclass(frozen=True)
class Run:
    """A start of one motor, and what is asked of it more than once."""

    case: Case
    start: Start

    @classmethod
    def together(cls, cases: Sequence[Case]) -> list[Run]:
        """The starts of several positions by their own devices, simulated at once."""
        if not cases:
            return []
        columns = {n: [case.facts[n] for case in cases] for n in cases[0].facts}
        facts = {n: v[0] if n.endswith("_table") else np.concatenate(v) for n, v in columns.items()}
        start = Start.own(facts)
        machines = start.machine(BAND)
        march = start.take(np.tile(np.arange(len(cases)), len(BAND))).march(machines)
        return [
            cls(case, start.take(np.array([at])))._known(machines, march, at, len(cases))
            for at, case in enumerate(cases)
        ]

    def _known(self, machines: Machine, march: March, at: int, many: int) -> Run:
        """The same, with what it would work out by itself taken from several starts, of which it is one."""
        places = [np.array([end * many + at]) for end in range(len(BAND))]
        each = tuple(machines.take(place) for place in places)
        vars(self).update(machine=each[0], machines=each, marches=tuple(march.take(place) for place in places))
        return self

    @cached_property
    def machine(self) -> Machine:
        """The motor as a circuit."""
        return self.start.machine()

    @cached_property
    def marches(self) -> tuple[March, ...]:
        """The start in the three shapes, the centre first."""
        return tuple(self.start.march(machine) for machine in self.machines)

    @cached_property
    def machines(self) -> tuple[Machine, ...]:
        """The motor in the three shapes, the centre first."""
        return self.machine, *(self.start.machine(end) for end in BAND[1:])

    @property
    def march(self) -> March:
        """The start as the centre has it."""
        return self.marches[0]

    @property
    def outcome(self) -> str:
        """What becomes of it, in all three shapes."""
        return str(studies.outcome(np.array([m.status for m in self.marches]))[0])

    @property
    def starts(self) -> bool:
        """Whether it comes up to speed in the centre's shape."""
        return bool(self.march.status[0] == STARTS)

    @property
    def method(self) -> int:
        """How it is started, as `calc.control` counts."""
        return int(self.start.control.method[0])

    @property
    def limit_xfla(self) -> float:
        """The current limit, inf without one."""
        return float(self.start.control.limit_xfla[0])

    @cached_property
    def lowest(self) -> tuple[float, float, float]:
        """Lowest workable limit: as it is, low and high end of the band; inf for none [×FLA]."""
        limits = [float(self.start.lowest_limit(machine)[0]) for machine in self.machines]
        return limits[0], min(limits), max(limits)

    def banded(self, of: Callable[[March], np.ndarray]) -> tuple[float, float, float]:
        """A figure of the start: the centre's, the least and the greatest of the three."""
        values = [float(np.ravel(of(march))[0]) for march in self.marches]
        return values[0], min(values), max(values)

    @property
    def has_curve(self) -> bool:
        """Whether the motor's torque and current are its maker's curve, which has no band."""
        return self.machine.curves is not None

    @cached_property
    def direct(self) -> Run:
        """The same motor and load across the line."""
        return Run(self.case, Start(self.start.facts, Control.of(method=np.full(1, DIRECT))))

    def with_limits(self, limits: np.ndarray) -> Start:
        """The same start with each of these limits instead of its own."""
        many = self.start.take(np.zeros(len(limits), int))
        return Start(many.facts, replace(many.control, limit_xfla=limits))

    def heat(self) -> tuple[float, float, float]:
        """Heat of the start, of what the motor withstands at locked rotor, with its band; NaN if unknown."""
        return self.banded(lambda march: strain.motor_heat(self.start, march))

    def breaker(self) -> tuple[float, float, float]:
        """Share of its long-time trip that the main breaker reaches, with its band."""
        return self.banded(lambda march: strain.breaker_share(self.start, march))

    def duty(self) -> tuple[tuple[float, float, float], float]:
        """The start as time at the current of the device's duty code, with its band, and the highest current there."""
        seconds = self.banded(lambda march: strain.device_duty(self.start, march)[0])
        return seconds, self.banded(lambda march: strain.device_duty(self.start, march)[1])[2]

    def heated_s(self) -> float:
        """When the motor has had all the heat it withstands; NaN if it has not, or if unknown [s]."""
        values = self.start.facts
        most = (values["locked_rotor_ratio"] ** 2 * values["hot_stall_s"])[0]
        heat = np.cumsum(self.march.motor_di2[:, 0])
        if not heat[-1] >= most:
            return np.nan
        return float(np.interp(most, heat, self.march.time[:, 0]))

    def relay(self, *, warm: float = 0.0) -> stress.Overload:
        """The overload that protects the motor, cold or warm from a load before."""
        return strain.overload(self.start, self.march, warm=warm)

    def relay_state(self) -> str | None:
        """What it does in all three shapes, from cold; None where that is unknown."""
        return studies.state(np.array([strain.overload(self.start, march).state for march in self.marches]))[0]

    def trips_first(self) -> bool:
        """Whether the overload trips before the motor is up to speed, by its class's slowest curve."""
        return self.relay_state() == STATES[stress.TRIPS]

    def standstill_pct(self) -> float:
        """Torque at standstill once ramps are over, of full-load torque [%]."""
        return float(self.torques()[1][0])

    def torques(self) -> tuple[np.ndarray, ...]:
        """Speeds, torque as set, torque at full voltage, load: all of full load [%]."""
        start = self.start
        speed = np.linspace(0.0, 1.0 - self.machine.s_fl, SPEEDS)
        at = path(machine=self.machine, load=start.load, supply=start.supply, speed=speed)
        final = final_volts(path=at, control=start.control, t_fl=self.machine.t_fl)
        shares = (at.pull * final**2, at.pull * at.full**2, at.load)
        return (100.0 * speed[:, 0], *(100.0 * s[:, 0] / self.machine.t_fl[0] for s in shares))


def known(value: float) -> float | None:
    """The number, None for NaN."""
    return None if value != value else float(value)


def finite(value: float, otherwise: str) -> float | str | None:
    """The number, None for NaN, and a word for one without end."""
    if abs(value) == inf:
        return otherwise
    return known(value) if isfinite(value) else None


def at_rows(march: March) -> March:
    """The simulation of one motor without rows that repeat the one before."""
    rows = np.hstack([march.time, march.speed, march.current])
    kept = np.flatnonzero(np.append((np.diff(rows, axis=0) != 0.0).any(axis=1), True))
    deep = {f.name: getattr(march, f.name)[kept] for f in fields(March)[:10]}
    return replace(march, **deep)
