"""Numbers as people read them: with a unit, in as many digits as carry meaning."""

from __future__ import annotations

from typing import Any


def shown(value: Any, unit: str = "") -> str:
    """A value with its unit; text as it stands; a missing one as `unknown`.

    >>> shown(81.25, "A"), shown(None, "A"), shown("belt"), shown(1800.0, "r/min")
    ('81.25 A', 'unknown', 'belt', '1800 r/min')
    """
    if value is None:
        return "unknown"
    if isinstance(value, str):
        return value
    number = float(f"{value:.4g}") if abs(value) < 10_000 else round(value)
    text = f"{number:.10g}"
    return f"{text} {unit}".strip()
