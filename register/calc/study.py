"""The study of a start: by the position's own device, and on the bypass."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from register.calc import start_parts, stress
from register.calc.machine import Machine, fit
from register.calc.several_results import Part, bundle, each
from register.calc.speed_domain import inertia_pu, march
from register.calc.start_course import DOES_NOT_TURN, STALLS, STARTS, March
from register.calc.start_methods import SOFT, Control
from register.calc.word_match import said

MIDDLE, QUICK, SLOW = 0.75, 0.5, 1.0  # shapes of the torque between standstill and breakdown
BLOCK = 1000  # positions whose courses are held at a time
WORDS = {STARTS: "starts", STALLS: "stalls", DOES_NOT_TURN: "does not turn"}
STATES = {stress.HOLDS: "holds", stress.MAY_TRIP: "may trip", stress.TRIPS: "trips"}
COMMON = (*start_parts.PLATE, *start_parts.SUPPLY, *start_parts.LOAD)
BREAKER = ("main_breaker_pickup_a", "main_breaker_delay_s")
OVERLOAD = ("practice", "overload_trip_class", "overload_set_a", "overload_current_a")
BYPASS_OVERLOAD = ("practice", "bypass_trip_class", "bypass_overload_set_a", "fla_a")
DUTY = ("rated_current_a", "duty_code_multiple")


class Start:
    """One way of starting at every position: its parts, and their simulation."""

    def __init__(self, facts: Mapping[str, np.ndarray], control: Control) -> None:
        self.facts, self.control = facts, control
        self.plate, self.load = start_parts.plate(facts), start_parts.load(facts)
        self.supply = start_parts.supply(facts)
        rotor, load = (np.asarray(facts[f"{n}_inertia_kgm2"], float) for n in ("rotor", "load"))
        self.inertia_kgm2 = rotor + load

    @classmethod
    def own(cls, facts: Mapping[str, np.ndarray]) -> Start:
        """By the position's own device."""
        return cls(facts, start_parts.own_control(facts))

    @classmethod
    def failover(cls, facts: Mapping[str, np.ndarray]) -> Start:
        """On the bypass."""
        return cls(facts, start_parts.failover_control(facts))

    def take(self, index: np.ndarray) -> Start:
        """The positions at that index."""
        return Start({n: _taken(v, index) for n, v in self.facts.items()}, self.control.take(index))

    def machine(self, shape: np.ndarray | float = MIDDLE) -> Machine:
        """The motor as a circuit."""
        return fit(plate=self.plate, shape=shape)

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


def _worded(codes: np.ndarray, words: Mapping[int, str]) -> np.ndarray:
    found = np.full(codes.shape, None, object)
    for code, word in words.items():
        found[codes == code] = word
    return found


def _strain(start: Start, run: March, prefix: str) -> dict[str, np.ndarray]:
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
        f"{prefix}_motor_heat_pct": 100.0
        * stress.motor_heat(
            march=run,
            locked_rotor_ratio=np.asarray(facts["locked_rotor_ratio"], float),
            hot_stall_s=np.asarray(facts["hot_stall_s"], float),
        ),
        f"{prefix}_main_breaker_pct": 100.0
        * stress.long_time_share(march=run, set_xfla=pickup, delay_s=np.asarray(facts["main_breaker_delay_s"], float)),
    }


