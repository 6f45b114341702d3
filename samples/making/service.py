"""What a survey found of service, winding, earthing, drive and bypass: a column of its own each."""

from __future__ import annotations

from random import Random

from making.catalogue import standard_size

SHARE = 0.08  # of these few are missing: they were asked for in one go
EXTERNAL = ("two-contactor", "three-contactor", "standby starter")
UNEARTHED = ("MCC-11", "MCC-51")  # resistance earthed
NEVER_MISSING = {
    "setting_recorded_on",
    "transition_s",
    "second_fla_a",
    "second_overload_set_a",
    "capacitor_side",
    "capacitor_kvar",
    "relay_set_a",
    "own_overloads",
    "hazardous_area",
    "motors_on_device",
    "service_kind",
    "combination_listed",
    "protection_slash",
    "reverse_hurts",
}


def surveyed(place: dict, *, design_a: float, cables: tuple) -> dict[str, object]:
    """The columns of one position, most of them known."""
    rng = Random(f"{place['tag']} surveyed")
    us, letter = place["practice"] == "us", place["letter"]
    found = _motor(place, us) | _everywhere(place) | _seldom(place, rng)
    if letter == "D":
        needed = (1.25 if us else 1.0) * max(0.95 * place["rated_a"], design_a)
        found |= {
            "run_by_supply": "no",
            "min_speed_pct": 30.0,
            "drive_filter_off": "yes" if place["bus"] in UNEARTHED else "no",
            "input_cable_ampacity_a": float(next(n * a for n in (1, 2) for a, _ in cables if n * a >= needed)),
        }
    if place["bypass_arrangement"] in EXTERNAL:
        found |= {
            "bypass_interlock": "both",
            "bypass_overload_set_a": place["fla_a"],
            "bypass_trip_class": "30",
            "bypass_protection_kind": "inverse-time breaker" if us else "fuse",
            "bypass_protection_rating_a": standard_size(2 * design_a, practice=place["practice"], fuse=not us),
        }
    if letter in "YT" and rng.random() < 0.6:
        found |= {"setting_recorded_on": "2026-04-02", "transition_s": 18.0}
    if place["speed_need"] == "two-speed":
        low = round(0.6 * place["fla_a"], 1)
        found |= {"second_fla_a": low, "second_overload_set_a": low}
    return {n: None if n not in NEVER_MISSING and rng.random() < SHARE else v for n, v in found.items()}


def _motor(place: dict, us: bool) -> dict[str, object]:
    star_delta = place["letter"] == "Y"
    leads = 9 if us and place["letter"] in "AD" else 6
    found: dict[str, object] = {"motor_leads": leads, "motor_cooling": "own fan", "ex_protection": "none"}
    if star_delta and not us:
        found["voltage_delta_v"] = 400.0
    slow = place["letter"] == "D" and place["load_curve"] == "constant"
    if slow:
        found["ct_speed_range"] = 10.0
    if slow or place["power_kw"] >= 100 or place["duty_type"] == "S3":
        found |= {"thermal_device": "PTC thermistor", "thermal_stops": "yes"}
    if place["hazardous_area"] == "yes":
        found |= {"ex_protection": "Ex d", "area_class": "zone 2", "drive_certificate": "yes"}
        if place["letter"] in "AY":
            found |= {"ex_protection": "Ex e", "te_s": 25.0, "relay_trip_lr_s": 12.0}
    return found


GAS = {
    "hazardous_area": "yes",
    "hazardous_area_inspection_on": "2026-03-05",
    "ex_protection": "Ex d",
    "area_class": "zone 2",
    "drive_certificate": "yes",
}


def seen_in_order(places: list[dict]) -> None:
    """Say of two positions without a fault what is seldom written down, and in order there."""
    clean = [place for place in places if "seeded" not in place]
    timed = next(p for p in clean if p["letter"] == "A" and p["load_kind"] == "conveyor")
    timed |= {"measured_start_on": "2026-06-02", "measured_start_s": 4.5}
    # The inspection stays unread, so that no other check is drawn anew.
    next(p for p in clean if p["letter"] == "D").update({**GAS, "hazardous_area_inspection_on": None})


def _seldom(place: dict, rng: Random) -> dict[str, object]:
    """What a few positions have: capacitors, gas, contactors that reverse, a backstop."""
    chance = rng.random()
    if place["letter"] == "D" and chance < 0.12:
        return dict(GAS)
    if place["letter"] != "A" or place["practice"] != "us":
        return {}
    if chance < 0.04:
        lower = round(0.95 * place["relay_set_a"], 2)  # less flows before the capacitors
        return {
            "capacitor_side": "load side",
            "capacitor_kvar": round(0.1 * place["power_kw"], 1),
            "relay_set_a": lower,
        }
    if chance < 0.08:
        gas = {"hazardous_area": "yes", "hazardous_area_inspection_on": "2026-03-05", "area_class": "zone 2"}
        return gas | {"ex_protection": "Ex e", "te_s": 25.0, "relay_trip_lr_s": 12.0}
    if chance < 0.12:
        return {"reversing": "yes", "reversing_interlock": "both"}
    return {"reverse_hurts": "yes", "reverse_phase_trip": "yes"} if chance < 0.16 else {}


def _everywhere(place: dict) -> dict[str, object]:
    return {
        "service_kind": "process",
        "reverse_hurts": "no",
        "reversing": "no",
        "physical_condition": "2",
        "motor_ambient_c": min(38.0, place["ambient_c"]),
        "protection_slash": "no",
        "combination_listed": "yes",
    }
