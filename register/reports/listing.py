"""Lists in a terminal: the history of a position."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from register import columns
from register.reports.terminal import number, table, titled


def history(tag: str, entries: Iterable[Any]) -> RenderableType:
    """Who changed what at a position, when and why, oldest first."""
    made = table("When", "What", "Change", "Who and why")
    for entry in entries:
        if entry.column:
            unit = columns.column(entry.column).unit
            what = entry.column
            change = f"{_shown(entry.before, unit)} → {_shown(entry.after, unit)}"
        else:
            what = f"{entry.table} {entry.row_key}"
            change = {"insert": "entered", "delete": "removed"}[entry.action]
        why = ": ".join(part for part in (entry.author, entry.reason) if part)
        made.add_row(entry.at[:10], what, change, why)
    return titled(f"History of {tag}", Group(made))


def _shown(value: Any, unit: str) -> Text | str:
    return value if isinstance(value, str) else number(value, unit)
