"""Whether a load can run on its bypass tonight, in a terminal."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.text import Text

from register.planning.model import CAN, CANNOT, Condition, Tonight
from register.reports.terminal.report import table, titled
from register.reports.terminal.settings_sheet import figure_told, input_told
from register.reports.terminal.short_names import name

CAUTION = (
    "This does not authorise energising: local codes and licensed practice come first. Whoever changes "
    "over isolates the failed device, locks out and proves dead first; an arc flash kills at arm's "
    "length. Panel closed and nobody near at the first start; bump it for rotation; tell those who "
    "work at the load. An emergency stop must act on this way too."
)
ANSWERS = {CAN: "The load can run on its bypass.", CANNOT: "The load cannot run on its bypass as it is."}
MARKS = {True: "yes", False: "no", None: "can't tell"}


def tonight(made: Tonight) -> RenderableType:
    """The answer, its conditions, the start, what to mind, cautions."""
    head = [
        Text(f"{made.tag}  {made.description}".rstrip(), style="bold"),
        Text(made.how),
        Text(),
        Text(_answer(made), style="bold"),
    ]
    parts: list[RenderableType] = [titled("Conditions", _conditions(made.conditions))]
    if made.figures:
        lines = [f"- {name(f.name, f.sentence)}: {figure_told(f)}" for f in made.figures]
        parts.append(titled("What that start does", Text("\n".join(lines))))
        parts.append(Text(f"How sure: {made.certainty}."))
    if made.mind:
        parts.append(titled("Mind", Text("\n".join(f"- {words}" for words in made.mind))))
    if made.assumed:
        words = (f"- {name(i.column)} {input_told(i)}: {i.origin.removeprefix('assumed: ')}" for i in made.assumed)
        parts.append(titled("Assumed values, not yet read", Text("\n".join(words))))
    return Group(*head, *parts, Text(), Text(CAUTION, style="bold"))


def _answer(made: Tonight) -> str:
    if made.answer in ANSWERS:
        firm = all(not part.provisional for part in made.conditions)
        return ANSWERS[made.answer] + ("" if firm else " Provisional: assumed values lie behind it.")
    why = (
        f"read {', '.join(made.to_read)}"
        if made.to_read
        else next(part.words for part in made.conditions if part.met is None)
    )
    return f"Whether the load can run on its bypass is unknown: {why}."


def _conditions(parts: tuple[Condition, ...]) -> RenderableType:
    made = table("Condition", "Met", "Because")
    for part in parts:
        mark = MARKS[part.met] + (", provisional" if part.provisional else "")
        why = part.words
        if part.met is None and part.to_read:
            why = f"{why.rstrip('.')}. Read {', '.join(part.to_read)}."
        made.add_row(part.name, mark, why)
    return made
