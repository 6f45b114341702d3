"""What to collect next in a terminal: by where one stands, each reading with what it is worth."""

from __future__ import annotations

from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from register.reports.terminal.layout import DIM, few, table, titled
from register.text import counted, shown

ORDER = (
    "First what decides whether someone can be hurt (!), then what decides most by grade and harm. "
    "Places stand in the order of their best reading."
)
SMALLEST = 0.05


def collected(made: Any, caution: str) -> RenderableType:
    """The readings by place, the caution where a panel has to be opened, and how many are not shown."""
    if not made.questions:
        return Text("No verdict that is unknown waits for a reading there: there is nothing to collect.")
    parts: list[RenderableType] = [Text(_head(made), style="bold"), Text(ORDER, style=DIM)]
    places = dict.fromkeys((one.read_at, one.needs) for one in made.questions)
    for place in places:
        own = [one for one in made.questions if (one.read_at, one.needs) == place]
        parts.append(titled(f"{place[0]}: {place[1]}", _rows(own)))
    if any(needs != "eyes" for _, needs in places):
        parts += [Text(), Text(caution)]
    left = made.blanks - len(made.questions)
    if left > 0:
        parts.append(Text(f"\n{counted(left, 'more reading')}: --all lists every one.", style=DIM))
    return Group(*parts)


def _head(made: Any) -> str:
    return (
        f"Data to collect: {counted(len(made.questions), 'reading')} of {made.blanks}, about {made.decided:.0f} of "
        f"{counted(made.unknown, 'unknown verdict')} decided"
    )


def _rows(questions: list[Any]) -> RenderableType:
    made = table("Tag", "Field", "Meaning", "decides ")
    by_tag: dict[str, list[Any]] = {}
    for one in questions:
        by_tag.setdefault(one.tags[0], []).append(one)
    for own in by_tag.values():
        for at, one in enumerate(own):
            mark = "! " if one.people else ""
            tags = few(one.tags, most=2) if len(one.tags) > 1 else one.tags[0]
            made.add_row(tags if at == 0 or len(one.tags) > 1 else "", one.column, mark + _meaning(one), _decides(one))
    return made


def _meaning(one: Any) -> str:
    told = one.sentence + (f", {one.unit}" if one.unit else "")
    if one.on_file is not None:
        told += f"; on file: {shown(one.on_file, one.unit)}"
    return told + (f"; with {', '.join(one.together)}" if one.together else "")


def _decides(one: Any) -> str:
    return f"{one.verdicts:.1f}" if one.verdicts >= SMALLEST else "with others"
