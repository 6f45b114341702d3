"""One position with all that stands there, clean: a flat dict by column name.

Column names are unique across tables, so a position, its motor, device, settings, protection, way
round, control and latest checks fit in one dict; `tables` takes them apart again.
"""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

from making.catalogue import STEPS_A, model, rated_for, standard_size
from making.details import details
from making.nameplates import HP_KW, US, iec_nameplate, inertia_limit_kgm2, starts_and_rest, us_nameplate
from making.scenes import Scene, Service
from making.service import surveyed

TODAY = date(2026, 11, 25)
PEOPLE = ("r.q.", "m.t.", "j.w.", "e.o.")
MOTOR_MAKERS = ("Marrowick", "Tolvane", "Penhask", "Grevlind")

# NFPA 70 table 310.16, copper, 75 °C: ampacity, and the metric area in mm²
# fmt: off
US_CABLES = (
    (20, 2.08), (25, 3.31), (35, 5.26), (50, 8.37), (65, 13.3), (85, 21.2), (115, 33.6),
    (130, 42.4), (150, 53.5), (175, 67.4), (200, 85.0), (230, 107), (255, 127), (285, 152),
    (310, 177), (380, 253),
)
# fmt: on
CT_PRIMARIES = (100, 150, 200, 250, 300, 400)
# copper, PVC, three loaded cores on a tray, 30 °C (IEC 60364-5-52, rounded, from memory)
# fmt: off
IEC_CABLES = (
    (18.5, 1.5), (25, 2.5), (34, 4), (43, 6), (60, 10), (80, 16), (101, 25), (126, 35), (153, 50),
    (196, 70), (238, 95), (276, 120),
)
# fmt: on

# load kind: tag prefix, torque curve, start condition, torque at standstill %, load torque %,
# inertia as a part of what the standard allows
TRAITS = {
    "centrifugal pump": ("P", "square", "unloaded", 20, 85, 0.04),
    "positive-displacement pump": ("P", "constant", "unloaded", 40, 80, 0.04),
    "slurry pump": ("P", "square", "loaded", 60, 80, 0.06),
    "vacuum pump": ("P", "linear", "unloaded", 25, 85, 0.15),
    "centrifugal fan": ("F", "square", "unloaded", 15, 80, 0.30),
    "blower": ("F", "square", "unloaded", 20, 80, 0.20),
    "conveyor": ("C", "constant", "loaded", 75, 60, 0.10),
    "screw conveyor": ("C", "constant", "loaded", 100, 75, 0.05),
    "crusher": ("K", "constant", "unloaded", 60, 70, 0.35),
    "mill": ("K", "square", "unloaded", 30, 80, 0.25),
    "mixer": ("A", "square", "unloaded", 40, 80, 0.10),
    "agitator": ("A", "square", "loaded", 50, 80, 0.08),
    "screw compressor": ("K", "linear", "unloaded", 40, 85, 0.10),
    "saw": ("K", "linear", "unloaded", 20, 60, 0.25),
    "other": ("M", "linear", "unloaded", 30, 75, 0.10),
}


def places(scene: Scene, rng: Random) -> list[dict[str, object]]:
    """Every position of the plant, clean, in tag order of its lineups."""
    found: list[dict[str, object]] = []
    counts: dict[str, int] = {}
    for service in scene.services:
        for number, letter in enumerate(service.starting, 1):
            counts[service.bus] = counts.get(service.bus, 0) + 1
            digits = "".join(filter(str.isdigit, service.bus)) or str("AB".index(service.bus[-1]))
            tag = f"{TRAITS[service.load_kind][0]}-{digits}{counts[service.bus]:02d}"
            found.append(_place(scene, service, letter, tag, number, rng))
    return found


