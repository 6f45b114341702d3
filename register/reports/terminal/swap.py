"""A swap in a terminal: what was done, what has to be done before the load is handed back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from register.audit.report import read_at
from register.reports.terminal.layout import indented
from register.reports.terminal.report import few, prose, table, titled

CAUTION = """\
Isolate, lock out and prove dead before hands go in: line, control supply and the bypass; a
failed device may pass voltage though it says stopped. At the first energising the panel is closed
and nobody stands before it or near the machine; heed the arc-flash label. Rotation is proved
uncoupled where a wrong turn does harm. Guard against a start that nobody asked for. Local codes and
licensed practice come first."""


def swapped(made: Any) -> RenderableType:
    """Each step, then what is outstanding, in the order in which it matters."""
    did = "Would be done, nothing has been changed" if made.dry else "Done"
    parts: list[RenderableType] = [Text(f"Swap at {made.tag}", style="bold"), titled(did, indented(made.steps))]
    if made.repeated:
        title = "To be repeated, before the load is handed back"
        parts.append(titled(title, _table(made.repeated)))
    failed = [o for o in made.new if o.outcome == "failed"]
    if failed:
        parts.append(titled("Failed since this device was installed", _table(failed)))
    unread = [o for o in made.new if o.to_read]
    if unread:
        parts.append(titled("Data to collect and enter", _fields(unread)))
    if made.unchanged:
        parts.append(titled("Open before, and still", _stayed(made.unchanged)))
    parts.append(titled("Caution", prose(CAUTION)))
    return Group(*parts)


def _table(owed: Iterable[Any]) -> RenderableType:
    made = table("Grade", "What it is")
    for o in owed:
        read = f"Can't tell: read {', '.join(o.to_read)}."
        told = f"{o.title}. {o.sentence or read}"
        made.add_row(o.grade, Text(told))
    return made


def _fields(owed: Iterable[Any]) -> RenderableType:
    waiting = Counter(name for o in owed for name in o.to_read)
    made = table("Field to read", "verdicts ", "where it is read")
    for name, count in waiting.most_common():
        made.add_row(name, str(count), read_at(name))
    return made


def _stayed(owed: Iterable[Any]) -> RenderableType:
    majors = [o for o in owed if o.grade == "major" and o.outcome == "failed"]
    parts: list[RenderableType] = [_table(majors)] if majors else []
    others = tuple(o.rule for o in owed if o not in majors)
    if others:
        parts.append(Text(f"Unknown, or of a lower grade: {few(others, most=4)}."))
    return Group(*parts)
