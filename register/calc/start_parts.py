"""The parts of a start, put together from what the register says of a position."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

import numpy as np

from register.calc.load_curve import Load, load_of
from register.calc.machine import Plate
from register.calc.several_results import each, part
from register.calc.start_methods import DIRECT, DRIVE, SOFT, TAP, TORQUE, Control
from register.calc.supply import Supply, thevenin
from register.calc.word_match import said

STAR = 1.0 / np.sqrt(3.0)
DRIVE_TORQUE = 1.5  # of full-load torque, that a drive gives for a start (common practice)
# fmt: off
PLATE = (
    "power_kw", "motor_voltage_v", "motor_frequency_hz", "poles", "speed_rpm", "fla_a",
    "efficiency_pct", "power_factor", "locked_rotor_ratio", "locked_rotor_torque_pct",
    "breakdown_torque_pct",
)
# fmt: on
# fmt: off
SUPPLY = (
    "bus_voltage_v", "upstream_fault_mva", "x_over_r", "transformer_kva", "transformer_z_pct",
    "transformer_x_over_r", "fault_current_ka", "cable_length_m", "cable_r_ohm_per_km",
    "cable_x_ohm_per_km",
)
# fmt: on
LOAD = ("load_curve", "load_torque_pct", "load_breakaway_pct", "unloaded_share_pct")
INERTIA = ("rotor_inertia_kgm2", "load_inertia_kgm2")
# fmt: off
CURVE = ("design_letter", "maker_curve")  # what shapes a motor besides its plate
ELECTRONIC = (  # what a soft starter or a drive is set to
    "start_mode", "initial_voltage_pct", "ramp_s", "current_limit_xfla",
    "initial_torque_pct", "final_torque_pct", "after_torque_ramp",
)
# fmt: on
OWN = ("device_kind", "tap_pct", "transition_s", *ELECTRONIC)
FAILOVER = ("bypass_arrangement", "bypass_starts_by", "transition_s", *(f"bypass_{name}" for name in ELECTRONIC))


def plate(facts: Mapping[str, Any]) -> Plate:
    """The nameplate."""
    return Plate(**{name: np.asarray(facts[name], float) for name in PLATE})


def load(facts: Mapping[str, Any]) -> Load:
    """The driven machine."""
    return load_of(**{name: facts[name] for name in LOAD})


def supply(facts: Mapping[str, Any]) -> Supply:
    """Source, transformer and cable, on the motor's base."""
    volts, amperes = (np.asarray(facts[n], float) for n in ("motor_voltage_v", "fla_a"))
    return thevenin(
        **{name: facts[name] for name in SUPPLY}, s_base_kva=np.sqrt(3.0) * volts * amperes / 1000.0, v_base_v=volts
    )


def own_control(facts: Mapping[str, Any]) -> Control:
    """How the position's own device starts the motor; NaN where its kind or setting is unknown."""
    return _control({name: facts[name] for name in OWN})


def failover_control(facts: Mapping[str, Any]) -> Control:
    """How the bypass starts the motor, where there is one; NaN where its kind or setting is unknown."""
    there = said(facts["bypass_arrangement"], "two-contactor", "three-contactor", "standby starter")
    kind = np.where(there, facts["bypass_starts_by"], None).astype(object)
    settings = {name: facts[f"bypass_{name}"] for name in ELECTRONIC}
    return _control({"device_kind": kind, "tap_pct": np.nan, "transition_s": facts["transition_s"]} | settings)