def _overload(facts: Mapping[str, np.ndarray], run: March, trip_class: str, setting: str, current: str):
    """What an overload of that class and setting does, carrying that current at full load."""
    return stress.overload(
        march=run,
        trip_class=facts[trip_class],
        trip_classes_table=facts["trip_classes_table"],
        set_xfla=np.asarray(facts[setting], float) / np.asarray(facts[current], float),
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
    facts = start.facts
    state = _overload(facts, run, "overload_trip_class", "overload_set_a", "overload_current_a")
    rated = np.asarray(facts["rated_current_a"], float) / np.asarray(facts["fla_a"], float)
    multiple = np.asarray(facts["duty_code_multiple"], float)
    return {
        "start_terminal_pct": 100.0 * run.v_term.min(axis=0),
        "start_overload_state": _worded(state.state, STATES),
        "start_overload_pct": 100.0 * state.heat_quickest,
        "start_duty_s": stress.device_equivalent_s(march=run, multiple=multiple, rated_xfla=rated),
        "start_torque_margin_pct": stress.torque_margin_pct(march=run, machine=machine),
        "start_changeover_pct": _changeover_pct(start, run),
        "start_energy_kwh": stress.energy_kwh(march=run, machine=machine),
    }


def _in_shapes(start: Start, size: int) -> tuple[Start, Machine]:
    """The same starts with the middle, the quick and the slow shape, one after the other."""
    stacked = start.take(np.tile(np.arange(size), 3))
    return stacked, stacked.machine(np.repeat((MIDDLE, QUICK, SLOW), size))


def _in_threes(values: np.ndarray) -> np.ndarray:
    """Middle, quick and slow as rows."""
    return values.reshape(3, -1)


def _own(start: Start, size: int) -> dict[str, np.ndarray]:
    """All results of starts by the own device, of which all that is needed is known."""
    stacked, machines = _in_shapes(start, size)
    runs = stacked.march(machines)
    times = _in_threes(runs.start_s)
    machine, run = machines.take(slice(0, size)), runs.take(slice(0, size))
    return (
        _strain(start, run, "start")
        | {"start_time_short_s": times.min(axis=0), "start_time_long_s": times.max(axis=0)}
        | _own_more(start, machine, run)
    )


def _at_standstill(facts: Mapping[str, np.ndarray], found: Mapping[str, np.ndarray]) -> dict[str, np.ndarray]:
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
    run = start.march(start.machine())
    peak = stress.peak_xfla(march=run)
    return {
        "start_peak_xfla": peak,
        "start_peak_a": peak * np.asarray(start.facts["fla_a"], float),
        "start_dip_pct": stress.dip_pct(march=run),
        "start_terminal_pct": 100.0 * run.v_term.min(axis=0),
    }


def _failover(start: Start, size: int) -> dict[str, np.ndarray]:
    """All results of starts on the bypass, of which all that is needed is known."""
    run = start.march(start.machine())
    state = _overload(start.facts, run, "bypass_trip_class", "bypass_overload_set_a", "fla_a")
    return _strain(start, run, "failover") | {"failover_overload_state": _worded(state.state, STATES)}


def _limits(start: Start, size: int) -> dict[str, np.ndarray]:
    """The lowest limits, and the same with more or less torque on the way."""
    stacked, machines = _in_shapes(start, size)
    limits = _in_threes(stacked.lowest_limit(machines))
    limits = np.where(np.isinf(limits), np.nan, limits)
    return {
        "lowest_limit_xfla": limits[0],
        "lowest_limit_low_xfla": limits.min(axis=0),
        "lowest_limit_high_xfla": limits.max(axis=0),
    }


def all_known(facts: Mapping[str, np.ndarray], parts: tuple[Part, ...]) -> np.ndarray:
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


def _rests_on(prefix: str, *parts: Part, more: dict[str, tuple[str, ...]]) -> dict:
    """For each result of a study the parts it is based on."""
    return {f"{prefix}_{name}": (*parts, *((each(*asks),) if asks else ())) for name, asks in more.items()}


STRAIN = {
    "outcome": (),
    "time_s": (),
    "peak_xfla": (),
    "peak_a": (),
    "dip_pct": (),
    "motor_heat_pct": ("hot_stall_s",),
    "main_breaker_pct": BREAKER,
}
OWN_MORE = {
    "time_short_s": (),
    "time_long_s": (),
    "terminal_pct": (),
    "overload_state": OVERLOAD,
    "overload_pct": OVERLOAD,
    "duty_s": DUTY,
    "torque_margin_pct": (),
    "changeover_pct": ("transition_s",),
    "energy_kwh": (),
}
# Highest at standstill, whatever hangs on the shaft.
AT_STANDSTILL = ("peak_xfla", "peak_a", "dip_pct", "terminal_pct")
STANDSTILL_RESULTS = tuple(f"start_{name}" for name in AT_STANDSTILL)
UNLOADED = {"load_curve": "square", "load_torque_pct": 0.0, "load_breakaway_pct": 0.0, "unloaded_share_pct": 100.0} | (
    dict.fromkeys(start_parts.INERTIA, 1.0)
)
MACHINE = (start_parts.plate_known, start_parts.load_known, start_parts.supply_known)
OWN_PARTS = (*MACHINE, start_parts.inertia_known, start_parts.own_control_known)
FAILOVER_PARTS = (*MACHINE, start_parts.inertia_known, start_parts.failover_control_known)
STANDSTILL_PARTS = (
    start_parts.plate_known,
    start_parts.supply_known,
    start_parts.own_control_known,
    start_parts.load_known_if_asked,
)
OWN_RESULTS = _rests_on("start", *OWN_PARTS, more=STRAIN | OWN_MORE) | _rests_on(
    "start", *STANDSTILL_PARTS, more=dict.fromkeys(AT_STANDSTILL, ())
)
FAILOVER_RESULTS = _rests_on("failover", *FAILOVER_PARTS, more=STRAIN | {"overload_state": BYPASS_OVERLOAD})
LIMITS = dict.fromkeys(("limit_xfla", "limit_low_xfla", "limit_high_xfla"), ())
LIMIT_RESULTS = _rests_on("lowest", *MACHINE, more=LIMITS)


@bundle(
    asks=(
        *COMMON,
        *start_parts.INERTIA,
        *start_parts.OWN,
        *BREAKER,
        "hot_stall_s",
        *OVERLOAD,
        *DUTY,
        "trip_classes_table",
    ),
    gives=tuple(OWN_RESULTS),
    rests_on=OWN_RESULTS,
)
def start_study(**values: object) -> dict[str, np.ndarray]:
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
def failover_study(**values: object) -> dict[str, np.ndarray]:
    """The start on the bypass: whether, how long, and what it strains."""
    whole = Start.failover(as_facts(values))
    return _where_known(whole, FAILOVER_PARTS, _failover, tuple(FAILOVER_RESULTS))


@bundle(asks=COMMON, gives=tuple(LIMIT_RESULTS), rests_on=LIMIT_RESULTS)
def limit_study(**values: object) -> dict[str, np.ndarray]:
    """The lowest current limit that takes the motor up to speed, whatever starts it now."""
    facts = as_facts(values)
    size = len(facts["fla_a"])
    facts |= dict.fromkeys(start_parts.INERTIA, np.full(size, np.nan))
    whole = Start(facts, Control.of(method=np.full(size, SOFT)))
    return _where_known(whole, MACHINE, _limits, tuple(LIMIT_RESULTS))