def _place(scene: Scene, service: Service, letter: str, tag: str, number: int, rng: Random) -> dict[str, object]:
    many = len(service.starting) > 1
    size = rng.choice(service.sizes)
    drive = letter == "D"
    if scene.practice == "us":
        motor = us_nameplate(rng, hp=size, poles=service.poles, drive=drive)
        needed_a, design_a, cables = 1.25 * US[size][0], US[size][0], US_CABLES
        current = 2.0
    else:
        motor = iec_nameplate(rng, kw=size, drive=drive)
        needed_a, design_a, cables = motor["fla_a"], motor["fla_a"], IEC_CABLES
        current = 1.6
    place = {"tag": tag, "letter": letter, "practice": scene.practice}
    place |= _position(scene, service, f"No {number} {service.name}" if many else service.name)
    place |= motor | _motor_life(rng, scene.practice)
    place |= _load(service, place, rng) | _cable(cables, needed_a, rng)
    place |= _device(letter, place, rng) | _protection(letter, place, current * design_a, rng)
    place |= _setting(letter, place, rng) | _way_round(letter, place, rng)
    place |= _control(letter, place, rng) | _checks(place, rng)
    place |= details(place, needed_a=1.15 * design_a, today=TODAY)
    return place | surveyed(place, design_a=design_a, cables=cables)


def _position(scene: Scene, service: Service, name: str) -> dict[str, object]:
    us = scene.practice == "us"
    return {
        "description": name,
        "area": service.area,
        "bus": service.bus,
        "load_kind": service.load_kind,
        "coupling": service.coupling,
        "fragile_load": service.fragile,
        "hazardous_area": "no",
        "enclosure_need": "NEMA 1" if us else "IP20",
        "altitude_m": scene.site["site_altitude_m"],
        "capacitor_side": "none",
    }


def _motor_life(rng: Random, practice: str) -> dict[str, object]:
    maker = rng.choice(MOTOR_MAKERS)
    return {
        "motor": f"{maker[0]}{rng.randrange(100000, 999999)}-{rng.randrange(10, 99)}",
        "motor_maker": maker,
        "motor_status": "in service",
        "motor_installed_on": _day(rng, 400, 5500),
    }


def _load(service: Service, place: dict, rng: Random) -> dict[str, object]:
    _, curve, condition, breakaway, torque, ratio = TRAITS[service.load_kind]
    ratio *= rng.uniform(0.8, 1.2)
    hp = place["power_kw"] / HP_KW
    # at 60 Hz even on 50 Hz: the table of starts knows no other speeds
    limit = inertia_limit_kgm2(hp=hp, speed_rpm=7000 / place["poles"])
    allowed, rest = starts_and_rest(hp=hp, poles=place["poles"], inertia_ratio=ratio)
    criticality = rng.choices(("critical", "essential", "ordinary"), (20, 40, 40))[0]
    return {
        "criticality": criticality,
        "must_run_during_repair": "yes" if criticality == "critical" and rng.random() < 0.3 else "no",
        "standby": rng.choice(("installed", "none")) if criticality == "critical" else "none",
        "speed_need": "variable" if place["letter"] == "D" else service.speeds,
        # where hammer was a risk, the pump was not put across the line
        "surge_risk": service.surge if place["letter"] in "BSD" else "no",
        "start_condition": condition,
        "load_curve": curve,
        "load_inertia_kgm2": float(f"{ratio * limit:.3g}"),
        "load_breakaway_pct": float(breakaway + rng.randrange(-2, 3) * 5),
        "load_torque_pct": float(torque + rng.randrange(-2, 3) * 5),
        "starts_per_hour": rng.choice([s for s in (0.5, 1, 1, 2, 2, 3, 4, 6) if s <= allowed]),
        "min_rest_s": float(60 * round(rest / 60 + rng.uniform(1, 4))),
        "run_hours_per_year": float(100 * rng.randrange(15, 84)),
        "ambient_c": float(rng.choice((28, 30, 32, 35, 38))),
    }


