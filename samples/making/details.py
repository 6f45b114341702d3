"""What a thorough survey adds to a position: place, duty, load, protection, records.

Each has chances of its own, from its tag, so that a line here moves nothing elsewhere.
"""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

from making.catalogue import LONGEST_WITHOUT_FILTER_M, model, rated_for

DISCONNECTS_A = {"us": (30, 60, 100, 200, 400, 600), "iec": (32, 63, 100, 160, 250, 400, 630)}
HURTS = {"conveyor", "screw conveyor", "crusher", "saw", "mixer", "mill", "other"}
WET = {"centrifugal pump", "slurry pump", "vacuum pump"}
DUSTY = {"Woodyard", "Crushing"}
PAIRED = ("reel drum", "dryer hood exhaust fan")


def details(place: dict, *, needed_a: float, today: date) -> dict[str, object]:
    """Columns of a position that follow from what it has already, and from its tag."""
    rng = Random(f"{place['tag']} of {place['area']}")
    found = _where(place, rng) | _load(place, rng) | _switchgear(place, needed_a, rng)
    found |= _electronics(place, rng) if place["letter"] not in "AYT" else {"relay_reset": "manual"}
    found["visual_inspection_on"] = _before(today, rng.randrange(20, 320))
    if place["description"] == "sealing water pump":
        found |= _capacitors(place)
    if rng.random() < 0.04:
        found["hazardous_area"] = "yes"
        found["hazardous_area_inspection_on"] = _before(today, rng.randrange(90, 800))
    if rng.random() < 0.06:
        found["events"] = [
            (_before(today, rng.randrange(800, 2400)), rng.choice(("OHE", "UST", "BRD"))) for _ in range(3)
        ]
    return found


def _where(place: dict, rng: Random) -> dict[str, object]:
    wet, dusty = place["load_kind"] in WET, place["area"] in DUSTY
    return {
        "device_place": "indoor",
        "motor_place": "outdoor"
        if dusty and wet
        else "indoor wet"
        if wet
        else "indoor dusty"
        if dusty or rng.random() < 0.3
        else "indoor",
    }


def _load(place: dict, rng: Random) -> dict[str, object]:
    short = place["letter"] == "A" and place["load_kind"] == "conveyor" and rng.random() < 0.2
    return {
        "running_current_a": round(place["fla_a"] * rng.uniform(0.68, 0.94), 1),
        "inching": "no",
        "duty_type": "S3" if short else "S1",
        "duty_run_min": 6.0 if short else None,
        "longest_run_min": 4.0 if short else float(60 * rng.randrange(4, 170)),
        "restart_hurts": "yes" if place["load_kind"] in HURTS else "no",
        "full_speed_bearable": "yes" if place["letter"] == "D" else None,
        "motors_on_device": 1,
        "automatic_control": "yes" if place["load_kind"] in WET or rng.random() < 0.3 else "no",
    }


def _switchgear(place: dict, needed_a: float, rng: Random) -> dict[str, object]:
    sizes = DISCONNECTS_A[place["practice"]]
    return {
        "disconnect_rating_a": float(next(size for size in sizes if size >= 1.2 * needed_a)),
        "disconnect_in_sight": rng.choice(("yes", "yes", "no")),
        "disconnect_lockable": "yes",
        "phase_loss_trip": "yes",
        "semiconductor_fuses": "yes" if place["letter"] == "S" else "no",
    }


def _capacitors(place: dict) -> dict[str, object]:
    """Capacitors at the motor's terminals, and the relay set for what is left of its current."""
    return {
        "capacitor_side": "load side",
        "capacitor_kvar": round(0.1 * place["power_kw"], 2),
        "relay_set_a": round(0.93 * place["fla_a"], 1),
    }


def _electronics(place: dict, rng: Random) -> dict[str, object]:
    letter = place["letter"]
    found: dict[str, object] = {"firmware": f"{rng.randrange(1, 6)}.{rng.randrange(0, 30):02d}"}
    if place["control_scheme"] != "hardwired":
        found["comms_loss_need"] = place["comms_loss_action"]
    if letter in "BS":
        found |= {
            "device_connection": "in line",
            "start_time_limit_s": 25.0,
            "bypass_closes_at": "full speed" if letter == "B" else None,
        }
    if letter == "D":
        found["running_current_at"] = "motor"
        far = place["cable_length_m"] > LONGEST_WITHOUT_FILTER_M
        found["output_filter"] = "yes" if far else "no"
        if place["description"].endswith(PAIRED):
            found |= _two_motors(place)
        elif rng.random() < 0.15:
            found |= _relay(place) | {"relay_set_a": place["device_overload_set_a"]}
    if letter == "S" and place["load_kind"] == "mixer":
        found |= _inside_delta(place)
    return found


def _relay(place: dict) -> dict[str, object]:
    """A relay behind a drive, of the class of the drive's own overload."""
    fla = place["fla_a"]
    return {
        "overload_place": "relay",
        "relay_set_a": round(fla, 1),
        "relay_min_a": round(0.7 * fla, 1),
        "relay_max_a": round(1.4 * fla, 1),
        "relay_trip_class": place["device_trip_class"],
        "relay_reset": "manual",
        "relay_for_drive": "yes",
    }


def _two_motors(place: dict) -> dict[str, object]:
    """Two motors on one drive, with a relay each."""
    fla = place["fla_a"]
    entry = model("D", rated_for(2.2 * fla), practice=place["practice"])
    return _relay(place) | {
        "motors_on_device": 2,
        "own_overloads": "yes",
        "cable_ampacity_a": 2 * place["cable_ampacity_a"],
        "disconnect_rating_a": float(next(s for s in DISCONNECTS_A[place["practice"]] if s >= 2.8 * fla)),
        "fla_set_a": round(2 * fla, 1),
        "device_overload_set_a": round(2 * fla, 1),
        "model": entry["model"],
        "rated_a": entry["rated_current_a"],
        "protection_max_a": entry["line_protection_max_a"],
    }


def _inside_delta(place: dict) -> dict[str, object]:
    flows = place["fla_a"] / 3**0.5
    return {"device_connection": "inside delta", "fla_set_a": round(flows, 1), "device_overload_set_a": round(flows, 1)}


def _before(day: date, days: int) -> str:
    return (day - timedelta(days=days)).isoformat()
