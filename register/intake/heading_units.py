"""The unit that a heading names: in brackets, behind a comma, at its end, or under the stroke of `Pn/kW`."""

from __future__ import annotations

import re
from functools import cache, lru_cache

from register.columns import COLUMNS, TABLES, Column
from register.columns.units import FACTORS, IN_A_HEADING, PURE
from register.intake.mapping import Answer
from register.intake.units import conversion, plain

NAMES = {"tag", "bus", "area", "description", "motor", "device", "model"}  # what no unit stands behind
_AT_VOLTS = re.compile(r"@\s*\d+\s*(?:V|v|kV)?")
_BEHIND_A_STROKE = re.compile(r"(?<=[\w.)])\s*/\s*(?:A|V|kV|kA|kW|W|MW|Hz|kvar|kVA|MVA|mm2|mm²|m|s|°C|kgm2|kgm²)$")
_TRAILING_UNIT = re.compile(
    r"(?<=[\w.)])[\s_,]+(?:A|V|kV|kA|KA|kW|KW|W|MW|HP|hp|Hp|PS|CV|cv|ch|CH|pk|Hz|HZ|s|sec|m|mm2|mm²|ft|rpm|RPM|%|°C"
    r"|h|min-1|1/min|tr/min|U/min|kvar|kVA|MVA|min)$"
)


@cache
def fillable() -> tuple[Column, ...]:
    """Every column that a list can fill."""
    own = tuple(c for t in TABLES.values() for c in t.columns if c.origin != "internal")
    return own + tuple(c for c in COLUMNS.values() if c.table == "record" and c not in own)


def is_unit(*texts: str) -> bool:
    """True where all texts are units."""
    return all(plain(text) in _units() for text in texts)


@cache
def _units() -> frozenset[str]:
    return frozenset(plain(u) for table in (*FACTORS.values(), *PURE.values()) for u in table) | {"mm2", "cosphi"}


@lru_cache(maxsize=8192)  # a list says one thing in many cells
def split(text: str) -> tuple[str, tuple[str, ...]]:
    """A heading without its brackets, and the texts that may be its unit."""
    units = re.findall(r"[(\[]([^)\]]*)[)\]]", text)
    base = re.sub(r"[(\[][^)\]]*[)\]]", " ", text).strip()
    tail = re.search(r"(?:,\s*|\s+in\s+|\s+-\s+)([^\s,]+(?:[\s·.-][^\s,]+)?)$", base)
    if tail and any(conversion(c, tail[1]) for c in fillable() if c.unit):
        units.append(tail[1])
        base = base[: tail.start()].strip()
    units += [word for word in re.split(r"[\s_]+", base) if plain(word) in IN_A_HEADING]
    if tail := _unit_behind(base):
        units.append(tail[0].strip(" _,/"))
    return base, tuple(units)


def _unit_behind(base: str) -> re.Match[str] | None:
    """The unit at the end of a heading: `Power kW`, and `Pn/kW` as ISO 80000 heads a table; not that of `HP/kW`."""
    base = _AT_VOLTS.sub(" ", base).strip()
    stroke = _BEHIND_A_STROKE.search(base)
    return stroke if stroke and not is_unit(base[: stroke.start()]) else _TRAILING_UNIT.search(base)


def without_unit(base: str) -> str:
    """A heading without the unit at its end."""
    tail = _unit_behind(base)
    return _AT_VOLTS.sub(" ", base).strip()[: tail.start() if tail else None].strip()


def unit_of(text: str, column: Column, answer: Answer) -> str:
    """The unit that a heading names, or that was answered."""
    if answer.unit:
        return answer.unit
    _, units = split(text)
    return next((u for u in units if u.strip() and _is_unit(u, column)), "")


def _is_unit(text: str, column: Column) -> bool:
    return (bool(column.unit) or column.is_number) and conversion(column, text) is not None


def fits(text: str, column: Column) -> bool:
    """False when the heading names a unit, and one of another quantity than the column's."""
    _, units = split(text)
    units = tuple(u for u in units if u.strip() and not re.search(r"\d\s*[A-Za-z]", u))
    if not units or (not column.unit and column.name not in NAMES) or any(_is_unit(u, column) for u in units):
        return True
    return not any(_is_unit(u, other) for u in units for other in fillable() if other.unit)
