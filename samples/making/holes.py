"""Holes: what a survey did not find, spread so that nothing fails for being unknown."""

from __future__ import annotations

from random import Random

from register.columns import FACTS, TABLES

# A rule fails where these are blank, so that a hole in them is a seeded fault.
# fmt: off
KNOWN = {"power_kw", "motor_voltage_v", "speed_rpm", "fla_a", "service_factor", "starts_per_hour", "firmware"}
# One walk filled these everywhere: by them hands, fire and the bypass are judged.
WALKED = {
    "service_kind", "running_current_at", "inchings_per_10min", "panel_enclosure", "overload_marked_in", "fuse_class",
    "bypass_isolated", "control_current", "instantaneous_electronic",
}
# fmt: on
KEYS = {key for table in TABLES.values() for key in table.key} | {"tag", "bus", "model", "motor"}

# Whoever set a soft starter before a heavy load knew the load.
OF_THE_LOAD = {"load_breakaway_pct", "load_torque_pct", "load_curve", "locked_rotor_torque_pct"}

# A motor for short runs stands out, and somebody has noted why.
OF_SHORT_RUNS = {"duty_type", "duty_run_min", "longest_run_min"}

# By these a lineup is judged as a whole.
OF_THE_LINEUP = {"protection_kind"}

# What no seeded fault rests on: at a position with a fault, only these may be blank.
# fmt: off
IDLE = {
    "description", "run_hours_per_year", "cable_length_m", "cable_r_ohm_per_km",
    "cable_x_ohm_per_km", "enclosure_need", "hazardous_area", "motor_maker",
    "breakdown_torque_pct", "insulation_class", "hot_stall_s", "cold_stall_s",
    "rotor_inertia_kgm2", "motor_enclosure", "made_on", "setting_recorded_by",
    "initial_voltage_pct", "ramp_s", "stop_ramp_s", "comms_loss_action", "control_protocol",
    "load_curve", "longest_run_min", "disconnect_in_sight", "duty_type", "inching",
    "trip_test_on", "insulation_test_on", "parameter_backup_on", "load_torque_pct",
}
# fmt: on

# fmt: off
CATALOGUE = (
    "coordination_type", "duty_code", "utilization_category", "device_enclosure", "derate_above_c",
    "derate_pct_per_c", "derate_above_m", "derate_pct_per_100m", "protocols", "price",
    "lead_time_days", "life_years", "short_circuit_rating_ka", "line_protection_max_a",
    "overload_min_a", "altitude_max_m", "device_power_kw", "electrical_life_ops",
    "semiconductor_fuse_required", "motor_cable_max_m",
)
# fmt: on

# These have holes of their own, dug where they are made.
# fmt: off
DUG = {
    "motor_leads", "motor_cooling", "voltage_delta_v", "ct_speed_range", "thermal_device", "thermal_stops",
    "ex_protection", "te_s", "relay_trip_lr_s", "area_class", "drive_certificate", "service_kind", "fire_pump_listed",
    "reverse_hurts", "reversing", "reverse_phase_trip", "reversing_interlock", "physical_condition",
    "motor_ambient_c", "protection_slash", "combination_listed", "run_by_supply", "min_speed_pct",
    "drive_filter_off", "input_cable_ampacity_a", "bypass_interlock", "bypass_overload_set_a",
    "bypass_trip_class", "bypass_protection_kind", "bypass_protection_rating_a", "second_fla_a",
    "second_overload_set_a", "other_motors_a", "group_listed", "own_overloads", "transition_s",
}
# fmt: on

_ENTERED = [c.name for c in FACTS.values() if c.origin == "entered" and c.name not in KEYS | KNOWN | WALKED | DUG]


def dig(places: list[dict], catalogue: dict[str, dict], rng: Random, *, share: float) -> None:
    """Blank about `share` of what is entered, and some of what the catalogue says."""
    for place in places:
        if "seeded" in place and place["seeded"].whole:
            continue
        for name in _ENTERED:
            fault = place.get("seeded")
            may = place.get(name) is not None and (not fault or (name in IDLE and name not in fault.edits))
            may &= place["letter"] not in "BS" or name not in OF_THE_LOAD
            may &= not ("decides_lineup" in place and name in OF_THE_LINEUP)
            hole = may and rng.random() < (2 * share if name in IDLE else share)
            if hole and not (place.get("duty_type") == "S3" and name in OF_SHORT_RUNS):
                place[name] = None
    needed = {place["model"] for place in places if "seeded" in place}
    for number in sorted(catalogue.keys() - needed):
        for name in CATALOGUE:
            if rng.random() < share:
                catalogue[number][name] = None


def name_services(places: list[dict]) -> None:
    """Say of every machine that its own name leaves in doubt that it serves the process."""
    for place in places:
        if place["description"] is None or "sprinkler" in place["description"]:
            place["service_kind"] = "process"


def hide_names(places: list[dict], catalogue: dict[str, dict], rng: Random) -> None:
    """Serial numbers and catalogue numbers that nobody could read, at a few positions."""
    clean = [place for place in places if "seeded" not in place]
    for place in rng.sample(clean, len(clean) // 20):
        place["motor"] = f"unmarked motor at {place['tag']}"
    for place in rng.sample(clean, len(clean) // 20):
        place["device"] = f"unmarked device at {place['tag']}"
    # Nobody mistakes an autotransformer: where one may stand is known, and so is its spare's use.
    for place in rng.sample([p for p in clean if p["letter"] != "T"], len(clean) // 30):
        kind = catalogue[place["model"]]["device_kind"]
        place["model"] = f"unidentified model at {place['tag']}"
        catalogue[place["model"]] = {"model": place["model"], "device_kind": kind}
    for place in places:
        place["device_kind"] = catalogue[place["model"]]["device_kind"]
