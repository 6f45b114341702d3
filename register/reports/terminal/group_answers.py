"""Answers for groups in a terminal: what one does, and which are proposed."""

from __future__ import annotations

import shlex
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from register.reports.terminal.hint import GIVEN
from register.reports.terminal.layout import DIM, few, indented, table, titled
from register.text import counted

CAUTION = (
    "One answer stands for each of its positions: give it only where it is known of all of them, and narrow the "
    "filter where it is not. A value that someone could be hurt by (an explosive area, an emergency stop, a "
    "bypass) is looked at on the spot."
)


def answered(made: Any) -> RenderableType:
    """What was or would be filled, what an audit then says otherwise, and three examples."""
    did = "Answered" if made.change_set else "Nothing has been changed"
    head = f"{did}: {made.asked.column} = {made.value} where {made.asked.where}"
    parts: list[RenderableType] = [Text(head, style="bold"), titled("Positions", indented(_positions(made)))]
    if made.filled or made.overwritten:
        parts.append(titled("Verdicts, of the whole register", indented(_verdicts(made))))
        parts.append(titled("For example", _examples(made.examples)))
    if made.change_set:
        parts.append(Text(f"\nstartroll undo {made.change_set} --reason … takes it back.", style=DIM))
    return Group(*parts)


def _positions(made: Any) -> list[str]:
    verb = "" if made.change_set else "would be "
    lines = [
        f"{len(made.selected)} selected by the filter",
        f"{len(made.filled)} blank, {verb}filled",
        f"{len(made.kept)} have a value already, kept",
    ]
    if made.differing:
        lines[-1] += f"; {len(made.differing)} of them another one: {few(made.differing)}"
    if made.overwritten:
        lines.append(f"{len(made.overwritten)} with another value, {verb}overwritten: {few(made.overwritten)}")
    if made.not_applicable:
        lines.append(f"{len(made.not_applicable)} noted as not applicable, left so: {few(made.not_applicable)}")
    if made.untold:
        lines.append(
            f"{len(made.untold)} where it is not known whether the filter holds, left alone: {few(made.untold)}"
        )
    if made.elsewhere:
        lines.append(
            f"{len(made.elsewhere)} not selected that share the {made.shared}, changed too: {few(made.elsewhere)}"
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


def _examples(examples: tuple[Any, ...]) -> RenderableType:
    made = table("Tag", "Change", "decided ", "New findings")
    for one in examples:
        made.add_row(one.tag, Text(f"{one.before} → {one.after}"), str(one.decided), Text(few(one.findings, most=2)))
    return made


def proposed(groups: list[Any]) -> RenderableType:
    """Each group with what waits for it, what is known there, and the command to paste."""
    if not groups:
        return Text("No verdict waits for a value that several positions could share.")
    parts: list[RenderableType] = [Text("Groups that one answer may settle, the value is yours to give", style="bold")]
    for number, group in enumerate(groups, 1):
        title = f"{number}. {group.column}: {group.sentence}"
        shown = Text(command(group), no_wrap=True, overflow="ignore")  # folded as a shell wants it, to be pasted
        parts.append(titled(title, Group(indented(_waits(group)), shown)))
    return Group(*parts, Text(), Text(CAUTION))


def _waits(group: Any) -> list[str]:
    lines = [
        f"{counted(len(group.blank), 'blank')}; {counted(group.verdicts, 'verdict')} waiting, {group.majors} major; "
        f"{group.alone} for nothing else",
        f"read at: {group.read_at}; {_values(group)}",
    ]
    known = ", ".join(f"{value} ({count})" for value, count in group.known)
    return [*lines, f"known of others in the group: {known}"] if known else lines


def _values(group: Any) -> str:
    if group.choices:
        return "one of: " + ", ".join(group.choices)
    return f"a value in {group.unit}" if group.unit else "a value"


def command(group: Any) -> str:
    """The command that tries an answer for the group, to be pasted.

    >>> from types import SimpleNamespace
    >>> print(command(SimpleNamespace(column="inching", where="bus = 'MCC-1'", area="Wet end")))
      startroll answer inching VALUE \\
          --where "bus = 'MCC-1'" --area "Wet end" --dry-run
    """
    area = f" --area {_typed(group.area)}" if group.area else ""
    told = "".join(f" {shlex.quote(word)}" for word in GIVEN.get()(("answer",)))
    return f"  startroll answer {group.column} VALUE \\\n      --where {_typed(group.where)}{area} --dry-run{told}"


def _typed(text: str) -> str:
    plain = not any(mark in text for mark in '"$`\\!')
    return f'"{text}"' if plain else shlex.quote(text)
