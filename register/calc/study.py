"""The study of a start: by the position's own device, and on the bypass."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np

from register.calc import start_parts, stress
from register.calc.distinct import distinct
from register.calc.machine import Machine, fit, from_curves
from register.calc.maker_curve import curve_of
from register.calc.seen_current import CONNECTED, PLACED
from register.calc.several_results import Part, bundle
from register.calc.speed_domain import inertia_pu, march
from register.calc.start_course import DOES_NOT_TURN, STALLS, STARTS, March
from register.calc.start_methods import SOFT, Control
from register.calc.start_shapes import BAND, CENTRE
from register.calc.start_strain import BREAKER, DUTY, breaker_share, device_duty, motor_heat, overload
from register.calc.study_results import (
    BANDS,
    BYPASS_OVERLOAD,
    COMMON,
    COURSE,
    FAILOVER_PARTS,
    FAILOVER_RESULTS,
    LIMIT_RESULTS,
    MACHINE,
    OVERLOAD,
    OWN_PARTS,
    OWN_RESULTS,
    STANDSTILL_PARTS,
    STANDSTILL_RESULTS,
    UNLOADED,
)
from register.calc.word_match import said

BLOCK = 1000  # positions whose courses are held at a time
MAY_STALL = "may stall"
WORDS = {STARTS: "starts", STALLS: "stalls", DOES_NOT_TURN: "does not turn"}
STATES = {stress.HOLDS: "holds", stress.MAY_TRIP: "may trip", stress.TRIPS: "trips"}


class Start:
    """One way of starting at every position: its parts, and their simulation."""

    def __init__(self, facts: Mapping[str, Any], control: Control) -> None:
        self.facts, self.control = facts, control
        self.plate, self.load = start_parts.plate(facts), start_parts.load(facts)
        self.supply = start_parts.supply(facts)
        rotor, load = (np.asarray(facts[f"{n}_inertia_kgm2"], float) for n in ("rotor", "load"))
        self.inertia_kgm2 = rotor + load

    @classmethod
    def own(cls, facts: Mapping[str, Any]) -> Start:
        """By the position's own device."""
        return cls(facts, start_parts.own_control(facts))

    @classmethod
    def failover(cls, facts: Mapping[str, Any]) -> Start:
        """On the bypass."""
        return cls(facts, start_parts.failover_control(facts))

    def take(self, index: np.ndarray) -> Start:
        """The positions at that index."""
        return Start({n: _taken(v, index) for n, v in self.facts.items()}, self.control.take(index))

    def machine(self, shape: int | Sequence[int] = CENTRE) -> Machine:
        """The motor as a circuit, or by its maker's curve; of several shapes all motors in one after the other."""
        facts = self.facts
        machine = fit(plate=self.plate, shape=shape, design_letter=facts["design_letter"])
        curves = [curve_of(text) for text in facts["maker_curve"]]
        if not any(curves):
            return machine
        return from_curves(machine=machine, curves=curves * (len(machine.ok) // len(curves)))

    def march(self, machine: Machine) -> March:
        """From standstill to full speed, or to where it gives out."""
        return march(
            machine=machine,
            load=self.load,
            supply=self.supply,
            control=self.control,
            inertia_pu=inertia_pu(inertia_kgm2=self.inertia_kgm2, machine=machine),
            stop_slip=2.0 * machine.s_fl,
        )

    def lowest_limit(self, machine: Machine) -> np.ndarray:
        """Lowest current limit that takes the motor up to speed; machines may be of several shapes [×FLA]."""
        return stress.lowest_limit_xfla(
            machine=machine, load=self.load, supply=self.supply, stop_slip=2.0 * machine.s_fl
        )


def _taken(values: Any, index: np.ndarray) -> Any:
    return values[index] if isinstance(values, np.ndarray) else values


def as_facts(values: Mapping[str, Any]) -> dict[str, Any]:
    """Columns as arrays of one length; tables as they are."""
    arrays = {n: np.atleast_1d(v) for n, v in values.items() if not n.endswith("_table")}
    size = max(len(a) for a in arrays.values())
    return {n: np.broadcast_to(a, size) for n, a in arrays.items()} | {
        n: v for n, v in values.items() if n not in arrays
    }


def _worded(codes: np.ndarray, words: Mapping[int, str]) -> np.ndarray:
    found = np.full(codes.shape, None, object)
    for code, word in words.items():
        found[codes == code] = word
    return found


def _strain(start: Start, run: March, prefix: str) -> dict[str, np.ndarray]:
    """What both ways of starting tell: time, current, dip, heat, breaker."""
    fla = np.asarray(start.facts["fla_a"], float)
    peak = stress.peak_xfla(march=run)
    return {
        f"{prefix}_time_s": run.start_s,
        f"{prefix}_peak_xfla": peak,
        f"{prefix}_peak_a": peak * fla,
        f"{prefix}_dip_pct": stress.dip_pct(march=run),
        f"{prefix}_motor_heat_pct": 100.0 * motor_heat(start, run),
        f"{prefix}_main_breaker_pct": 100.0 * breaker_share(start, run),
    }


def _bypass_overload(facts: Mapping[str, Any], run: March) -> stress.Overload:
    """What the overload of the bypass does during a start on it."""
    return stress.overload(
        march=run,
        trip_class=facts["bypass_trip_class"],
        trip_classes_table=facts["trip_classes_table"],
        set_xfla=np.asarray(facts["bypass_overload_set_a"], float) / np.asarray(facts["fla_a"], float),
        multiple=np.where(said(facts["practice"], "us"), stress.NEMA_MULTIPLE, stress.IEC_MULTIPLE),
    )


def _changeover_pct(start: Start, run: March) -> np.ndarray:
    """Speed at which the starter goes over; the last one reached where the start ends before [%]."""
    at = np.asarray(start.facts["transition_s"], float)
    last = np.maximum((run.time <= at).sum(axis=0) - 1, 0)
    after = np.minimum(last + 1, len(run.time) - 1)
    (t0, v0), (t1, v1) = ((c[i, np.arange(len(at))] for c in (run.time, run.speed)) for i in (last, after))
    share = np.clip(np.nan_to_num((at - t0) / np.where(t1 > t0, t1 - t0, np.inf)), 0.0, 1.0)
    return 100.0 * (v0 + share * np.nan_to_num(v1 - v0)) + 0.0 * at


def _own_more(start: Start, machine: Machine, run: March) -> dict[str, np.ndarray]:
    """What only the start by the own device tells: terminals, overload, duty, margin, energy."""
    state = overload(start, run)
    duty_s, device_peak = device_duty(start, run)
    return {
        "start_terminal_pct": 100.0 * run.v_term.min(axis=0),
        "start_overload_state": state.state,
        "start_overload_pct": 100.0 * state.heat_quickest,
        "start_duty_s": duty_s,
        "start_device_peak_a": device_peak * np.asarray(start.facts["fla_a"], float),
        "start_torque_margin_pct": stress.torque_margin_pct(march=run, machine=machine),
        "start_changeover_pct": _changeover_pct(start, run),
        "start_energy_kwh": stress.energy_kwh(march=run, machine=machine),
    }


def outcome(status: np.ndarray) -> np.ndarray:
    """What becomes of starts whose verdicts in the three shapes are the rows: the same, or 'may stall'."""
    up = status == STARTS
    found = _worded(status[0], WORDS)
    # Where none starts, which of two ways of failing it is does not matter.
    found[up.any(axis=0) & ~up.all(axis=0)] = MAY_STALL
    return found


def state(states: np.ndarray) -> np.ndarray:
    """What the overload does in all three shapes: the same, or 'may trip'."""
    found = _worded(states[0], STATES)
    found[(states != states[0]).any(axis=0)] = STATES[stress.MAY_TRIP]
    found[(states == stress.UNKNOWN).any(axis=0)] = None
    return found


def _in_shapes(start: Start, size: int) -> tuple[Start, Machine]:
    """The same starts in the three shapes, one after the other."""
    return start.take(np.tile(np.arange(size), len(BAND))), start.machine(BAND)


def _banded(prefix: str, made: Mapping[str, np.ndarray], runs: March) -> dict[str, np.ndarray]:
    """The figures of the centre, and the least and the greatest of the three where a band is kept."""
    rows = {name: values.reshape(len(BAND), -1) for name, values in made.items()}
    found = {f"{prefix}_outcome": outcome(runs.status.reshape(len(BAND), -1))}
    for name, values in rows.items():
        stem, _, unit = name.rpartition("_")
        if name.endswith("overload_state"):
            found[name] = state(values)
            continue
        found[name] = values.max(axis=0) if name == "start_overload_pct" else values[0]
        if name == "start_overload_pct":
            found["start_overload_low_pct"] = values.min(axis=0)
        ends = BANDS.get(stem.removeprefix(f"{prefix}_"))
        if ends and name.endswith(ends[0]):
            found |= {f"{stem}_{ends[1]}_{unit}": values.min(axis=0), f"{stem}_{ends[2]}_{unit}": values.max(axis=0)}
    return found


def _own(start: Start, size: int) -> dict[str, np.ndarray]:
    """All results of starts by the own device, of which all that is needed is known."""
    stacked, machines = _in_shapes(start, size)
    runs = _each_once(start, size, stacked, machines)
    return _banded("start", _strain(stacked, runs, "start") | _own_more(stacked, machines, runs), runs)


def _each_once(start: Start, size: int, stacked: Start, machines: Machine) -> March:
    """The courses of the stacked starts; where most are alike, as where devices are tried, each is simulated once."""
    first, which = distinct(start.facts[name] for name in COURSE)
    if 2 * len(first) > size:
        return stacked.march(machines)
    shapes = np.arange(len(BAND))
    few = np.add.outer(size * shapes, first).ravel()
    return stacked.take(few).march(machines.take(few)).each(np.add.outer(len(first) * shapes, which).ravel())


def _at_standstill(facts: Mapping[str, Any], found: Mapping[str, np.ndarray]) -> dict[str, np.ndarray]:
    """What the first instant decides, for starts across the line of which the load is not known.

    Any load gives the same there, so they are started with nothing but their rotor on the shaft.
    """
    bare = start_parts.direct_start(facts) & np.isnan(found["start_peak_xfla"])
    if not bare.any():
        return {}
    free = {name: np.where(bare, value, facts[name]) for name, value in UNLOADED.items()}
    whole = Start.own({**facts, **{n: v.astype(object if n == "load_curve" else float) for n, v in free.items()}})
    unloaded = _where_known(whole, STANDSTILL_PARTS, _first_instant, STANDSTILL_RESULTS)
    return {n: np.where(bare, unloaded[n], found[n]) for n in STANDSTILL_RESULTS}


def _first_instant(start: Start, size: int) -> dict[str, np.ndarray]:
    made = _own(start, size)
    return {name: made[name] for name in STANDSTILL_RESULTS}


def _failover(start: Start, size: int) -> dict[str, np.ndarray]:
    """All results of starts on the bypass, of which all that is needed is known."""
    stacked, machines = _in_shapes(start, size)
    runs = stacked.march(machines)
    relay = {"failover_overload_state": _bypass_overload(stacked.facts, runs).state}
    return _banded("failover", _strain(stacked, runs, "failover") | relay, runs)


def _limits(start: Start, size: int) -> dict[str, np.ndarray]:
    """The lowest limits, and the same with more or less torque on the way."""
    stacked, machines = _in_shapes(start, size)
    limits = stacked.lowest_limit(machines).reshape(len(BAND), -1)
    limits = np.where(np.isinf(limits), np.nan, limits)
    return {
        "lowest_limit_xfla": limits[0],
        "lowest_limit_low_xfla": limits.min(axis=0),
        "lowest_limit_high_xfla": limits.max(axis=0),
    }


def all_known(facts: Mapping[str, Any], parts: tuple[Part, ...]) -> np.ndarray:
    """Where every part has all that it needs."""
    there = [part(**{name: facts[name] for name in part.asks}) for part in parts]
    return np.isfinite(np.sum(there, axis=0))


def _where_known(
    whole: Start, parts: tuple[Part, ...], work: Callable, gives: tuple[str, ...]
) -> dict[str, np.ndarray]:
    """Results where all parts are known; unknown elsewhere."""
    known = all_known(whole.facts, parts)
    spread = {}
    for name in gives:
        words = name.endswith(("_outcome", "_state"))
        spread[name] = np.full(len(known), None if words else np.nan, object if words else float)
    index = np.flatnonzero(known)
    for first in range(0, len(index), BLOCK):
        block = index[first : first + BLOCK]
        for name, values in work(whole.take(block), len(block)).items():
            spread[name][block] = values
    return spread


@bundle(
    asks=(
        *COMMON,
        *start_parts.INERTIA,
        *start_parts.OWN,
        *BREAKER,
        "hot_stall_s",
        *OVERLOAD,
        *PLACED[2:],
        *CONNECTED[1:],
        *DUTY,
        "trip_classes_table",
    ),
    gives=tuple(OWN_RESULTS),
    rests_on=OWN_RESULTS,
)
def start_study(**values: Any) -> dict[str, np.ndarray]:
    """The start by the position's own device: whether, how long, and what it strains."""
    facts = as_facts(values)
    found = _where_known(Start.own(facts), OWN_PARTS, _own, tuple(OWN_RESULTS))
    return found | _at_standstill(facts, found)


@bundle(
    asks=tuple(
        dict.fromkeys(
            (
                *COMMON,
                *start_parts.INERTIA,
                *start_parts.FAILOVER,
                *BREAKER,
                "hot_stall_s",
                *BYPASS_OVERLOAD,
                "trip_classes_table",
            )
        )
    ),
    gives=tuple(FAILOVER_RESULTS),
    rests_on=FAILOVER_RESULTS,
)
def failover_study(**values: Any) -> dict[str, np.ndarray]:
    """The start on the bypass: whether, how long, and what it strains."""
    whole = Start.failover(as_facts(values))
    return _where_known(whole, FAILOVER_PARTS, _failover, tuple(FAILOVER_RESULTS))


@bundle(asks=COMMON, gives=tuple(LIMIT_RESULTS), rests_on=LIMIT_RESULTS)
def limit_study(**values: Any) -> dict[str, np.ndarray]:
    """The lowest current limit that takes the motor up to speed, whatever starts it now."""
    facts = as_facts(values)
    size = len(facts["fla_a"])
    facts |= dict.fromkeys(start_parts.INERTIA, np.full(size, np.nan))
    whole = Start(facts, Control.of(method=np.full(size, SOFT)))
    return _where_known(whole, MACHINE, _limits, tuple(LIMIT_RESULTS))
