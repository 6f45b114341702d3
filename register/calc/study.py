"""The study of a start: by the position's own device, and by the way round it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields

import numpy as np

from register.calc import path, stress
from register.calc.bundle import bundle
from register.calc.control import Control
from register.calc.machine import Machine, fit
from register.calc.marched import DOES_NOT_TURN, STALLS, STARTS, March
from register.calc.starting import inertia_pu, march
from register.calc.words import said

MIDDLE, QUICK, SLOW = 0.75, 0.5, 1.0  # shapes of the torque between standstill and breakdown
WORDS = {STARTS: "starts", STALLS: "stalls", DOES_NOT_TURN: "does not turn"}
STATES = {stress.HOLDS: "holds", stress.MAY_TRIP: "may trip", stress.TRIPS: "trips"}
COMMON = (
    *path.PLATE, *path.SUPPLY, *path.LOAD, "rotor_inertia_kgm2", "load_inertia_kgm2",
    "transition_s",
)  # fmt: skip
OWN = (
    "device_kind", "start_mode", "tap_pct", "initial_voltage_pct", "ramp_s", "current_limit_xfla",
    "initial_torque_pct", "final_torque_pct",
)  # fmt: skip
FAILOVER = ("bypass_arrangement", "bypass_starts_by")
BREAKER = ("main_breaker_pickup_a", "main_breaker_delay_s", "hot_stall_s")
MORE = (
    "practice", "overload_trip_class", "overload_set_a", "overload_current_a", "rated_current_a",
    "duty_code_multiple", "trip_classes_table",
)  # fmt: skip


class Start:
    """One way of starting at every position: its parts, and the march through them."""

    def __init__(self, facts: Mapping[str, np.ndarray], control: Control) -> None:
        self.facts, self.control = facts, control
        self.plate, self.load = path.plate(facts), path.load(facts)
        self.supply = path.supply(facts)
        rotor, load = (np.asarray(facts[f"{n}_inertia_kgm2"], float) for n in ("rotor", "load"))
        self.inertia_kgm2 = rotor + load

    @classmethod
    def own(cls, facts: Mapping[str, np.ndarray]) -> Start:
        """By the position's own device."""
        return cls(facts, path.own_control(facts))

    @classmethod
    def failover(cls, facts: Mapping[str, np.ndarray]) -> Start:
        """By the way round the device."""
        return cls(facts, path.failover_control(facts))

    def ready(self) -> np.ndarray:
        """1 where all that the study asks is known, NaN elsewhere."""
        numbers = [getattr(self.plate, f.name) for f in fields(self.plate)]
        numbers += [self.load.a, self.load.b, self.load.c1, self.load.c2, self.inertia_kgm2]
        numbers += [self.supply.z_s.real, self.supply.z_c.real, self.supply.v_oc]
        numbers += [getattr(self.control, f.name) for f in fields(self.control)]
        return path.all_known(*numbers)

    def take(self, index: np.ndarray) -> Start:
        """The positions at that index."""
        return Start({n: _taken(v, index) for n, v in self.facts.items()}, self.control.take(index))

    def machine(self, shape: float = MIDDLE) -> Machine:
        """The motor as a circuit."""
        return fit(plate=self.plate, shape=shape)

    def march(self, machine: Machine) -> March:
        """From standstill to full speed, or to where it gives out."""
        return march(
            machine=machine, load=self.load, supply=self.supply, control=self.control,
            inertia_pu=inertia_pu(inertia_kgm2=self.inertia_kgm2, machine=machine),
            stop_slip=2.0 * machine.s_fl,
        )  # fmt: skip

    def lowest_limit(self, machine: Machine) -> np.ndarray:
        """Lowest current limit that takes the motor up to speed [×FLA]."""
        return stress.lowest_limit_xfla(
            machine=machine, load=self.load, supply=self.supply, stop_slip=2.0 * machine.s_fl
        )


def _taken(values: object, index: np.ndarray) -> object:
    return values[index] if isinstance(values, np.ndarray) else values


def as_facts(values: Mapping[str, object]) -> dict[str, object]:
    """Columns as arrays of one length; tables as they are."""
    arrays = {n: np.atleast_1d(v) for n, v in values.items() if not n.endswith("_table")}
    size = max(len(a) for a in arrays.values())
    return {n: np.broadcast_to(a, size) for n, a in arrays.items()} | {
        n: v for n, v in values.items() if n not in arrays
    }


def _spread(results: Mapping[str, np.ndarray], index: np.ndarray, size: int) -> dict:
    """Results of the positions at `index`, among all; unknown at the others."""
    spread = {}
    for name, values in results.items():
        words = values.dtype == object
        spread[name] = np.full(size, None, object) if words else np.full(size, np.nan)
        spread[name][index] = values
    return spread


def _worded(codes: np.ndarray, words: Mapping[int, str]) -> np.ndarray:
    found = np.full(codes.shape, None, object)
    for code, word in words.items():
        found[codes == code] = word
    return found


