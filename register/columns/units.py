"""Units: what each measures, and the spellings in which plants write them.

Factors: NIST SP 811 (2008), appendix B; horsepower is the mechanical one (550 ft·lbf/s).
"""

from __future__ import annotations

KW_PER_HP = 0.745_699_871_582_270_22
FOOT_M = 0.3048
LB_FT2 = 0.45359237 * FOOT_M**2

# fmt: off
# Symbol → powers of base symbols, and its size in them. VA stays apart from W and var: they add
# as vectors and not as numbers.
SYMBOLS: dict[str, tuple[dict[str, float], float]] = {
    "": ({}, 1), "×FLA": ({}, 1), "%": ({}, 0.01),
    "A": ({"A": 1}, 1), "kA": ({"A": 1}, 1e3), "V": ({"V": 1}, 1), "ohm": ({"V": 1, "A": -1}, 1),
    "kVA": ({"V": 1, "A": 1}, 1e3), "MVA": ({"V": 1, "A": 1}, 1e6), "kvar": ({"var": 1}, 1e3),
    "W": ({"W": 1}, 1), "kW": ({"W": 1}, 1e3), "hp": ({"W": 1}, 1e3 * KW_PER_HP),
    "kWh": ({"W": 1, "s": 1}, 3.6e6),
    "s": ({"s": 1}, 1), "h": ({"s": 1}, 3600), "min": ({"s": 1}, 60), "d": ({"s": 1}, 86400),
    "a": ({"s": 1}, 31557600), "Hz": ({"s": -1}, 1), "r": ({}, 1),
    "m": ({"m": 1}, 1), "km": ({"m": 1}, 1e3), "kg": ({"kg": 1}, 1), "m²": ({"m": 2}, 1),
    "K": ({"K": 1}, 1), "°C": ({"°C": 1}, 1), "currency": ({"currency": 1}, 1),
}
# Spelling → factor into the dictionary's unit; of a column without unit, by its name.
FACTORS: dict[str, dict[str, float]] = {
    "kW": {"kw": 1, "w": 1e-3, "mw": 1e3, "hp": KW_PER_HP, "bhp": KW_PER_HP, "ps": 0.73549875,
           "cv": 0.73549875, "horsepower": KW_PER_HP, "ch": 0.73549875, "pk": 0.73549875},
    "V": {"v": 1, "kv": 1e3, "vac": 1, "vdc": 1, "volts": 1, "volt": 1, "vrms": 1},
    "A": {"a": 1, "ka": 1e3, "ma": 1e-3, "amps": 1, "amp": 1, "ampere": 1, "amperes": 1, "arms": 1},
    "kA": {"ka": 1, "k": 1, "a": 1e-3, "kaic": 1, "karms": 1, "kasym": 1},
    "r/min": {"rpm": 1, "r/min": 1, "min1": 1, "1/min": 1, "rev/min": 1, "rps": 60, "u/min": 1,
              "tr/min": 1, "trs/min": 1, "tr/mn": 1, "giri/min": 1, "g/min": 1, "omw/min": 1, "tpm": 1, "r/m": 1,
              "r.p.m": 1},
    "Hz": {"hz": 1, "cps": 1, "cycles": 1, "~": 1},
    "m": {"m": 1, "km": 1e3, "cm": 0.01, "mm": 1e-3, "ft": FOOT_M, "feet": FOOT_M, "foot": FOOT_M,
          "'": FOOT_M, "yd": 0.9144, "meters": 1, "metres": 1, "meter": 1, "metre": 1},
    "kg·m²": {"kgm2": 1, "lbft2": LB_FT2, "lbsft2": LB_FT2, "gd2": 0.25, "kgcm2": 1e-4,
              "lbin2": LB_FT2 / 144, "ftlb2": LB_FT2},
    "K": {"k": 1, "c": 1, "degc": 1, "f": 5 / 9, "degf": 5 / 9},
    "°C": {"c": 1, "degc": 1, "celsius": 1, "f": 5 / 9, "degf": 5 / 9, "fahrenheit": 5 / 9},
    "s": {"s": 1, "sec": 1, "secs": 1, "seconds": 1, "min": 60, "mins": 60, "minutes": 60,
          "ms": 1e-3, "h": 3600, "hr": 3600},
    "min": {"min": 1, "mins": 1, "minutes": 1, "s": 1 / 60, "sec": 1 / 60, "h": 60, "hr": 60,
            "hrs": 60, "hours": 60},
    "h": {"h": 1, "hr": 1, "hrs": 1, "hours": 1, "std": 1, "uur": 1, "ore": 1, "horas": 1, "heures": 1, "stunden": 1, "min": 1 / 60, "d": 24, "days": 24,
          "hr/yr": 1, "h/a": 1, "h/yr": 1, "hrs/yr": 1},
    "d": {"d": 1, "day": 1, "days": 1, "wk": 7, "wks": 7, "week": 7, "weeks": 7},
    "a": {"a": 1, "y": 1, "yr": 1, "yrs": 1, "year": 1, "years": 1},
    "%": {"pu": 100, "fraction": 100, "%fla": 1, "pct": 1, "percent": 1, "%": 1},
    "%/K": {"%/k": 1, "%/c": 1, "%/degc": 1}, "%/100 m": {"%/100m": 1},
    "kVA": {"kva": 1, "mva": 1e3, "va": 1e-3}, "MVA": {"mva": 1, "kva": 1e-3, "gva": 1e3},
    "kvar": {"kvar": 1, "kvars": 1, "var": 1e-3, "mvar": 1e3},
    "ohm/km": {"ohm/km": 1, "ω/km": 1, "mohm/m": 1, "ohm/kft": 1 / FOOT_M, "ω/kft": 1 / FOOT_M,
               "ohm/1000ft": 1 / FOOT_M, "ω/1000ft": 1 / FOOT_M, "ohms/km": 1,
               "ohms/1000ft": 1 / FOOT_M, "ohm/mile": 1 / 1.609344},
    "1/h": {"1/h": 1, "/h": 1, "/hr": 1, "perhour": 1, "perhr": 1, "starts/hr": 1, "starts/h": 1,
            "starts": 1, "/std": 1, "/uur": 1, "/ora": 1, "/hora": 1, "/heure": 1, "/day": 1 / 24, "perday": 1 / 24, "1/d": 1 / 24, "hr": 1, "h": 1},
    "×FLA": {"x": 1, "xfla": 1, "xin": 1, "xflc": 1, "times": 1, "pu": 1, "%": 0.01, "%fla": 0.01,
             "xfl": 1, "fla": 1},
    "currency": {"$": 1, "€": 1, "£": 1, "usd": 1, "eur": 1, "each": 1},
}
# fmt: on
PURE: dict[str, dict[str, float]] = {
    "power_factor": {"%": 0.01, "pu": 1, "lag": 1, "lagging": 1},
    "service_factor": {"%": 0.01, "sf": 1},
    "poles": {"p": 1, "pole": 1, "poles": 1},
    "phases": {"ph": 1, "phase": 1, "phases": 1, "~": 1, "ø": 1, "φ": 1, "phs": 1},
}
OFFSETS = {("°C", "f"): -32.0, ("°C", "degf"): -32.0, ("°C", "fahrenheit"): -32.0}

# A bare number under a heading without a unit could be either; on an IEC plant it is the second.
RIVALS = {"kW": ("hp", "kW"), "m": ("ft", "m"), "kg·m²": ("lb·ft²", "kg·m²"), "°C": ("°F", "°C")}

# Units that may be a plain word in a heading; the others (min, h, in, a) are words as well.
IN_A_HEADING = set(
    ["hp", "bhp", "kw", "mw", "kva", "mva", "kvar", "kv", "ka", "rpm", "hz", "ft", "gd2", "lbft2", "kgm2", "horsepower"]
)


def power(power_kw: float | None, practice: str | None) -> str:
    """Return a motor's power as the site's practice has it: horsepower first where that is `us`.

    >>> power(3.72850, "us"), power(3.7, "iec"), power(None, "us")
    ('5 hp (3.73 kW)', '3.7 kW', 'unknown')
    """
    if power_kw is None:
        return "unknown"
    kw = f"{power_kw:.4g}" if power_kw < 1e4 else f"{power_kw:.0f}"
    return f"{power_kw / KW_PER_HP:.3g} hp ({power_kw:.3g} kW)" if practice == "us" else f"{kw} kW"
