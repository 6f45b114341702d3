"""Believable motor nameplates, from the published tables.

The tables are kept here a second time, on purpose: the samples must not agree with the
program's own tables only because both were read from one file.
"""

from __future__ import annotations

import math
from random import Random

# hp: (full-load current at 460 V, NFPA 70 table 430.250; locked-rotor current at 460 V, table
# 430.251(B); efficiency % enclosed 2, 4, 6 poles, NEMA MG 1 table 12-12)
US = {
    1: (2.1, 15, 77.0, 85.5, 82.5),
    1.5: (3.0, 20, 84.0, 86.5, 87.5),
    2: (3.4, 25, 85.5, 86.5, 88.5),
    3: (4.8, 32, 86.5, 89.5, 89.5),
    5: (7.6, 46, 88.5, 89.5, 89.5),
    7.5: (11, 63.5, 89.5, 91.7, 91.0),
    10: (14, 81, 90.2, 91.7, 91.0),
    15: (21, 116, 91.0, 92.4, 91.7),
    20: (27, 145, 91.0, 93.0, 91.7),
    25: (34, 183, 91.7, 93.6, 93.0),
    30: (40, 218, 91.7, 93.6, 93.0),
    40: (52, 290, 92.4, 94.1, 94.1),
    50: (65, 363, 93.0, 94.5, 94.1),
    60: (77, 435, 93.6, 95.0, 94.5),
    75: (96, 543, 93.6, 95.4, 94.5),
    100: (124, 725, 94.1, 95.4, 95.0),
    125: (156, 908, 95.0, 95.4, 95.0),
    150: (180, 1085, 95.0, 95.8, 95.8),
    200: (240, 1450, 95.4, 96.2, 95.8),
}

# kW: efficiency % of class IE3, 50 Hz, 4 poles (IEC 60034-30-1, from memory)
# fmt: off
IEC = {
    0.75: 82.5, 1.5: 85.3, 2.2: 86.7, 3: 87.7, 4: 88.6, 5.5: 89.6, 7.5: 90.4, 11: 91.4, 15: 92.1,
    18.5: 92.6, 22: 93.0, 30: 93.6, 37: 93.9, 45: 94.2, 55: 94.6, 75: 95.0, 90: 95.2, 110: 95.4,
    132: 95.6,
}
# fmt: on

# Locked-rotor torque, % of full load, design B, 2, 4, 6 poles (NEMA MG 1 12.38.1, from memory)
# fmt: off
TORQUES = {
    1: (175, 275, 170), 1.5: (175, 250, 165), 2: (170, 235, 160), 3: (160, 215, 155),
    5: (150, 185, 150), 7.5: (140, 175, 150), 10: (135, 165, 150), 15: (130, 160, 140),
    20: (130, 150, 135), 25: (130, 150, 135), 30: (130, 150, 135), 40: (125, 140, 135),
    50: (120, 140, 135), 60: (120, 140, 135), 75: (105, 140, 135), 100: (105, 125, 125),
    125: (100, 110, 125), 150: (100, 110, 120), 200: (100, 100, 120),
}
# fmt: on

# Code letters by the lower limit of their band, kVA/hp (NFPA 70 table 430.7(B))
# fmt: off
CODE_LETTERS = (
    (3.15, "B"), (3.55, "C"), (4.0, "D"), (4.5, "E"), (5.0, "F"), (5.6, "G"), (6.3, "H"),
    (7.1, "J"), (8.0, "K"), (9.0, "L"), (10.0, "M"), (11.2, "N"), (12.5, "P"),
)
# fmt: on

# hp: starts an hour (A) and rest in s (C) of 4-pole motors (NEMA MG 10 table 2-3); 2 poles bear
# about half the starts and need twice the rest, 6 poles bear more
# fmt: off
STARTS = {
    1: (30, 38), 1.5: (25.7, 38), 2: (23, 39), 3: (19.8, 40), 5: (16.3, 42), 7.5: (13.9, 44),
    10: (12.5, 46), 15: (10.7, 50), 20: (9.6, 55), 25: (8.8, 58), 30: (8.2, 60), 40: (7.4, 65),
    50: (6.8, 72), 60: (6.3, 85), 75: (5.8, 90), 100: (5.2, 110), 125: (4.8, 140), 150: (4.5, 160),
    200: (4.0, 300),
}
# fmt: on

HP_KW = 0.745699872  # 550 ft·lbf/s
LB_FT2_KGM2 = 0.04214011


