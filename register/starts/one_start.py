"""One start worked out: the simulation, those at the ends of the band, the direct one, the relays."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property
from math import inf, isfinite

import numpy as np

from register.calc import stress
from register.calc.machine import Machine
from register.calc.start_course import STARTS, March
from register.calc.start_methods import DIRECT, Control, final_volts, path
from register.calc.study import QUICK, SLOW, Start
from register.calc.word_match import said
from register.starts.load_case import Case

SPEEDS = 201
T_MAX_S = 200.0


@dataclass(frozen=True)
class Run:
    """A start of one motor, and what is asked of it more than once."""

    case: Case
    start: Start

    @cached_property
    def machine(self) -> Machine:
        """The motor as a circuit."""
        return self.start.machine()

    @cached_property
    def march(self) -> March:
        """The start."""
        return self.start.march(self.machine)

    @property
    def starts(self) -> bool:
        """Whether it comes up to speed."""
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
    def ends(self) -> list[March]:
        """The start with the most and with the least torque on the way."""
        return [self.start.march(self.start.machine(shape)) for shape in (QUICK, SLOW)]

    @cached_property
    def lowest(self) -> tuple[float, float, float]:
        """Lowest workable limit: as it is, low and high end of the band; inf for none [×FLA]."""
        ends = [float(self.start.lowest_limit(self.start.machine(s))[0]) for s in (QUICK, SLOW)]
        return float(self.start.lowest_limit(self.machine)[0]), min(ends), max(ends)

    @cached_property
    def direct(self) -> Run:
        """The same motor and load across the line."""
        return Run(self.case, Start(self.start.facts, Control.of(method=np.full(1, DIRECT))))

    def with_limits(self, limits: np.ndarray) -> Start:
        """The same start with each of these limits instead of its own."""
        many = self.start.take(np.zeros(len(limits), int))
        return Start(many.facts, replace(many.control, limit_xfla=limits))

    def heat(self) -> float:
        """Heat of the start, of what the motor withstands at locked rotor; NaN if unknown."""
        values = self.start.facts
        return float(
            stress.motor_heat(
                march=self.march, locked_rotor_ratio=values["locked_rotor_ratio"], hot_stall_s=values["hot_stall_s"]
            )[0]
        )

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
        return relay(self.start, self.march, warm=warm)

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


def relay(start: Start, march: March, *, warm: float = 0.0) -> stress.Overload:
    """The overload relay of each start, cold or warm from a load before (its square)."""
    facts = start.facts
    return stress.overload(
        march=march,
        trip_class=facts["overload_trip_class"],
        trip_classes_table=facts["trip_classes_table"],
        warm=warm,
        set_xfla=facts["overload_set_a"] / facts["overload_current_a"],
        multiple=np.where(said(facts["practice"], "us"), stress.NEMA_MULTIPLE, stress.IEC_MULTIPLE),
    )


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
