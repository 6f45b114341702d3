"""Values as people read them: sensible digits, with their unit."""

from __future__ import annotations

from math import isinf
from typing import Any

# Mechanical horsepower, 550 ft·lbf/s: NIST SP 811 (2008), appendix B.8.
KW_PER_HP = 0.745_699_871_582_270_22

UNKNOWN = "unknown"
_DIGITS = 4


def number(value: float) -> str:
    """Four digits, more where they stand before the decimal point; never an exponent.

    >>> number(81.25), number(1 / 3), number(123456.7), number(90.0), number(0.00012)
    ('81.25', '0.3333', '123457', '90', '0.00012')
    """
    if value == 0:
        return "0"
    whole = len(str(int(abs(value)))) if abs(value) >= 1 else 0
    text = f"{value:.{_DIGITS}g}" if whole <= _DIGITS else f"{value:.0f}"
    if "e" in text:
        text = f"{value:.12f}".rstrip("0")
    return text


def shown(value: Any, unit: str = "") -> str:
    """A value with its unit; text as it stands; a missing one as `unknown`.

    >>> shown(90.0, "A"), shown(6.5, "×FLA"), shown(14.0, "1/h"), shown(None, "A"), shown("belt")
    ('90 A', '6.5 × FLA', '14 an hour', 'unknown', 'belt')
    """
    if value is None:
        return UNKNOWN
    if isinstance(value, str):
        return value
    if isinf(value):
        return "no limit"
    if unit == "1/h":
        return f"{number(value)} an hour"
    return f"{number(value)} {unit.replace('×', '× ')}".rstrip()