def us_nameplate(rng: Random, *, hp: float, poles: int, drive: bool) -> dict[str, object]:
    """A 460 V, 60 Hz, design B nameplate of `hp` horsepower."""
    _, locked_rotor_a, *efficiencies = US[hp]
    column = poles // 2 - 1
    efficiency = efficiencies[column]
    power_kw = round(hp * HP_KW, 4)
    power_factor = round(_power_factor(hp, poles) + rng.uniform(-0.01, 0.01), 2)
    current = _figures(_current(power_kw, 460, efficiency, power_factor))
    ratio = round(locked_rotor_a * rng.uniform(0.93, 0.99) / current, 2)
    return {
        "power_kw": power_kw,
        "motor_voltage_v": 460,
        "phases": 3,
        "motor_frequency_hz": 60,
        "poles": poles,
        "speed_rpm": _speed(60, poles, power_kw, rng),
        "fla_a": current,
        "service_factor": 1.15,
        "design_letter": "B",
        "code_letter": _letter(ratio * current * 460 * math.sqrt(3) / 1000 / hp),
        "locked_rotor_ratio": ratio,
        "locked_rotor_torque_pct": TORQUES[hp][column],
        "breakdown_torque_pct": 215 if hp < 10 else 200,
        "efficiency_pct": efficiency,
        "power_factor": power_factor,
        "insulation_class": "F",
        "temperature_rise_c": 80,
        "motor_enclosure": "TEFC",
        "inverter_duty": "yes" if drive else "no",
        **_thermal(rng, power_kw, poles),
    }


def iec_nameplate(rng: Random, *, kw: float, drive: bool) -> dict[str, object]:
    """A 400 V, 50 Hz, 4-pole, design N nameplate of `kw` kilowatts."""
    efficiency = IEC[kw]
    power_factor = round(_power_factor(kw / HP_KW, 4) + rng.uniform(-0.01, 0.01), 2)
    return {
        "power_kw": kw,
        "motor_voltage_v": 400,
        "phases": 3,
        "motor_frequency_hz": 50,
        "poles": 4,
        "speed_rpm": _speed(50, 4, kw, rng),
        "fla_a": _figures(_current(kw, 400, efficiency, power_factor)),
        "service_factor": 1.0,
        "design_letter": "N",
        "locked_rotor_ratio": round(rng.uniform(6.2, 7.6), 1),
        "locked_rotor_torque_pct": 230 if kw < 22 else 210,
        "breakdown_torque_pct": 270,
        "efficiency_pct": efficiency,
        "power_factor": power_factor,
        "insulation_class": "F",
        "temperature_rise_c": 80,
        "duty_type": "S1",
        "motor_enclosure": "IP55",
        "inverter_duty": "yes" if drive else "no",
        **_thermal(rng, kw, 4),
    }


def inertia_limit_kgm2(*, hp: float, speed_rpm: float) -> float:
    """The largest load inertia that the formula of NEMA MG 1 12.54 allows."""
    factor = 27 if speed_rpm > 1800 else 24
    speed = speed_rpm / 1000
    wk2 = factor * hp**0.95 / speed**2.4 - 0.0685 * hp**1.5 / speed**1.8
    return wk2 * LB_FT2_KGM2


def starts_and_rest(*, hp: float, poles: int, inertia_ratio: float) -> tuple[float, float]:
    """Starts an hour that such a motor bears, a little on the safe side, and the rest in s."""
    nearest = min(STARTS, key=lambda size: abs(size - hp))
    starts, rest = STARTS[nearest]
    if poles == 2:
        starts, rest = starts / 2, rest * 2
    return 0.95 * min(starts, 1 / inertia_ratio), rest


def _current(power_kw: float, volts: float, efficiency_pct: float, power_factor: float) -> float:
    return power_kw * 1e5 / (math.sqrt(3) * volts * efficiency_pct * power_factor)


def _power_factor(hp: float, poles: int) -> float:
    # typical at full load: 0.76 at 1 hp to 0.87 at 200 hp with 4 poles
    return 0.775 + 0.041 * math.log10(hp) + {2: 0.03, 4: 0.0, 6: -0.03}[poles]


def _speed(frequency: float, poles: int, power_kw: float, rng: Random) -> float:
    slip = 0.036 / (1 + power_kw) ** 0.28 * rng.uniform(0.9, 1.1)
    return float(5 * round(120 * frequency / poles * (1 - slip) / 5))


def _letter(kva_per_hp: float) -> str:
    return [letter for low, letter in CODE_LETTERS if kva_per_hp >= low][-1]


def _figures(current: float) -> float:
    return round(current, 2 if current < 10 else 1 if current < 100 else 0)


def _thermal(rng: Random, power_kw: float, poles: int) -> dict[str, object]:
    hot = round(rng.uniform(14, 24))
    return {
        "hot_stall_s": hot,
        "cold_stall_s": round(hot * rng.uniform(1.3, 1.6)),
        "rotor_inertia_kgm2": float(f"{0.00023 * power_kw**1.25 * poles**2:.3g}"),
    }
