"""Answers for groups in a terminal: what one does, and which are proposed."""

from __future__ import annotations

import shlex
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from register.reports.terminal.hint import GIVEN, follow
from register.reports.terminal.layout import few, indented, table, titled
from register.text import counted

CAUTION = (
    "One answer stands for each of its positions: give it only where it is known of all of them, and narrow the "
    "filter where it is not. A value that someone could be hurt by (an explosive area, an emergency stop, a "
    "bypass) is looked at on the spot."
)


def answered(made: Any) -> RenderableType:
    """What was or would be filled, what an audit then says otherwise, and three examples."""
    did = "Answered" if made.change_set else "Nothing has been changed"
    parts: list[RenderableType] = [Text(f"{did}: {made.told}", style="bold")]
    parts.append(titled("Positions", indented(_selected(made))))
    several = len(made.parts) > 1
    for part in made.parts:
        lines = indented(_positions(part, made.change_set))
        parts.append(titled(f"{part.column} = {part.value}", lines) if several else lines)
    if any(part.written for part in made.parts):
        parts.append(titled("Verdicts, of the whole register", indented(_verdicts(made))))
        parts.append(titled("For example", _examples(made.examples, several)))
    if made.change_set:
        undo = follow("undo", str(made.change_set), "--reason", "answered by mistake", label="To undo it")
        parts += [Text(), undo]
    return Group(*parts)


def _selected(made: Any) -> list[str]:
    lines = [f"{len(made.selected)} selected by the filter"]
    left = tuple(tag for tag, other in made.asked.excepted.items() if not other)
    if left:
        lines.append(f"{len(left)} excepted and left alone: {few(left)}")
    if made.untold:
        lines.append(
            f"{len(made.untold)} where it is not known whether the filter holds, left alone: {few(made.untold)}"
        )
    return lines


def _positions(part: Any, change_set: int | None) -> list[str]:
    verb = "" if change_set else "would be "
    lines = [f"{len(part.filled)} blank, {verb}filled", f"{len(part.kept)} have a value already, kept"]
    if part.differing:
        lines[-1] += f"; {len(part.differing)} of them another one: {few(part.differing)}"
    if part.overwritten:
        lines.append(f"{len(part.overwritten)} with another value, {verb}overwritten: {few(part.overwritten)}")
    if part.not_applicable:
        lines.append(f"{len(part.not_applicable)} noted as not applicable, left so: {few(part.not_applicable)}")
    if part.elsewhere:
        lines.append(
            f"{len(part.elsewhere)} not selected that share the {part.shared}, changed too: {few(part.elsewhere)}"
        )
    return lines


def _verdicts(made: Any) -> list[str]:
    moved = made.verdicts
    lines = [
        f"{moved.decided} can't-tells decided",
        f"{counted(moved.firm + moved.provisional, 'new finding')}: {moved.firm} firm, {moved.provisional} provisional",
        f"{moved.passed} newly passed",
    ]
    if moved.opened:
        lines.append(f"{moved.opened} decided before, now can't tell")
    if moved.cleared:
        lines.append(f"{counted(moved.cleared, 'finding')} cleared")
    return lines


def _examples(examples: tuple[Any, ...], several: bool) -> RenderableType:
    made = table("Tag", "Change", "decided ", "New findings")
    for one in examples:
        named = f"{one.column}: " if several else ""
        change = Text(f"{named}{one.before} → {one.after}")
        made.add_row(one.tag, change, str(one.decided), Text(few(one.findings, most=2)))
    return made


def proposed(groups: list[Any]) -> RenderableType:
    """Each group with what waits for it, what is known there, and the command to paste."""
    if not groups:
        return Text("No verdict waits for a value that several positions could share.")
    parts: list[RenderableType] = [Text("Groups that one answer may settle, the value is yours to give", style="bold")]
    for number, group in enumerate(groups, 1):
        title = f"{number}. {', '.join(column.column for column in group.columns)}"
        shown = Text(command(group), no_wrap=True, overflow="ignore")  # folded as a shell wants it, to be pasted
        parts.append(titled(title, Group(indented(_waits(group)), shown)))
    return Group(*parts, Text(), Text(CAUTION))


def _waits(group: Any) -> list[str]:
    waits = f"{counted(group.verdicts, 'verdict')} waiting, {group.majors} major; about {group.decides:.0f} decided"
    return [waits, *(_told(column) for column in group.columns)]


def _told(column: Any) -> str:
    told = f"{column.column} ({column.sentence}): {counted(len(column.blank), 'blank')}; {_values(column)}"
    known = ", ".join(f"{value} ({count})" for value, count in column.known)
    return told + (f"; known in the group: {known}" if known else "")


def _values(column: Any) -> str:
    if column.choices:
        return "one of " + ", ".join(column.choices)
    return f"a value in {column.unit}" if column.unit else "a value"


def command(group: Any) -> str:
    """The command that tries an answer for the group, to be pasted.

    >>> from types import SimpleNamespace as made
    >>> print(command(made(columns=[made(column="inching")], where="bus = 'MCC-1'", area="Wet end")))
      startroll answer inching=VALUE \\
          --where "bus = 'MCC-1'" --area "Wet end" --dry-run
    """
    area = f" --area {_typed(group.area)}" if group.area else ""
    told = "".join(f" {shlex.quote(word)}" for word in GIVEN.get()(("answer",)))
    values = " \\\n      ".join(f"{column.column}=VALUE" for column in group.columns)
    return f"  startroll answer {values} \\\n      --where {_typed(group.where)}{area} --dry-run{told}"


def _typed(text: str) -> str:
    plain = not any(mark in text for mark in '"$`\\!')
    return f'"{text}"' if plain else shlex.quote(text)
