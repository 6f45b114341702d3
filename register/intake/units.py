"""Units as plants write them, converted into the register's own."""

from __future__ import annotations

import re
import unicodedata

from register.columns import Column
from register.columns.units import FACTORS, OFFSETS, PURE


def plain(text: str) -> str:
    """A unit as compared: `lb-ft²` and `LB.FT2` are one."""
    text = unicodedata.normalize("NFKC", text.replace("×", "x")).casefold()
    return re.sub(r"[\s.·*^°\-−]", "", text)


def conversion(column: Column, unit: str) -> tuple[float, float] | None:
    """(factor, offset) into the column's unit: value = (number + offset) × factor; or None."""
    key = plain(unit)
    if not key or key == plain(column.unit):
        return 1.0, 0.0
    table = FACTORS.get(column.unit, {}) if column.unit else PURE.get(column.name, {})
    factor = table.get(key)
    if factor is None:
        return None
    return float(factor), OFFSETS.get((column.unit, key), 0.0)


def converted(number: float, conversion: tuple[float, float]) -> float:
    """A number in the register's unit, to six figures when it was converted at all."""
    factor, offset = conversion
    if factor == 1.0 and offset == 0.0:
        return number
    return float(f"{(number + offset) * factor:.6g}")
