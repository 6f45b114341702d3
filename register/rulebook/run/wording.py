"""The values of columns in words, with the dictionary's units."""

from __future__ import annotations

from typing import Any

from register import columns
from register.text import UNKNOWN, shown

__all__ = ["UNKNOWN", "of_column", "quoted", "shown"]


def of_column(name: str, value: Any) -> str:
    """The value of a column, with the column's unit."""
    return shown(value, columns.COLUMNS[name].unit)


def quoted(name: str, value: Any) -> str:
    """The same, with text in quotes, as it stands in a predicate."""
    return f"'{value}'" if isinstance(value, str) else of_column(name, value)
