"""What each setting is based on: the values that decide it, and the rule or standard behind it."""

from __future__ import annotations

from dataclasses import dataclass

from register.calc.start_parts import INERTIA, LOAD, PLATE

MOTOR = (*PLATE, *LOAD, *INERTIA)


@dataclass(frozen=True)
class Basis:
    """Of one setting: the columns that are shown beside it, those it needs, and why it is so.

    `needs` are the facts without which it can't be chosen; the entered fields behind them are what
    to read.
    """

    shown: tuple[str, ...]
    needs: tuple[str, ...]
    words: str
    rules: tuple[str, ...] = ()


_START = ("device_kind", "phases", "lowest_limit_xfla", *MOTOR, "bus_voltage_v")

# Where a kind of device has reasons of its own.
OF_KIND = {
    ("drive", "current_limit_xfla"): Basis(
        ("current_limit_min_xfla", "current_limit_max_xfla"),
        ("device_kind",),
        "common practice: half as much again as full load, within the drive's range",
    ),
    ("drive", "ramp_s"): Basis(
        ("load_kind", "start_time_s"),
        _START,
        "common practice to begin with; lengthen it where current or voltage trips",
    ),
    ("drive", "start_mode"): Basis(("start_modes",), ("start_modes",), "by frequency, along its ramp"),
}

# fmt: off
BASES: dict[str, Basis] = {
    "start_mode": Basis(
        ("start_modes", "load_kind", "surge_risk", "fragile_load", "coupling"), ("start_modes",),
        "a current limit, because a timed ramp limits nothing; with a ramp where a jerk hurts",
        ("settings/mode-fits-inertia", "application/fragile-load-eased"),
    ),
    "current_limit_xfla": Basis(
        ("lowest_limit_xfla", "lowest_limit_high_xfla", "current_limit_max_xfla", "dip_limit_pct", "hot_stall_s",
         "duty_code"),
        _START,
        "above the lowest that starts any motor of this plate, a tenth over the likely one; within device, dip, "
        "heat and trip",
        ("settings/limit-enough-to-start", "settings/limit-within-device",
         "duty/duty-code-covers-start", "start-study/dip-within-limit"),
    ),
    "initial_voltage_pct": Basis(
        ("load_breakaway_pct", "locked_rotor_torque_pct"),
        ("load_breakaway_pct", "locked_rotor_torque_pct"),
        "the load breaks away at once, with a tenth to spare; torque goes with the square",
        ("settings/initial-voltage-breaks-away",),
    ),
    "ramp_s": Basis(
        ("load_kind", "surge_risk", "fragile_load", "duty_code"), _START,
        "common practice: 10 s where a jerk hurts, else 5 s; 10 s and more on a drive",
        ("settings/ramp-within-duty",),
    ),
    "tap_pct": Basis(
        ("load_breakaway_pct", "locked_rotor_torque_pct"), _START,
        "of the taps of 50, 65 and 80 % the one whose start exceeds the fewest limits",
        ("application/loaded-start-has-torque",),
    ),
    "transition_s": Basis(
        ("load_curve", "load_torque_pct"), _START,
        "late enough that the changeover draws least, early enough for heat and trip",
        ("start-study/accelerates",),
    ),
    "start_time_limit_s": Basis(
        ("hot_stall_s", "locked_rotor_ratio"), _START,
        "over the longest start by a quarter; within the heat of the hot stall time at the limit",
        ("settings/start-time-limit-set",),
    ),
    "bypass_closes_at": Basis(
        ("power_path",), (), "closed by time before full speed it takes the whole current",
        ("bypass/running-bypass-closes-at-speed",),
    ),
    "stop_mode": Basis(
        ("load_kind", "surge_risk"), ("load_kind", "surge_risk"),
        "softly where the pipework hammers; braking only where the process asks for it",
        ("settings/stop-mode-fits", "application/pump-stops-softly"),
    ),
    "stop_ramp_s": Basis(
        ("surge_risk",), ("load_kind", "surge_risk"),
        "common practice to begin with; lengthen it until the check valve closes quietly",
        ("application/pump-stops-softly",),
    ),
    "fla_set_a": Basis(
        ("fla_a", "motors_on_device"), ("fla_a",), "the nameplate's, of all motors on the device",
        ("settings/parameters-match-nameplate",),
    ),
    "device_overload_set_a": Basis(
        ("fla_a", "service_factor", "temperature_rise_c", "overload_set_max_a"), ("fla_a",),
        "the motor's rated current; the code permits up to the highest (NFPA 70, 430.32; IEC: the "
        "rated current)",
        ("overload/set-within-nameplate", "overload/not-below-running-current"),
    ),
    "relay_set_a": Basis(
        ("fla_a", "relay_leg", "service_factor", "temperature_rise_c", "overload_set_max_a"),
        ("overload_current_a",),
        "the rated current that the relay carries (NFPA 70, 430.32; IEC: the rated current)",
        ("overload/set-within-nameplate", "overload/not-below-running-current"),
    ),
    "device_trip_class": Basis(
        ("trip_classes", "hot_stall_s", "locked_rotor_ratio"), ("trip_classes", *_START),
        "the lowest that holds through the start with a tenth to spare and guards a stalled motor",
        ("overload/trip-class-lets-it-start", "overload/trip-class-guards-stall"),
    ),
    "overload_reset": Basis(
        ("restart_hurts",), (), "by hand, so that nothing starts by itself after a trip",
        ("overload/manual-reset-where-restart-hurts",),
    ),
    "relay_reset": Basis(
        ("restart_hurts",), (), "by hand, so that nothing starts by itself after a trip",
        ("overload/manual-reset-where-restart-hurts",),
    ),
    "comms_loss_action": Basis(
        ("control_scheme", "comms_loss_need"), ("comms_loss_need",),
        "what the process wants when the network is lost",
        ("control/comms-loss-decided",),
    ),
}
# fmt: on