def _cable(cables: tuple, needed_a: float, rng: Random) -> dict[str, object]:
    ampacity, area = next(cable for cable in cables if cable[0] >= needed_a)
    # copper at 75 °C, 21.5 ohm·mm²/km; about 0.1 ohm/km in a tray; 12 V of drop at rated current
    ohm_per_km = float(f"{21.5 / area:.3g}")
    farthest = 5 * max(4, round(12000 / (1.73 * needed_a * ohm_per_km) / 5))
    return {
        "cable_length_m": float(min(rng.randrange(20, 180, 5), farthest)),
        "cable_r_ohm_per_km": ohm_per_km,
        "cable_x_ohm_per_km": round(0.085 + 0.04 / area**0.5, 3),
        "cable_ampacity_a": float(ampacity),
    }


def _heavy(place: dict) -> bool:
    return place["load_curve"] == "constant" or place["load_breakaway_pct"] > 25


def _device(letter: str, place: dict, rng: Random) -> dict[str, object]:
    # A soft starter before a heavy load is chosen for five times the motor's current at the start.
    share = 1.5 if letter in "BS" and _heavy(place) else 1.16
    rated_a = rated_for(min(share * place["fla_a"], STEPS_A[-1]))
    entry = model(letter, rated_a, practice=place["practice"])
    made = _day(rng, 420, 4000)
    installed = date.fromisoformat(made) + timedelta(days=rng.randrange(40, 260))
    return {
        "model": entry["model"],
        "device_status": "in service",
        "device": f"{entry['model_maker'][0]}{rng.randrange(10**7, 10**8)}",
        "made_on": made,
        "device_installed_on": installed.isoformat(),
        "rated_a": entry["rated_current_a"],
        "protection_max_a": entry["line_protection_max_a"],
    }


def _protection(letter: str, place: dict, breaker_a: float, rng: Random) -> dict[str, object]:
    us = place["practice"] == "us"
    fused = letter in "SD" or not us
    kind = "inverse-time breaker" if not fused else "time-delay fuse" if us else "fuse"
    rating = standard_size(0.75 * breaker_a if fused and us else breaker_a, practice=place["practice"], fuse=fused)
    found = {
        "protection_kind": kind,
        "protection_rating_a": rating,
        "interrupting_ka": 100 if fused else 65,
        "instantaneous_a": None if fused else 10 * rating,
    }
    if us and letter == "A" and rng.random() < 0.2 and place["power_kw"] > 4:
        found |= {"protection_kind": "instantaneous breaker", "instantaneous_a": round(11.4 * place["fla_a"])}
    if letter not in "AYT":
        return found | {"overload_place": "device"}
    fla = place["fla_a"]
    return found | {
        "overload_place": "relay",
        "relay_trip_class": "10",
        "relay_leg": "line" if letter == "Y" else None,
        "relay_set_a": _round(fla * (rng.uniform(0.97, 1.02) if us else 1)),
        "relay_min_a": _round(0.7 * fla),
        "relay_max_a": _round(1.4 * fla),
        "ct_primary_a": next(p for p in CT_PRIMARIES if p > 1.25 * fla) if fla > 60 else None,
    }


