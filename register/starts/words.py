"""A start in words: how it is started, how sure the study can be, why there is none."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from register.calc.start_parts import ELECTRONIC, LOAD, PLATE, inertia_known, numbers_known
from register.calc.study import MACHINE, all_known
from register.starts import model
from register.starts.load_case import Case
from register.starts.one_start import Run
from register.text import shown

CERTAINTY = {
    "A": "the maker's own curve of torque and current for this motor, or figures read from it",
    "B": "by the plate, which says all that is asked; between standstill and breakdown torque and current are a band "
    "drawn round nine catalogue motors of two makers: another maker's motor may lie outside it",
    "C": "currents or torques are the standard's for its design and not this motor's: times come "
    "out long, up to about double; current and dip within about 15 %",
    "D": "little is known beyond power, voltage and speed: times may be off by a factor of two",
    "X": "no study is possible",
}
CAGE = (None, "cage")  # a motor whose kind nobody entered is taken for a cage motor
TRIPPED, TOO_HOT = "trips on the way", "starts too hot"
TOO_LITTLE = "too little is known"
CONTRADICTED = "no motor is like this: the figures of its nameplate contradict one another"
# Known, but one of them is wrong.
CHECK = (
    "speed_rpm",
    "poles",
    "power_kw",
    "fla_a",
    "efficiency_pct",
    "locked_rotor_ratio",
    "locked_rotor_torque_pct",
    "breakdown_torque_pct",
)
DRIVEN = ("load_kind", "start_condition", "load_inertia_kgm2", "load_breakaway_pct", "load_torque_pct", "load_curve")
CABLE = ("cable_length_m", "cable_r_ohm_per_km", "cable_x_ohm_per_km")
BY_TRANSFORMER = ("upstream_fault_mva", "x_over_r", "transformer_kva", "transformer_z_pct", "transformer_x_over_r")
BY_FAULT = ("fault_current_ka", "x_over_r")
HELD_AGAINST = (
    "dip_limit_pct",
    "main_breaker_pickup_a",
    "main_breaker_delay_s",
    "bus_load_a",
    "rated_current_a",
    "duty_code",
    "overload_trip_class",
    "overload_set_a",
)
SETTINGS = {
    "voltage ramp": ("initial_voltage_pct", "ramp_s"),
    "current limit": ("current_limit_xfla",),
    "limited ramp": ("initial_voltage_pct", "ramp_s", "current_limit_xfla"),
    "torque ramp": ("initial_torque_pct", "final_torque_pct", "ramp_s", "after_torque_ramp", "current_limit_xfla"),
}
BY_KIND = {
    "star-delta": ("transition_s",),
    "autotransformer": ("tap_pct", "transition_s"),
    "drive": ("ramp_s", "current_limit_xfla"),
}
OF_THE_BYPASS = {name: f"bypass_{name}" for name in ELECTRONIC}
# The kind of device that starts the motor, and the mode in which a soft starter does.
_WAYS = {model.OWN: ("device_kind", "start_mode"), model.FAILOVER: ("bypass_starts_by", OF_THE_BYPASS["start_mode"])}
SHORT = {
    "initial_voltage_pct": "from {} of voltage",
    "ramp_s": "ramp {}",
    "current_limit_xfla": "limit {}",
    "initial_torque_pct": "from {} of torque",
    "final_torque_pct": "to {} of torque",
    "after_torque_ramp": "then {}",
    "transition_s": "over after {}",
    "tap_pct": "tap {}",
}


def settings(values: Mapping[str, Any], way: str) -> tuple[str, ...]:
    """The settings that count for this way of starting."""
    kind, mode = (values[name] for name in _WAYS[way])
    names = SETTINGS.get(mode, ()) if kind == "soft starter" else BY_KIND.get(kind, ())
    return names if way == model.OWN else tuple(OF_THE_BYPASS.get(name, name) for name in names)


def outcome_words(outcome: str, *, trips: bool, hot: bool) -> str:
    """What becomes of a start: one that ends tripped or too hot does not simply start."""
    if outcome != model.STARTS:
        return outcome
    return TRIPPED if trips else TOO_HOT if hot else outcome


def how(case: Case, way: str) -> str:
    """How the motor is started, with the settings that count."""
    values = case.values
    kind, mode = (values[name] for name in _WAYS[way])
    parts = [kind or "unknown"]
    if way == model.FAILOVER:
        parts.append(values["bypass_arrangement"])
    if kind == "soft starter":
        parts.append(mode)
    parts = [part for part in parts if part]
    for name in settings(values, way):
        if values[name] is not None:
            unit = case.input(name).unit
            parts.append(SHORT[name.removeprefix("bypass_")].format(shown(values[name], unit)))
    return ", ".join(parts)


def inputs(case: Case, way: str) -> tuple[model.Input, ...]:
    """The values that the study is based on, those that count for this way of starting."""
    values = case.values
    transformer = values["transformer_kva"] is not None and values["transformer_z_pct"] is not None
    cable = CABLE if values["cable_length_m"] != 0 else CABLE[:1]
    held = HELD_AGAINST if way == model.OWN else HELD_AGAINST[:4]
    source = BY_TRANSFORMER if transformer else BY_FAULT
    names = (
        *PLATE,
        "maker_curve",
        "hot_stall_s",
        "rotor_inertia_kgm2",
        *DRIVEN,
        "bus_voltage_v",
        *source,
        *cable,
        *_kind(case, way),
        *settings(values, way),
        *held,
        *case.trial.tried,
    )
    return tuple(case.input(n) for n in dict.fromkeys(names) if values[n] is not None)


def idle(case: Case, way: str) -> tuple[str, ...]:
    """The columns tried that have no effect in this way of starting."""
    every = {name for names in (*SETTINGS.values(), *BY_KIND.values()) for name in names}
    idle_ = every | {*OF_THE_BYPASS.values(), "start_mode", "device_kind", "bypass_arrangement", "bypass_starts_by"}
    idle_ -= {*settings(case.values, way), *_kind(case, way)}
    return tuple(name for name in case.trial.tried if name in idle_)


def _kind(case: Case, way: str) -> tuple[str, ...]:
    """The columns that say which way of starting it is."""
    kind, mode = _WAYS[way]
    arranged = ("bypass_arrangement",) if way == model.FAILOVER else ()
    return (*arranged, kind, *([mode] if case.values[kind] == "soft starter" else []))


def why_not(case: Case, way: str, run: Run | None = None) -> tuple[str, tuple[str, ...]]:
    """Why there is no study, and which fields to read; ("", ()) where there is one. `run` is the start, where made."""
    values = case.values
    arranged = values["bypass_arrangement"]
    if way == model.FAILOVER and arranged in ("none", "internal only"):
        return f"there is no bypass: bypass arrangement {arranged}", ()
    first, (kind, mode) = "start" if way == model.OWN else "failover", _WAYS[way]
    reason, fields = lacking(case, run or Run(case, case.start(way)))
    if reason == TOO_LITTLE:
        gaps = case.trial.gaps.get(f"{first}_outcome")
        asked = (kind, mode) if values[kind] == "soft starter" else (kind,)
        fields = gaps or (*fields, *case.trial.to_read((*asked, *settings(values, way))))
    return reason, fields


def not_a_cage(motor_type: str | None) -> str:
    """Why a motor of that kind has no study, and no setting by one; empty for a cage motor."""
    return "" if motor_type in CAGE else f"{motor_type}, and the study knows cage motors only: judge by hand"


def lacking(case: Case, run: Run) -> tuple[str, tuple[str, ...]]:
    """What of motor, load and supply a start lacks; ("", ()) where nothing."""
    start = run.start
    if case.values["phases"] == 1:
        return "it has one phase, and the study is of three", ("phases",)
    if other := not_a_cage(case.values["motor_type"]):
        return other, ("motor_type",)
    known = all_known(start.facts, (*MACHINE, inertia_known)) & ~np.isnan(numbers_known(start.control))
    if not known[0]:
        fields = case.trial.to_read((*PLATE, *LOAD, "load_inertia_kgm2", "rotor_inertia_kgm2"))
        if np.isnan(start.supply.z_s[0]):
            fields += (
                ("bus_voltage_v",) if case.values["bus_voltage_v"] is None else ("transformer_kva", "transformer_z_pct")
            )
        return TOO_LITTLE, fields
    if not run.machine.ok[0]:
        return CONTRADICTED, CHECK
    return "", ()
