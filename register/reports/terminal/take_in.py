"""What a list would bring, or brought: in a terminal."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from register import columns
from register.reports.terminal.layout import table, titled
from register.text import shown

if TYPE_CHECKING:
    from register.errors import Problem

MOST = 15
ENDS = ("taken", "unchanged", "asked", "refused", "set aside", "not a value")
CORRECT_IT = "Correct these in the list and take it in again; --refused FILE.xlsx writes them to a sheet of their own."


def plan(plan: Any, applied: Any | None, *, most: int | None = MOST) -> RenderableType:
    """The plan: counts by table, old → new, refusals, questions; `applied` None for a dry run."""
    parts: list[RenderableType] = [_counts(plan, applied)]
    if plan.renamed:
        parts.append(
            titled("Serials now known", _lines([f"{table_} {old} is {new}" for table_, old, new in plan.renamed], most))
        )
    if plan.changed:
        parts.append(_changed(plan, most))
    if plan.refused:
        refused = _problems([r.problem() for r in plan.refused], most)
        parts.append(titled(f"Refused: {len(plan.refused)}", Group(refused, Text(CORRECT_IT, style="dim"))))
    if plan.doubts:
        parts.append(
            titled(
                f"Questions, left out until answered: {len(plan.doubts)}",
                _problems([d.problem() for d in plan.doubts], None),
            )
        )
    if plan.notes:
        parts.append(titled("Noted", _lines(list(plan.notes), most)))
    return Group(*parts)


def _counts(plan: Any, applied: Any | None) -> RenderableType:
    made = table("Table", "added ", "changed ", "unchanged ")
    for name, counts in plan.counts().items():
        made.add_row(name, *(str(counts[k]) for k in ("added", "changed", "unchanged")))
    skipped = ", ".join(f"{count} {what}" for what, count in sorted(plan.skipped.items()) if count)
    title = f"Taken in, change-set {applied.change_set}" if applied else "The plan; nothing has been changed"
    note = Text(f"Passed over: {skipped}." if skipped else "No row was passed over.", style="dim")
    return titled(title, Group(made, note, *_cells(plan)))


def _cells(plan: Any) -> list[RenderableType]:
    """How the filled cells end: one line for all sheets, and a table where there are several."""
    total: Counter[str] = sum(plan.cells.values(), Counter())
    if not total:
        return []
    ends = [end for end in ENDS if total[end]]
    line = Text(f"{total.total()} cells: {', '.join(f'{total[end]} {end}' for end in ends)}.", style="dim")
    if len(plan.cells) < 2:
        return [line]
    made = table("Sheet", *(f"{end} " for end in ends))
    for name, cells in plan.cells.items():
        made.add_row(name, *(str(cells[end]) for end in ends))
    return [line, made]


def _changed(plan: Any, most: int | None) -> RenderableType:
    overwritten = [c for c in plan.changed if c.before is not None]
    filled = len(plan.changed) - len(overwritten)
    lines = [Text(f"{filled} blank{' is' if filled == 1 else 's are'} filled.", style="dim")] if filled else []
    made = table("Row", "Column", "old → new", "from")
    for change in overwritten[:most]:
        unit = columns.column(change.column).unit
        values = f"{shown(change.before, unit)} → {shown(change.after, unit)}"
        key = " ".join(map(str, change.key))
        made.add_row(f"{change.table} {key}", change.column, values, change.place)
    if overwritten:
        lines.append(made)
    return titled("Changed", Group(*lines, *_left(len(overwritten), most)))


def _problems(problems: list[Problem], most: int | None) -> RenderableType:
    parts: list[RenderableType] = []
    for problem in problems[:most]:
        parts.append(Text(f"{problem.place}  {problem.cause}".strip()))
        if problem.remedy:
            parts.append(Padding(Text(problem.remedy, style="dim"), (0, 0, 0, 4), expand=False))
    return Group(*parts, *_left(len(problems), most))


def _lines(lines: list[str], most: int | None) -> RenderableType:
    return Group(*map(Text, lines[:most]), *_left(len(lines), most))


def _left(count: int, most: int | None) -> list[Text]:
    if most is None or count <= most:
        return []
    return [Text(f"{count - most} more: --all shows every one.", style="dim")]
