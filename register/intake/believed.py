"""Whether a number can be one of its column: by its range, and by the units that plants leave out."""

from __future__ import annotations

from register.columns import Column
from register.columns.units import PURE, RIVALS


def believable(value: float, column: Column) -> bool:
    """True for a number within its column's range; a side without a limit is open."""
    return (column.low is None or value >= column.low) and (column.high is None or value <= column.high)


def has_rival(column: Column, practice: str) -> bool:
    """True for a column whose numbers, typed without a unit, may be in another one: hp or kW."""
    return column.unit in RIVALS and practice != "iec"


def as_share(value: float, unit: str, column: Column) -> tuple[float, str]:
    """93 % written 0.93, or a power factor of 0.85 written 85, where only that can be believed."""
    if column.unit == "%" and 0 < value <= 1.5 and believable(100 * value, column):
        return float(f"{100 * value:.9g}"), "fraction"
    if column.name in PURE and "%" in PURE[column.name] and believable(value / 100, column):
        return float(f"{value / 100:.9g}"), "%"
    return value, unit
