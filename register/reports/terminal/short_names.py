"""Short names of columns and figures, for where a line has to hold many of them."""

from __future__ import annotations

from register import columns

# fmt: off
NAMES = {
    # what a sheet sets
    "start_mode": "start mode", "current_limit_xfla": "current limit",
    "initial_voltage_pct": "initial voltage", "ramp_s": "ramp", "tap_pct": "tap",
    "transition_s": "changes over after", "start_time_limit_s": "start-time limit",
    "bypass_closes_at": "bypass closes at", "stop_mode": "stop mode", "stop_ramp_s": "stop ramp",
    "fla_set_a": "motor current entered", "device_overload_set_a": "overload in the device",
    "device_trip_class": "trip class", "overload_reset": "overload reset",
    "relay_set_a": "overload relay", "relay_reset": "relay's reset",
    "comms_loss_action": "network lost",
    # motor, load and place
    "power_kw": "power", "motor_voltage_v": "voltage", "fla_a": "full-load current",
    "service_factor": "service factor", "speed_rpm": "speed", "temperature_rise_c": "rise",
    "locked_rotor_ratio": "locked-rotor current", "hot_stall_s": "hot stall time",
    "locked_rotor_torque_pct": "locked-rotor torque", "breakdown_torque_pct": "breakdown torque",
    "efficiency_pct": "efficiency", "power_factor": "power factor", "poles": "poles",
    "rotor_inertia_kgm2": "rotor inertia", "load_inertia_kgm2": "load inertia",
    "load_kind": "load", "start_condition": "started", "starts_per_hour": "starts",
    "load_breakaway_pct": "breakaway torque", "load_torque_pct": "load torque",
    "load_curve": "load curve", "surge_risk": "pipework hammers", "fragile_load": "fragile load",
    "coupling": "coupling", "restart_hurts": "restart hurts", "motors_on_device": "motors on it",
    "cable_length_m": "cable", "cable_r_ohm_per_km": "cable resistance",
    "cable_x_ohm_per_km": "cable reactance", "dip_limit_pct": "dip allowed",
    "control_scheme": "control", "comms_loss_need": "process wants", "relay_leg": "relay carries",
    "x_over_r": "X/R", "upstream_fault_mva": "grid fault level",
    "transformer_x_over_r": "transformer X/R", "motor_frequency_hz": "frequency",
    "device_connection": "connection", "phases": "phases",
    # device
    "rated_current_a": "device rated", "duty_code": "duty code", "trip_classes": "trip classes",
    "current_limit_min_xfla": "limit from", "current_limit_max_xfla": "limit up to",
    "start_modes": "start modes", "power_path": "run path",
    # worked out
    "lowest_limit_xfla": "lowest that starts", "lowest_limit_high_xfla": "with least torque",
    "overload_set_max_a": "permitted up to", "start_time_s": "start takes",
    "start_peak_a": "start draws", "branch_limit_a": "code permits",
    # line protection
    "protection_kind": "line protection", "protection_rating_a": "rating",
    "instantaneous_a": "instantaneous trip", "semiconductor_fuses": "semiconductor fuses",
    "short_circuit_rating_ka": "device withstands", "interrupting_ka": "protection interrupts",
    "line_protection_kind": "maker asks for", "line_protection_max_a": "maker permits",
    "semiconductor_fuse_required": "maker requires them", "fault_current_ka": "fault current",
    # figures of a start
    "outcome": "outcome", "time_s": "time to speed", "peak_xfla": "peak current", "peak_a": "the same in amperes",
    "dip_pct": "voltage dip", "motor_heat_pct": "motor heat", "overload": "overload",
    "duty_s": "device duty", "main_breaker_pct": "main breaker", "torque_margin_pct": "torque margin",
}
# fmt: on


def name(column: str, sentence: str = "") -> str:
    """The short name, or else the sentence given, or the dictionary's.

    >>> name("fla_a"), name("firmware")
    ('full-load current', 'version of its firmware')
    """
    return NAMES.get(column) or sentence or columns.FACTS[column].sentence


def digits(value: float | str | None) -> float | str | None:
    """A number to three figures, which is more than a start is known to.

    >>> digits(218.26), digits(0.57281), digits("holds")
    (218.0, 0.573, 'holds')
    """
    return float(f"{value:.3g}") if isinstance(value, float) else value
