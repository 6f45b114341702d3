"""Values as people write them: sensible digits, with their unit."""

from __future__ import annotations

from typing import Any

from register import columns

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


def with_unit(value: Any, unit: str) -> str:
    """A value with its unit; `unknown` for None.

    >>> with_unit(90.0, "A"), with_unit(6.5, "×FLA"), with_unit(None, "A"), with_unit("belt", "")
    ('90 A', '6.5 × FLA', 'unknown', 'belt')
    """
    if value is None:
        return UNKNOWN
    if isinstance(value, str):
        return value
    return f"{number(value)} {unit.replace('×', '× ')}".rstrip()


def of_column(name: str, value: Any) -> str:
    """The value of a column, with the column's unit."""
    return with_unit(value, columns.FACTS[name].unit)


def quoted(name: str, value: Any) -> str:
    """The same, with text in quotes, as it stands in a predicate."""
    return f"'{value}'" if isinstance(value, str) else of_column(name, value)
