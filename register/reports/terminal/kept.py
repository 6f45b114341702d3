"""The audits that were kept, in a terminal."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from register.audit.outline import GRADES
from register.reports.terminal.hint import command
from register.reports.terminal.layout import table


def listed(known: Iterable[Any]) -> RenderableType:
    """One line an audit, oldest first."""
    known = list(known)
    if not known:
        return Text("No audit was kept. startroll audit --keep keeps one.")
    made = table("No ", "Judged as on", "positions ", "failed ", "can't tell ", "Rules", "Kept by")
    for audit in known:
        counts = [sum(audit.counts[g][o] for g in GRADES) for o in ("failed", "cant-tell")]
        made.add_row(
            str(audit.audit_id),
            audit.today,
            str(audit.scope["positions"]),
            *map(str, counts),
            audit.pack_hash[:8],
            audit.made_by,
        )
    note = f"{command('audits', 'NO')} shows one again; {command('compare', 'NO', 'NO')} compares two."
    return Group(made, Text(note, style="dim"))