def _strain(start: Start, machine: Machine, run: March, prefix: str) -> dict[str, np.ndarray]:
    """What both ways of starting tell: outcome, time, current, dip, heat, breaker."""
    facts = start.facts
    fla = np.asarray(facts["fla_a"], float)
    peak = stress.peak_xfla(march=run)
    pickup = np.asarray(facts["main_breaker_pickup_a"], float) / fla
    return {
        f"{prefix}_outcome": _worded(run.status, WORDS),
        f"{prefix}_time_s": run.start_s,
        f"{prefix}_peak_xfla": peak,
        f"{prefix}_peak_a": peak * fla,
        f"{prefix}_dip_pct": stress.dip_pct(march=run),
        f"{prefix}_motor_heat_pct": 100.0 * stress.motor_heat(
            march=run, locked_rotor_ratio=np.asarray(facts["locked_rotor_ratio"], float),
            hot_stall_s=np.asarray(facts["hot_stall_s"], float)),
        f"{prefix}_main_breaker_pct": 100.0 * stress.long_time_share(
            march=run, set_xfla=pickup, delay_s=np.asarray(facts["main_breaker_delay_s"], float)),
    }  # fmt: skip


def _own_more(start: Start, machine: Machine, run: March) -> dict[str, np.ndarray]:
    """What only the start by the own device tells: band, overload, duty, margin, lowest limit."""
    facts = start.facts
    quick, slow = start.machine(QUICK), start.machine(SLOW)
    times = [start.march(m).start_s for m in (quick, slow)] + [run.start_s]
    limits = [start.lowest_limit(m) for m in (quick, slow)]
    carried = np.asarray(facts["overload_current_a"], float)
    state = stress.overload(
        march=run, trip_class=facts["overload_trip_class"],
        trip_classes_table=facts["trip_classes_table"],
        set_xfla=np.asarray(facts["overload_set_a"], float) / carried,
        multiple=np.where(
            said(facts["practice"], "us"), stress.NEMA_MULTIPLE, stress.IEC_MULTIPLE),
    )  # fmt: skip
    rated = np.asarray(facts["rated_current_a"], float) / np.asarray(facts["fla_a"], float)
    multiple = np.asarray(facts["duty_code_multiple"], float)
    return {
        "start_time_short_s": np.min(times, axis=0),
        "start_time_long_s": np.max(times, axis=0),
        "start_terminal_pct": 100.0 * run.v_term.min(axis=0),
        "start_overload_state": _worded(state.state, STATES),
        "start_overload_pct": 100.0 * state.heat_quickest,
        "start_duty_s": stress.device_equivalent_s(
            march=run, multiple=multiple, rated_xfla=rated),
        "start_torque_margin_pct": stress.torque_margin_pct(march=run, machine=machine),
        "lowest_limit_xfla": start.lowest_limit(machine),
        "lowest_limit_low_xfla": np.min(limits, axis=0),
        "lowest_limit_high_xfla": np.max(limits, axis=0),
        "start_energy_kwh": stress.energy_kwh(march=run, machine=machine),
    }  # fmt: skip


STRAIN = ("outcome", "time_s", "peak_xfla", "peak_a", "dip_pct", "motor_heat_pct",
          "main_breaker_pct")  # fmt: skip
OWN_MORE = (
    "start_time_short_s", "start_time_long_s", "start_terminal_pct", "start_overload_state",
    "start_overload_pct", "start_duty_s", "start_torque_margin_pct", "lowest_limit_xfla",
    "lowest_limit_low_xfla", "lowest_limit_high_xfla", "start_energy_kwh",
)  # fmt: skip


@bundle(
    asks=(*COMMON, *OWN, *BREAKER, *MORE),
    gives=(*(f"start_{name}" for name in STRAIN), *OWN_MORE),
    ready=lambda **values: Start.own(as_facts(values)).ready(),
)
def start_study(**values: object) -> dict[str, np.ndarray]:
    """The start by the position's own device: whether, how long, and what it strains."""
    facts = as_facts(values)
    whole = Start.own(facts)
    ready = np.flatnonzero(np.isfinite(whole.ready()))
    start = whole.take(ready)
    machine = start.machine()
    run = start.march(machine)
    results = _strain(start, machine, run, "start") | _own_more(start, machine, run)
    return _spread(results, ready, len(whole.inertia_kgm2))


@bundle(
    asks=(*COMMON, *FAILOVER, *BREAKER),
    gives=tuple(f"failover_{name}" for name in STRAIN),
    ready=lambda **values: Start.failover(as_facts(values)).ready(),
)
def failover_study(**values: object) -> dict[str, np.ndarray]:
    """The start by the way round the device: whether, how long, and what it strains."""
    facts = as_facts(values)
    whole = Start.failover(facts)
    ready = np.flatnonzero(np.isfinite(whole.ready()))
    start = whole.take(ready)
    machine = start.machine()
    run = start.march(machine)
    return _spread(_strain(start, machine, run, "failover"), ready, len(whole.inertia_kgm2))
