"""The results of a study, and the parts on which each is based."""

from __future__ import annotations

from collections.abc import Mapping

from register.calc import start_parts
from register.calc.seen_current import device_share_known, overload_sight_known
from register.calc.several_results import Part, each
from register.calc.start_strain import BREAKER, DUTY

COMMON = (*start_parts.PLATE, *start_parts.CURVE, *start_parts.SUPPLY, *start_parts.LOAD)
COURSE = (*COMMON, *start_parts.INERTIA, *start_parts.OWN)  # all that the course of a start depends on
OVERLOAD = ("practice", "overload_trip_class", "overload_set_a", "overload_current_a")
BYPASS_OVERLOAD = ("practice", "bypass_trip_class", "bypass_overload_set_a", "fla_a")
HEAT = (each("hot_stall_s"),)
MAIN = (each(*BREAKER),)
RELAY = (each(*OVERLOAD), overload_sight_known)
DEVICE = (each(*DUTY), device_share_known)
# Unit of a figure with a band, and the words for its ends.
BANDS = {
    "time": ("_s", "short", "long"),
    "peak": ("_a", "low", "high"),
    "dip": ("_pct", "low", "high"),
    "motor_heat": ("_pct", "low", "high"),
    "main_breaker": ("_pct", "low", "high"),
    "terminal": ("_pct", "low", "high"),
    "duty": ("_s", "low", "high"),
    "torque_margin": ("_pct", "low", "high"),
}
STRAIN = {
    "outcome": (),
    "time_s": (),
    "peak_xfla": (),
    "peak_a": (),
    "dip_pct": (),
    "motor_heat_pct": HEAT,
    "main_breaker_pct": MAIN,
}
OWN_MORE = {
    "terminal_pct": (),
    "overload_state": RELAY,
    "overload_pct": RELAY,
    "overload_low_pct": RELAY,
    "duty_s": DEVICE,
    "device_peak_a": (device_share_known,),
    "torque_margin_pct": (),
    "changeover_pct": (each("transition_s"),),
    "energy_kwh": (),
}


def _with_ends(figures: Mapping[str, tuple[Part, ...]]) -> dict[str, tuple[Part, ...]]:
    """The same with the ends of the bands."""
    found = dict(figures)
    for stem, (unit, *ends) in BANDS.items():
        if stem + unit in figures:
            found |= {f"{stem}_{end}{unit}": figures[stem + unit] for end in ends}
    return found


def _based_on(prefix: str, *parts: Part, more: Mapping[str, tuple[Part, ...]]) -> dict:
    """For each result of a study the parts it is based on."""
    return {f"{prefix}_{name}": (*parts, *beside) for name, beside in more.items()}


# Highest at standstill, whatever hangs on the shaft.
AT_STANDSTILL = _with_ends(dict.fromkeys(("peak_xfla", "peak_a", "dip_pct", "terminal_pct"), ()))
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
OWN_RESULTS = _based_on("start", *OWN_PARTS, more=_with_ends(STRAIN | OWN_MORE)) | _based_on(
    "start", *STANDSTILL_PARTS, more=AT_STANDSTILL
)
FAILOVER_RESULTS = _based_on(
    "failover", *FAILOVER_PARTS, more=_with_ends(STRAIN | {"overload_state": (each(*BYPASS_OVERLOAD),)})
)
LIMITS = dict.fromkeys(("limit_xfla", "limit_low_xfla", "limit_high_xfla"), ())
LIMIT_RESULTS = _based_on("lowest", *MACHINE, more=LIMITS)