def _setting(letter: str, place: dict, rng: Random) -> dict[str, object]:
    if letter in "AYT":
        return {}
    latest = max(place["motor_installed_on"], place["device_installed_on"])
    pump = place["surge_risk"] == "yes"
    found = {
        "setting_recorded_on": _after(latest, rng, 20),
        "setting_recorded_by": rng.choice(PEOPLE),
        "fla_set_a": place["fla_a"],
        "device_overload_set_a": _round(place["fla_a"]),
        "device_trip_class": "20" if place["practice"] == "us" and place["load_kind"] == "crusher" else "10",
        "overload_reset": "manual",
        "comms_loss_action": rng.choice(("stop", "run on")),
    }
    if letter == "D":
        return found | {
            "start_mode": "direct",
            "ramp_s": float(rng.randrange(8, 25)),
            "stop_mode": "ramp",
            "current_limit_xfla": 1.5,
            "stop_ramp_s": float(rng.randrange(8, 25)),
        }
    mode = rng.choice(("current limit", "voltage ramp")) if letter == "B" else "current limit"
    mode = "current limit" if _heavy(place) else mode
    limit = rng.choice((3.5, 3.75, 4.0))
    return found | {
        "start_mode": mode,
        "initial_voltage_pct": 40.0 if mode == "voltage ramp" else None,
        "ramp_s": float(rng.randrange(6, 15)),
        "current_limit_xfla": 5.0 if _heavy(place) else limit,
        "stop_mode": "ramp for pumps" if pump else "coast",
        "stop_ramp_s": float(rng.randrange(10, 30)) if pump else None,
    }


def _way_round(letter: str, place: dict, rng: Random) -> dict[str, object]:
    needed = place["criticality"] == "critical" and place["standby"] == "none"
    if place["must_run_during_repair"] == "yes":
        arrangement = "three-contactor"
    elif needed:
        arrangement = rng.choice(("two-contactor", "standby starter", "three-contactor"))
    else:
        return {"bypass_arrangement": "internal only" if letter == "B" else "none"}
    eased = letter == "D" or place["surge_risk"] == "yes" or place["fragile_load"] == "yes"
    limited = {"bypass_start_mode": "current limit", "bypass_current_limit_xfla": 5.5 if _heavy(place) else 4.0}
    return (limited if eased else {}) | {
        "bypass_arrangement": arrangement,
        "bypass_starts_by": "soft starter" if eased else "across-the-line",
        "bypass_own_overload": "yes",
        "bypass_own_line_protection": "yes",
        "bypass_contactor_category": "AC-3",
        "bypass_contactor_a": float(rated_for(1.1 * place["fla_a"])),
        "bypass_isolated": "yes" if arrangement == "three-contactor" else None,
    }


def _control(letter: str, place: dict, rng: Random) -> dict[str, object]:
    scheme = rng.choice(("hardwired", "hardwired", "both", "network")) if letter in "BSD" else ("hardwired")
    return {
        "control_scheme": scheme,
        "hand_off_auto": "yes",
        "local_stop": "yes",
        "emergency_stop": "hardwired",
        "control_voltage_v": 120 if place["practice"] == "us" else 24,
        "control_current": "AC" if place["practice"] == "us" else "DC",
        "control_protocol": "Modbus RTU" if scheme != "hardwired" else None,
        # only where the stop is in sight and the overload is reset by hand
        "restarts_by_itself": "yes" if letter in "BSD" and rng.random() < 0.1 else "no",
    }


def _checks(place: dict, rng: Random) -> dict[str, object]:
    latest = max(place["motor_installed_on"], place["device_installed_on"])
    first = _after(latest, rng, 6)
    found = {
        "connections_verified_on": first,
        "safety_checks_on": first,
        "parameters_reviewed_on": first,
        "bump_test_on": first,
        "load_test_on": _after(first, rng, 4),
        "thermography_on": _day(rng, 20, 320),
        "trip_test_on": first,
        "insulation_test_on": first,
    }
    if place["letter"] not in "AYT":
        found["parameter_backup_on"] = _after(place["setting_recorded_on"], rng, 10)
    if place["bypass_arrangement"] not in ("none", "internal only"):
        found["bypass_test_on"] = _day(rng, 20, 160)
    return found


def _day(rng: Random, nearest: int, farthest: int) -> str:
    return (TODAY - timedelta(days=rng.randrange(nearest, farthest))).isoformat()


def _after(day: str, rng: Random, most: int) -> str:
    return (date.fromisoformat(day) + timedelta(days=rng.randrange(0, most + 1))).isoformat()


def _round(current: float) -> float:
    return round(current, 2 if current < 10 else 1)
