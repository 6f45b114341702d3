"""What was taken back from a round or a copy: counts, conflicts with both values, what was refused."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from register.reports.terminal.hint import follow
from register.reports.terminal.layout import few, indented, titled
from register.text import counted


def round_taken(made: Any, photos: Any, source: Path, left: Path | None) -> RenderableType:
    """What became of each answer of a round."""
    lines = [f"{made.taken} taken"] + [
        f"{count} {what}"
        for count, what in (
            (made.recorded, "tasks recorded as passed or failed"),
            (made.closed, "actions closed; the next audit that is kept checks them"),
            (len(made.undone), "half done or not done: they stay open"),
        )
        if count
    ]
    lines += [
        f"{made.same} are so here already, noted as confirmed",
        f"{made.kept} kept as they are here: changed here since, or decided so",
        f"{made.before} taken back earlier",
        f"{len(made.conflicts)} in conflict, waiting; {len(made.refused)} refused",
    ]
    if photos is not None and (photos.kept or photos.problems):
        lines.append(f"{counted(photos.kept, 'photograph')} kept in {photos.folder.name}")
    head = f"{counted(made.answers, 'answer')} of {made.who or 'nobody named'}"
    parts: list[RenderableType] = [Text(head, style="bold"), titled("Answers", indented(lines))]
    if made.undone:
        parts.append(titled("Half done or not done", indented(made.undone)))
    if told := [*made.told, *(photos.problems if photos else ())]:
        parts.append(titled("To know", indented(told)))
    parts += [_conflicts(made.conflicts), _refused(made.refused)]
    return Group(*parts, _next("take-round", source, made, left))


def merged(made: Any, source: Path, left: Path | None) -> RenderableType:
    """What came over from a copy."""
    if not made.change_sets:
        return Text("The copy has nothing that this register has not.")
    if made.conflicts:
        head = f"Nothing has been changed: {counted(len(made.conflicts), 'conflict')} to decide"
    else:
        did = "Merged" if made.change_set else "Would be merged"
        head = f"{did}: {counted(made.change_sets, 'change-set')}, each with its own author, day and reason"
    lines = [
        f"{counted(made.taken, 'value')} {'to take' if made.conflicts else 'taken'}",
        f"{made.same} changed alike on both sides",
        f"{made.kept} kept as they are here",
    ]
    if not made.conflicts:
        lines += [f"{counted(made.came, 'row')} came, {made.went} went", f"{counted(made.decided, 'conflict')} decided"]
    lines += [f"numbers: {few(made.renumbered)}"] if made.renumbered else []
    if made.audits:
        lines.append(f"{counted(made.audits, 'audit')} kept in the copy: it stays there, judge this register anew")
    parts: list[RenderableType] = [Text(head, style="bold"), titled("Values", indented(lines))]
    return Group(*parts, _conflicts(made.conflicts), _next("merge", source, made, left))


def _conflicts(conflicts: tuple[Any, ...]) -> RenderableType:
    if not conflicts:
        return Text("", end="")
    blocks: list[str] = []
    for one in conflicts:
        place = one.tag if one.tag and one.tag != one.row else ""
        blocks.append(" ".join(part for part in (place, one.table, one.row, one.column) if part))
        blocks.append(f"  was    {one.base}")
        blocks += [f"  here   {_said(one.here)}", f"  there  {_said(one.there)}"]
    return titled("Conflicts, each waits for a decision", indented(blocks))


def _said(said: Any) -> str:
    who = f"{said.who or 'nobody named'}, {said.when[:16].replace('T', ' ')}" if said.when else said.who
    return " · ".join(part for part in (said.value, who, said.why) if part)


def _refused(refused: tuple[Any, ...]) -> RenderableType:
    if not refused:
        return Text("", end="")
    lines: list[str] = []
    for one in refused:
        lines += [f"{one.row} {one.column} = {one.answer}: {one.cause}", f"  {one.remedy}"]
    return titled("Refused", indented(lines))


def _next(command: str, source: Path, made: Any, left: Path | None) -> RenderableType:
    """What to do next, each a line to paste."""
    typed = (command, str(source))
    lines: list[RenderableType] = []
    if made.conflicts or getattr(made, "refused", ()):
        lines += [follow(*typed, "--theirs", label="Theirs in all"), follow(*typed, "--ours", label="Ours in all")]
        if left:
            lines.append(follow(*typed, "--decided", str(left), label=f"When the column take of {left} is filled"))
        else:
            lines.append(follow(*typed, "--left", f"{source.stem}-left.xlsx", label="One by one, in a list"))
    if made.change_set:
        lines.append(follow("undo", str(made.change_set), "--reason", "taken back by mistake", label="To undo it"))
    return Group(Text(), *lines) if lines else Text("", end="")
