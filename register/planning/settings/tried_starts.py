"""The starts with each setting tried, and the limits that they exceed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from register.calc import stress
from register.calc.distinct import distinct
from register.calc.overload import locked_rotor_trip_s
from register.calc.seen_current import device_share, sees_motor
from register.calc.standard_table import Table
from register.calc.start_course import STARTS, March
from register.calc.start_methods import TAP
from register.calc.start_shapes import BAND
from register.calc.start_strain import BREAKER, breaker_share, motor_heat
from register.calc.study import Start
from register.calc.study_results import COURSE
from register.calc.word_match import said
from register.planning.settings.certain_overload import Seen, class_surely
from register.planning.settings.options import LIMITED, laid_out, lowest
from register.planning.settings.values import within_range

# What is worse to exceed goes first: a start, what a rule calls major, minor, and what is too close.
# fmt: off
WEIGHTS = {
    "start": 1000, "dip": 100, "contactors": 100, "heat": 100, "overload": 100, "stall": 100,
    "duty": 100, "breaker": 100, "instantaneous": 100, "range": 100, "ramp": 100,
    "band": 10, "quick overload": 10, "torque": 10, "close": 1, "near trip": 1,
}
# fmt: on
EXCEEDED = {
    "start": "it does not bring the load up to speed",
    "dip": "the voltage dip is deeper than is allowed",
    "contactors": "the voltage dip is so deep that contactors may drop out",
    "heat": "the motor takes more heat than it withstands",
    "overload": "no trip class that can be set lets it start",
    "stall": "no trip class that lets it start guards the motor when it stalls",
    "duty": "the start asks more than the device's duty code allows",
    "breaker": "the lineup's main breaker may trip",
    "instantaneous": "the line protection's instantaneous trip may open",
    "range": "the device can't be set to a limit that surely starts this load",
    "ramp": "a timed voltage ramp does not suit this load",
    "band": "with the least torque of its band the motor may not come up to speed",
    "quick overload": "a quick overload of the class may trip",
    "torque": "the torque margin above the load is small",
    "close": "the motor's heat or its torque is close to a limit",
    "near trip": "a quick overload of the class comes close to its trip",
}
# fmt: off
READS = ("dip_limit_pct", "main_breaker_pickup_a", "main_breaker_delay_s",
         "main_breaker_instantaneous_a", "instantaneous_a", "hot_stall_s", "cold_stall_least_s", "fla_a",
         "locked_rotor_ratio", "practice", "overload_current_a", "overload_set_max_a", "bus_load_a",
         "after_torque_ramp", "relay_leg", "relay_side", "overload_place", "device_connection", "overload_min_a",
         "overload_max_a", "relay_min_a", "relay_max_a", "current_limit_min_xfla", "current_limit_max_xfla")
LIMITS = (
    "contactor_hold_pct", "motor_heat_limit_pct", "breaker_heat_limit_pct", "first_half_cycle",
    "electronic_peak", "long_start_s", "ramp_peak_limit_xfla",
    "torque_margin_limit_pct", "study_close_heat_pct", "study_close_margin_pct", "limit_margin",
)
# fmt: on
SIGHT = ("overload_place", "device_kind", "relay_leg", "relay_side")  # which current an overload sees
SIMULATED = (*COURSE, *BREAKER, "hot_stall_s")  # by which a start is told without the device's ratings
NEAR_TRIP = 0.9  # heat of the quickest overload, from which a cold start is close to its trip


@dataclass(frozen=True)
class Courses:
    """The starts with some of the settings tried: (rows, settings), and an axis more for overload settings.

    `columns` are the settings; `classes` and `shares` the trip class and the setting, of what the
    overload carries at full load, of each place along the last axis.
    """

    columns: Mapping[str, np.ndarray]
    figures: Mapping[str, np.ndarray]
    state: np.ndarray
    heat_quickest: np.ndarray
    locked_trip_s: np.ndarray
    classes: tuple[str, ...]
    shares: np.ndarray


def courses(f: Mapping[str, Any], columns: Mapping[str, np.ndarray]) -> Courses:
    """The starts of these rows with some of the settings tried.

    `f` are facts with the mode chosen; all that a start depends on is known. `columns` are as from `options.tried`,
    or some of them side by side.
    """
    whole, shape = laid_out(f, columns), columns["ramp_s"].shape
    # Many a device starts the same motor in the same way.
    sight = sees_motor(**{name: whole[name] for name in SIGHT})
    first, which = distinct([*(whole[name] for name in SIMULATED), sight])
    start = Start.own({name: v[first] if isinstance(v, np.ndarray) else v for name, v in whole.items()})
    machines = [start.machine(end) for end in BAND]
    runs = [start.march(machine) for machine in machines]
    run = runs[0]
    margins = [
        stress.torque_margin_pct(march=march, machine=machine) for march, machine in zip(runs, machines, strict=True)
    ]
    figures = {
        "up": run.status == STARTS,
        "time_s": run.start_s,
        "time_long_s": np.max([march.start_s for march in runs], axis=0),
        "peak_xfla": np.max([stress.peak_xfla(march=march) for march in runs], axis=0),
        "dip_pct": np.max([stress.dip_pct(march=march) for march in runs], axis=0),
        "heat_pct": 100.0 * np.max([motor_heat(start, march) for march in runs], axis=0),
        "squares_s": np.max([march.di2.sum(axis=0) for march in runs], axis=0),
        "breaker_pct": 100.0 * np.max([breaker_share(start, march) for march in runs], axis=0),
        "torque_pct": np.min(margins, axis=0),
        "tapped": start.control.method == TAP,
    }
    figures = {name: values[which].reshape(shape) for name, values in figures.items()}
    return Courses(columns, figures, *_overloads(f, runs, which, sight[first] == 1.0))


def _overloads(f: Mapping[str, Any], runs: list[March], which: np.ndarray, in_motor: np.ndarray) -> tuple:
    """State, heat and stalled trip of overloads of every class, at full load and at the highest.

    `which` of the starts simulated is that of each row with each setting; `in_motor` those in which an overload sees
    the motor's current.
    """
    many = len(which) // len(f["tag"])
    table = f["trip_classes_table"]
    classes = tuple(map(str, table.columns["trip_class"]))
    raised = f["overload_set_max_a"] / f["overload_current_a"]
    shares = np.stack([within_range(f, np.ones(len(raised))), within_range(f, raised)], axis=1)
    us = said(f["practice"], "us")
    multiple = np.where(us, stress.NEMA_MULTIPLE, stress.IEC_MULTIPLE)
    # Only where a start comes up to speed, and an overload sees it, does it matter what that does.
    matters = (runs[0].status == STARTS)[which] & np.repeat(f["has_overload"], many)
    seen = [Seen.of(run, in_motor).take(which) for run in runs]
    states, heats, trips = [], [], []
    for share in shares.T:
        set_xfla, steps = np.repeat(share, many), np.repeat(multiple, many)
        asked = matters & np.isfinite(set_xfla)
        for word in classes:
            surely = class_surely(seen, word, table, set_xfla=set_xfla, multiple=steps, quickest_below=NEAR_TRIP)
            state, heat = surely.copy(), np.where(surely >= stress.MAY_TRIP, 1.0, 0.0)
            rows = np.flatnonzero(asked & (surely == stress.UNKNOWN))
            if rows.size:
                state[rows], heat[rows] = _followed(
                    runs, which[rows], word, table, set_xfla[rows], steps[rows], in_motor[which[rows]]
                )
            states.append(state.reshape(-1, many))
            heats.append(heat.reshape(-1, many))
            trips.append(
                locked_rotor_trip_s(
                    practice=f["practice"],
                    overload_trip_class=np.full(len(share), word, object),
                    overload_set_a=share,
                    overload_current_a=np.ones(len(share)),
                    locked_rotor_ratio=f["locked_rotor_ratio"],
                    overload_place=np.full(len(share), "relay", object),  # shares are of what it carries
                    device_kind=f["device_kind"],
                    device_connection=f["device_connection"],
                    trip_classes_table=table,
                )
            )
    return np.stack(states, -1), np.stack(heats, -1), np.stack(trips, -1), classes, shares


def _followed(
    runs: list[March],
    starts: np.ndarray,
    trip_class: str,
    table: Table,
    set_xfla: np.ndarray,
    multiple: np.ndarray,
    in_motor: np.ndarray,
) -> tuple[np.ndarray, np.ndarray]:
    """State and heat of overloads of one class in these of the starts, each setting in a start followed once."""
    first, which = distinct([starts, set_xfla, multiple])
    starts, set_xfla, multiple, in_motor = (values[first] for values in (starts, set_xfla, multiple, in_motor))
    held = [
        stress.overload(
            march=run,
            only=starts,
            trip_class=np.full(starts.shape, trip_class, object),
            trip_classes_table=table,
            set_xfla=set_xfla,
            multiple=multiple,
            in_motor=in_motor,
        )
        for run in runs
    ]
    state = _state(np.array([one.state for one in held]))
    return state[which], np.max([one.heat_quickest for one in held], axis=0)[which]


def _state(found: np.ndarray) -> np.ndarray:
    """What an overload does where the shapes, as rows, agree; else it may trip."""
    agreed = np.where((found == found[0]).all(axis=0), found[0], stress.MAY_TRIP)
    return np.where((found == stress.UNKNOWN).any(axis=0), stress.UNKNOWN, agreed)


def exceeded(f: Mapping[str, Any], made: Courses, at: np.ndarray) -> dict[str, np.ndarray]:
    """For each limit, where it is exceeded: (rows, settings, overload settings) or fewer.

    `f` are the facts of the rows, `at` the start of each among `made`. What is unknown exceeds none.
    """
    own = {name: values[at] for name, values in made.figures.items()}
    g = {name: v[:, None] if isinstance(v, np.ndarray) else v for name, v in f.items()}
    peak_a, mode = own["peak_xfla"] * g["fla_a"], g["start_mode"]
    electronic = said(f["device_kind"], "soft starter", "drive")[:, None]
    soft = said(f["device_kind"], "soft starter")[:, None]
    first = np.where(electronic, g[":electronic_peak"], g[":first_half_cycle"])
    share = device_share(device_kind=f["device_kind"], device_connection=f["device_connection"])[:, None]
    most = g["duty_code_multiple"] * g["rated_current_a"] / share
    limit = made.columns["current_limit_xfla"][at]
    found = {
        "start": ~own["up"],
        "dip": own["dip_pct"] > g["dip_limit_pct"],
        "contactors": own["dip_pct"] > 100.0 - g[":contactor_hold_pct"],
        "heat": own["heat_pct"] > g[":motor_heat_limit_pct"],
        "duty": soft & ((own["squares_s"] * g["fla_a"] ** 2 / most**2 > g["duty_code_time_s"]) | (peak_a > most)),
        "breaker": (own["breaker_pct"] > g[":breaker_heat_limit_pct"])
        | (peak_a * g[":first_half_cycle"] > g["main_breaker_instantaneous_a"]),
        "instantaneous": g["instantaneous_a"] < first * peak_a,
        "range": (limit < g["current_limit_min_xfla"])
        | (limit > g["current_limit_max_xfla"])
        | (said(mode, *LIMITED) & soft & (g["current_limit_max_xfla"] < lowest(f, f[":limit_margin"])[:, None])),
        "ramp": soft
        & said(mode, "voltage ramp")
        & ((own["time_s"] > g[":long_start_s"]) | (own["peak_xfla"] > g[":ramp_peak_limit_xfla"])),
        "band": np.isnan(own["time_long_s"]),
        "torque": own["torque_pct"] < g[":torque_margin_limit_pct"],
        "close": (own["heat_pct"] > g[":study_close_heat_pct"]) | (own["torque_pct"] < g[":study_close_margin_pct"]),
    }
    return {name: over[..., None] for name, over in found.items()} | _of_overload(f, made, at, own)


def _of_overload(
    f: Mapping[str, Any], made: Courses, at: np.ndarray, own: Mapping[str, np.ndarray]
) -> dict[str, np.ndarray]:
    """The limits of each overload setting; those that a row cannot have are exceeded throughout."""
    state, up = made.state[at], own["up"][..., None]
    guards = made.locked_trip_s[at] <= (f["cold_stall_least_s"])[:, None]
    unguarded = ~guards & np.isfinite(made.locked_trip_s[at] + f["hot_stall_s"][:, None])
    known = f["has_overload"][:, None, None]
    can = f["can_set"][:, None, :]
    return {
        "overload": known & up & ((state == stress.TRIPS) | ~can),
        "quick overload": known & up & (state == stress.MAY_TRIP),
        "stall": known & (unguarded[:, None, :] | ~can),
        "near trip": known & up & (made.heat_quickest[at] > NEAR_TRIP),
    }