def _control(given: Mapping[str, Any]) -> Control:
    """The way of starting, from a kind of device and what it is set to."""
    kind, mode = given["device_kind"], given["start_mode"]
    soft = said(kind, "soft starter")
    ramped = soft & said(mode, "voltage ramp", "limited ramp")
    limited = soft & said(mode, "current limit", "limited ramp")
    by_torque = soft & said(mode, "torque ramp")
    drive = said(kind, "drive")
    tap = _tap(kind, given["tap_pct"])
    method = np.select(
        [direct_start(given), np.isfinite(tap), ramped | limited, by_torque, drive],
        [DIRECT, TAP, SOFT, TORQUE, DRIVE],
        -1,
    )
    limit = np.asarray(given["current_limit_xfla"], float)
    return _known(
        method,
        tap=tap,
        transition_s=given["transition_s"],
        initial=np.where(ramped, np.asarray(given["initial_voltage_pct"], float) / 100.0, 1.0),
        ramp_s=np.where(ramped | by_torque | drive, np.asarray(given["ramp_s"], float), 0.0),
        limit_xfla=np.where(limited | by_torque | drive, limit, np.inf),
        torque_from=np.asarray(given["initial_torque_pct"], float) / 100.0,
        torque_to=np.asarray(given["final_torque_pct"], float) / 100.0,
        then_full=np.where(by_torque & said(given["after_torque_ramp"], "full voltage"), 1.0, 0.0),
    )


def _tap(kind: np.ndarray, tap_pct: np.ndarray) -> np.ndarray:
    tap = np.where(said(kind, "autotransformer"), np.asarray(tap_pct, float) / 100.0, np.nan)
    return np.where(said(kind, "star-delta"), STAR, tap)


def _known(method: np.ndarray, **given: np.ndarray) -> Control:
    """Control in which a number is NaN only where the method asks for it."""
    tapped, by_torque, drive = method == TAP, method == TORQUE, method == DRIVE
    given |= {
        "tap": np.where(tapped, given["tap"], 1.0),
        "transition_s": np.where(tapped, given["transition_s"], 0.0),
        "torque_from": np.where(by_torque, given["torque_from"], 0.0),
        "torque_to": np.where(drive, DRIVE_TORQUE, np.where(by_torque, given["torque_to"], np.inf)),
    }
    # Where the way of starting is unknown nothing may be worked out.
    given["ramp_s"] = np.where(method < 0, np.nan, given["ramp_s"])
    return Control.of(method=np.where(method < 0, DIRECT, method), **given)


def known_numbers(*numbers: np.ndarray) -> np.ndarray:
    """1 where every number is known (an endless one counts as known), NaN where one is not."""
    unknown = [np.isnan(np.atleast_1d(values)) for values in numbers]
    return np.where(np.any(np.broadcast_arrays(*unknown), axis=0), np.nan, 1.0)


def numbers_known(control: Control) -> np.ndarray:
    """1 where the way of starting and all its settings are known."""
    return known_numbers(*(getattr(control, f.name) for f in fields(control)))


plate_known, inertia_known = each(*PLATE), each(*INERTIA)


@part(*LOAD)
def load_known(**facts: np.ndarray) -> np.ndarray:
    """1 where the load's torque is known at every speed."""
    found = load(facts)
    return known_numbers(found.a, found.b, found.c1, found.c2)


def direct_start(facts: Mapping[str, Any]) -> np.ndarray:
    """Where the own device puts the motor across the line at once."""
    kind = facts["device_kind"]
    return said(kind, "across-the-line") | (said(kind, "soft starter") & said(facts["start_mode"], "direct"))


@part("device_kind", "start_mode", *LOAD, *INERTIA)
def load_known_if_asked(**facts: np.ndarray) -> np.ndarray:
    """1 where the load is known, or is not asked: across the line the first instant is the hardest."""
    known = load_known(**{n: facts[n] for n in LOAD}) * inertia_known(**{n: facts[n] for n in INERTIA})
    return np.where(direct_start(facts), 1.0, known)


@part(*SUPPLY)
def supply_known(**facts: np.ndarray) -> np.ndarray:
    """1 where source and cable are known."""
    found = supply(facts | {"motor_voltage_v": 1.0, "fla_a": 1.0})
    return known_numbers(found.z_s.real, found.z_c.real, found.v_oc)


@part(*OWN)
def own_control_known(**facts: np.ndarray) -> np.ndarray:
    """1 where the device's way of starting, and the settings it goes by, are known."""
    return numbers_known(own_control(facts))


@part(*FAILOVER)
def failover_control_known(**facts: np.ndarray) -> np.ndarray:
    """1 where there is a bypass that starts the motor in a known manner."""
    return numbers_known(failover_control(facts))
