"""The invented catalogue: one family of starting devices for each way of starting."""

from __future__ import annotations

STEPS_A = (3, 5, 8, 12, 18, 25, 32, 40, 50, 65, 80, 95, 115, 150, 185, 225, 265, 330)
STANDARD_A = (
    15,
    20,
    25,
    30,
    35,
    40,
    45,
    50,
    60,
    70,
    80,
    90,
    100,
    110,
    125,
    150,
    175,
    200,
    225,
    250,
    300,
    350,
    400,
    450,
    500,
    600,
    700,
    800,
)  # NFPA 70-2023, 240.6(A)
SMALL_FUSES_A = (1, 3, 6, 10)  # the same paragraph, for fuses
GG_A = (6, 10, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630)
LONGEST_WITHOUT_FILTER_M = 60

# letter: kind, run path, maker, family; the letters are those of the scenes
FAMILIES = {
    "A": ("across-the-line", "contactor", "Stellick", "STK-L"),
    "Y": ("star-delta", "contactor", "Stellick", "STK-Y"),
    "T": ("autotransformer", "contactor", "Stellick", "STK-T"),
    "B": ("soft starter", "internal bypass", "Ondrava", "ONV-B"),
    "S": ("soft starter", "solid state", "Ondrava", "ONV-S"),
    "D": ("drive", "solid state", "Kesterlin", "KES-V"),
}


def model(letter: str, rated_a: float, *, practice: str) -> dict[str, object]:
    """The catalogue entry of a family at one rated current."""
    kind, path, maker, family = FAMILIES[letter]
    us = practice == "us"
    return {
        "model": f"{family}{rated_a:03d}{'' if us else 'E'}",
        "model_maker": maker,
        "device_kind": kind,
        "power_path": path,
        "rated_current_a": rated_a,
        "voltage_min_v": 380 if us else 340,
        "voltage_max_v": 528 if us else 440,
        "short_circuit_rating_ka": 65 if us else 50,
        "line_protection_kind": "fuse" if letter == "S" else "fuse or breaker",
        "fuse_class_required": "any",
        "line_protection_max_a": _next(STANDARD_A, 2.2 * rated_a) if us else _next(GG_A, 1.9 * rated_a),
        "coordination_type": "type 2",
        "device_control_voltage_v": 120 if us else 24,
        "device_control_current": "AC" if us else "DC",
        "device_enclosure": "NEMA 1A" if us else "IP20",
        "ambient_max_c": 50,
        "derate_above_c": 40,
        "derate_pct_per_c": 2,
        "altitude_max_m": 2000,
        "derate_above_m": 1000,
        "derate_pct_per_100m": 1,
        "device_slash": "no",
        "lifecycle": "current",
        "price": round((140 if letter in "AYT" else 420) * rated_a**0.62),
        "lead_time_days": 21 if letter in "AYT" else 56,
        "life_years": 25 if letter in "AYT" else 15,
        **_more(letter, rated_a, power_v=460 if us else 400),
        **(_contactors() if letter in "AYT" else _electronics(letter, rated_a)),
        **({"lifecycle": "withdrawn", "successor": f"STK-R{rated_a:03d}"} if letter == "T" else {}),
    }


def rated_for(current_a: float) -> int:
    """The smallest step of the families that carries `current_a`."""
    return next(step for step in STEPS_A if step >= current_a)


def standard_size(current_a: float, *, practice: str, fuse: bool) -> float:
    """The next standard rating of line protection at or above `current_a`."""
    if practice == "iec":
        return _next(GG_A, current_a)
    return _next(SMALL_FUSES_A * fuse + STANDARD_A, current_a)


def _more(letter: str, rated_a: float, *, power_v: int) -> dict[str, object]:
    """What its maker's list says of a device besides."""
    found: dict[str, object] = {
        "device_power_kw": float(f"{0.62 * rated_a:.3g}"),
        "device_power_v": power_v,
        "frequency_min_hz": 47,
        "frequency_max_hz": 63,
        "semiconductor_fuse_required": "yes" if letter == "S" else "no",
    }
    if letter in "AYT":
        found["electrical_life_ops"] = 1.2e6
    if letter == "D":
        found |= {"motor_cable_max_m": LONGEST_WITHOUT_FILTER_M, "input_current_a": round(0.95 * rated_a, 1)}
        found |= {"normal_duty_a": float(rated_a), "heavy_duty_a": float(rated_a)}
    return found


def _contactors() -> dict[str, object]:
    return {
        "device_overload": "none",
        "utilization_category": "AC-3",
        "starts_per_hour_max": 60,
        "start_modes": "direct",
    }


def _electronics(letter: str, rated_a: float) -> dict[str, object]:
    shared = {
        "device_overload": "built in",
        "overload_min_a": round(0.35 * rated_a, 1),
        "overload_max_a": float(rated_a),
        "trip_classes": "10, 20, 30",
        "current_limit_min_xfla": 1.5,
        "current_limit_max_xfla": 5,
        "protocols": "Modbus RTU, EtherNet/IP",
    }
    own = {
        "B": {
            "duty_code": "AC-53b: 3.5-15 : 345",
            "utilization_category": "AC-53b",
            "starts_per_hour_max": 10,
            "start_modes": "voltage ramp, current limit",
        },
        "S": {
            "duty_code": "AC-53a: 3.5-15 : 75-30",
            "utilization_category": "AC-53a",
            "start_modes": "voltage ramp, current limit, torque ramp",
        },
        "D": {"start_modes": "direct", "current_limit_min_xfla": 0.5, "current_limit_max_xfla": 1.8},
    }[letter]
    return shared | own


def _next(sizes: tuple[int, ...], current_a: float) -> float:
    return float(next(size for size in sizes if size >= current_a))
