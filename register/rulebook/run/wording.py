"""The values of columns in words, with the dictionary's units."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from typing import Any

from register import columns
from register.columns.units import power
from register.text import UNKNOWN, shown

__all__ = ["UNKNOWN", "in_sentences", "of_column", "quoted", "shown"]


def of_column(name: str, value: Any) -> str:
    """The value of a column, with the column's unit."""
    return shown(value, columns.COLUMNS[name].unit)


def quoted(name: str, value: Any) -> str:
    """The same, with text in quotes, as it stands in a predicate."""
    return f"'{value}'" if isinstance(value, str) else of_column(name, value)


def in_sentences(values: Mapping[str, Any], practice: str | None) -> dict[str, str]:
    """Values as a finding tells them: what was entered in full, what was computed to three digits.

    Where three digits would make two different values look alike, all keep their digits.
    """
    rough = {name: _rough(name, value, practice) for name, value in values.items()}
    if len(set(rough.values())) == len(rough):
        return rough
    exact = {name: _rough(name, value, practice, digits=6) for name, value in values.items()}
    alike = len(set(rough.values())) < len(set(exact.values()))
    return {name: of_column(name, value) for name, value in values.items()} if alike else rough


def _rough(name: str, value: Any, practice: str | None, digits: int = 3) -> str:
    column = columns.COLUMNS[name]
    if name.endswith("power_kw") and practice == "us":
        return power(value, practice)
    if column.origin != "derived" or not isinstance(value, float) or not isfinite(value):
        return of_column(name, value)
    if column.unit == "%" and 0 <= value < 1:
        return "under 1 %"
    return shown(float(f"{value:.{digits}g}"), column.unit)
