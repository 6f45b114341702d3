"""Actions in a terminal: who does what by when, and whether what was closed helped."""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from register.audit.actions import PRESSING, STATES, Followed
from register.audit.outline import Outline
from register.reports.terminal.hint import command
from register.reports.terminal.layout import titled


def section(report: Outline) -> RenderableType | None:
    """The actions of an audit that someone has to look at; None if there are none at all."""
    if not report.actions:
        return None
    pressing = [a for a in report.actions if a.state in PRESSING]
    rest = len(report.actions) - len(pressing)
    note = Text(f"{rest} more closed and settled: {command('actions', 'list')}.", style="dim")
    parts = _groups(pressing) + ([note] if rest else [])
    return titled("Actions", Group(*parts))


def table_of(found: Iterable[Followed]) -> RenderableType:
    """Every action, grouped by its state, the most pressing first."""
    found = list(found)
    if not found:
        return Text("Nothing was assigned. startroll actions assign gives a finding to someone.")
    return Group(*_groups(found))


def _groups(found: list[Followed]) -> list[RenderableType]:
    parts: list[RenderableType] = []
    for state in sorted({a.state for a in found}, key=STATES.index):
        group = [a for a in found if a.state == state]
        parts.append(Text(f"{state[:1].upper()}{state[1:]}: {len(group)}", style="bold"))
        parts += [_line(action) for action in group]
    return parts


def _line(action: Followed) -> RenderableType:
    head = Text()
    head.append(f"{action.action_id:>3}  ")
    head.append(action.at, style="bold")
    head.append(f"  {action.rule}")
    said = [f"{action.assigned_to}: {action.why}."]
    said += [f"To do: {action.task}"] if action.task else []
    said += [f"Evidence: {action.evidence}"] if action.evidence else []
    return Group(head, Padding(Text("\n".join(said)), (0, 0, 0, 5), expand=False))
