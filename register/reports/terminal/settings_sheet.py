"""The settings sheet and the checklist in a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from shlex import quote

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from register.columns.units import power
from register.planning.model import Checklist, CommissioningStep, SettingLine, Sheet
from register.reports.terminal.hint import command
from register.reports.terminal.report import table, titled
from register.reports.terminal.short_names import digits, name
from register.starts.model import Figure, Input
from register.text import banded, shown

CAUTION = (
    "Local codes and licensed practice come first. Isolate, lock out, prove dead before a door is "
    "opened; an arc flash kills at arm's length. First energising: panel closed, nobody near. The "
    "shaft may turn the wrong way, and may restart by itself."
)
AFTER = (
    'Enter what was done: startroll record {0} "bump test" passed --by NAME; startroll checklist '
    "{0} tells what is outstanding. A sheet does not authorise energising."
)
NOT_READ = "can't tell"


def sheet(made: Sheet) -> RenderableType:
    """One sheet: device, settings with what they assume, the start, protection, checklist."""
    parts: list[RenderableType] = [_head(made), Text(CAUTION, style="bold")]
    parts.append(titled("Settings", _lines(made.lines)))
    parts.append(titled("Why, and what they assume", _whys(made.lines)))
    if made.exceeded:
        parts.append(titled("Even so", Text("\n".join(f"- {words}." for words in made.exceeded))))
    parts.append(titled("What the start should show", _start(made)))
    parts.append(titled("Line protection to check", _protection(made.protection)))
    if open_rules(made):
        parts.append(titled("Rules that this device does not pass there", _told(made)))
    if made.assumed:
        parts.append(titled("Assumed values, not yet read", _assumed(made.assumed)))
    parts.append(titled("Putting in service, in this order", _steps(made.checklist.steps)))
    return Group(*parts, Text(), Text(after(made.tag), style="dim"))


def after(tag: str) -> str:
    """What comes after, with the commands as they are typed."""
    return AFTER.format(quote(tag))


def checklist(made: Checklist) -> RenderableType:
    """The steps, which are done, and the command that enters the next."""
    head = Text(f"{made.tag}  {made.description}".rstrip(), style="bold")
    owed = made.outstanding
    if owed:
        last = Text(
            f"Outstanding: {', '.join(step.kind for step in owed)}. Enter one: "
            + command("record", made.tag, owed[0].kind, "passed", "--by", "NAME")
        )
    else:
        last = Text("Nothing is outstanding: all that is recorded here passed since device and motor came.")
    return Group(
        head,
        Text(made.device),
        Text(CAUTION, style="bold"),
        titled("Putting in service, in this order", _steps(made.steps)),
        Text(),
        last,
    )


def _head(made: Sheet) -> RenderableType:
    lines = [
        Text(f"{made.tag}  {made.description}".rstrip(), style="bold"),
        Text(f"{made.device} ({made.source})"),
        Text(" · ".join(f"{name(i.column)} {input_told(i, made.practice)}" for i in made.motor)),
        Text(),
    ]
    return Group(*lines)


def _lines(lines: Iterable[SettingLine]) -> Table:
    made = table("Setting", "Set to", "Recorded")
    for line in lines:
        value = f"{NOT_READ}: read {', '.join(line.to_read)}"
        if line.value is not None:
            value = shown(line.value, line.unit)
        made.add_row(
            name(line.column), Text(value, style="bold"), "–" if line.now is None else shown(line.now, line.unit)
        )
    return made


def _whys(lines: Iterable[SettingLine]) -> RenderableType:
    found = []
    for line in lines:
        because = f" ({'; '.join(rests(line))})" if line.based_on else ""
        found.append(Text(f"- {name(line.column)}: {line.why}{because}"))
    return Group(*found)


def rests(line: SettingLine) -> Iterator[str]:
    """The values that a line is based on, in words, the assumed values marked."""
    for i in line.based_on:
        yield f"{name(i.column)} {input_told(i)}{', assumed' if i.is_assumed else ''}"


def input_told(i: Input, practice: str = "") -> str:
    """A value with its unit; a power as the practice has it."""
    if i.column == "power_kw" and practice:
        return power(i.value, practice)
    # What was read stays as it was read.
    value = digits(i.value) if i.origin.startswith(("worked out", "assumed")) else i.value
    return shown(value, i.unit)


def figure_told(figure: Figure) -> str:
    """A figure with its band, what it is held against, or what to read."""
    if figure.value is None:
        return f"{NOT_READ}: read {', '.join(figure.to_read)}"
    value, low, high = (shown(digits(v), figure.unit) for v in _band(figure))
    if low != high:
        value = banded(f"{value} ({low} to {high})")
    if figure.bound is not None:
        bound = shown(figure.bound, figure.unit)
        value += f", {bound if isinstance(figure.bound, str) else 'at most ' + bound}"
    return value + ("" if figure.within in (None, True) else " – too much")


def _band(figure: Figure) -> tuple[float | str | None, ...]:
    return figure.value, figure.low, figure.high


def _start(made: Sheet) -> RenderableType:
    if not made.figures:
        return Text(f"No start could be worked out: {made.why_no_start}.")
    return Group(*(Text(f"- {name(f.name, f.sentence)}: {figure_told(f)}") for f in made.figures))


def _protection(lines: Iterable[SettingLine]) -> Table:
    made = table("What", "Fitted", "Held against")
    for line in lines:
        value = "read it" if line.value is None else shown(line.value, line.unit)
        made.add_row(name(line.column), value, "; ".join(rests(line)))
    return made


def open_rules(made: Sheet) -> str:
    """The rules that fail or are unknown, in words."""
    return "; ".join(_told_words(made))


def _told_words(made: Sheet) -> Iterator[str]:
    for told in made.rules:
        if told.outcome == "failed":
            firm = ", provisional" if told.provisional else ""
            yield f"failed ({told.grade}{firm}): {told.title}"
    open_ = [told for told in made.rules if told.outcome != "failed"]
    if open_:
        fields = dict.fromkeys(name for told in open_ for name in told.to_read)
        rules = f"{len(open_)} major rule{'s' * (len(open_) > 1)}"
        yield f"{NOT_READ} {rules}: read {', '.join(fields)}"


def _told(made: Sheet) -> RenderableType:
    return Group(*(Text(f"- {words}") for words in _told_words(made)))


def _assumed(inputs: Iterable[Input]) -> RenderableType:
    return Group(*(Text(f"- {name(i.column)} {input_told(i)}: {i.origin.removeprefix('assumed: ')}") for i in inputs))


def _steps(steps: Iterable[CommissioningStep]) -> Table:
    made = table("Step", "What", "Recorded")
    for number, step in enumerate(steps, 1):
        mark = {True: "done: ", None: "", False: ""}[step.done]
        made.add_row(f"{number} {step.name}", step.what, f"{mark}{step.last}" or "–")
    return made
