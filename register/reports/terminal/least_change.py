"""What clears failed majors, in a terminal: settings, another device, or work."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from register.columns import FACTS
from register.reports.terminal.hint import command
from register.reports.terminal.layout import indented
from register.reports.terminal.report import few, prose, table, titled
from register.text import shown

CAUTION = """\
This is worked out from the register and not seen on site: check each value against nameplate and
manual before it is set. Behind a door: isolate, lock out and prove dead, or use a remote keypad.
Nobody stands near panel or machine at the next start, which may be harder or longer than before.
After hardware is changed: connections, safety checks, rotation, a test under load. Then record the
settings with their day and save a copy. Local codes and licensed practice come first."""
HOW = {True: "other hardware", False: "a setting"}


def least_changes(made: Any) -> RenderableType:
    """One position opened; of several, a line each."""
    if not made.at:
        return Text(f"No position fails a major on {made.today}.")
    if len(made.at) == 1:
        return one(made.at[0], made.titles, made.today)
    rows = table("Tag", "By", "What")
    for mend in made.at:
        for by, what in _lines(mend):
            rows.add_row(mend.tag, by, Text(what))
    title = Text(f"What clears the failed majors of {len(made.at)} positions", style="bold")
    more = (
        "Each position is looked at alone: a device in store serves one of them. startroll least-change TAG opens one."
    )
    return Group(title, Text(), rows, Text(), Text(_counted(made.at)), Text(more), titled("Caution", prose(CAUTION)))


def one(mend: Any, titles: Mapping[str, str], today: str) -> RenderableType:
    """All of one position."""
    least = mend.settings
    parts: list[RenderableType] = [Text(f"Least change at {mend.tag} on {today}", style="bold")]
    if not least.failed:
        return Group(*parts, Text("No major fails here: nothing has to be changed."))
    parts.append(titled("Fails", _rules(least.failed, titles)))
    if least.changes:
        title = "Nearest by settings, and not enough" if least.leaves else "To be set otherwise"
        parts.append(titled(title, _changes(mend)))
    else:
        told = "No setting clears any of these." if least.tried else "No setting affects these."
        parts.append(titled("Settings", Text(f"{told} {_tried(least)}".strip())))
    if least.by_hand:
        parts.append(titled("Not sought", Text(f"Settings of its start: {least.by_hand}.")))
    if mend.replacement:
        parts.append(titled("Or another device", _device(mend)))
    if mend.work:
        told = "Neither a setting nor a device clears these; startroll explain tells what does:"
        parts.append(titled("Work, a check or a record", Group(Text(told), _rules(mend.work, titles))))
    return Group(*parts, titled("Caution", prose(CAUTION)))


def _lines(mend: Any) -> Iterable[tuple[str, str]]:
    least = mend.settings
    for change in least.changes:
        yield ("hardware" if change.hardware else "setting"), str(change)
    if mend.replacement:
        device = mend.replacement
        yield "device", f"{_named(device)}: clears {_few(device.clears)}"
    if mend.work:
        yield "work", _few(mend.work)


def _counted(at: Iterable[Any]) -> str:
    settings = sum(1 for m in at if m.settings.changes and not m.settings.leaves)
    device = sum(1 for m in at if m.replacement)
    work = sum(1 for m in at if m.work)
    return f"A setting or part clears at {settings}, a device at {device}; work remains at {work}."


def _rules(names: Iterable[str], titles: Mapping[str, str]) -> RenderableType:
    return indented(f"{name}: {titles[name]}." for name in names)


def _changes(mend: Any) -> RenderableType:
    least = mend.settings
    rows = table("Column", "from", "to", "by")
    for change in least.changes:
        unit = FACTS[change.column].unit
        rows.add_row(change.column, shown(change.before, unit), shown(change.value, unit), HOW[change.hardware])
    notes = [f"Clears {_few(least.clears)}."]
    if least.leaves:
        notes.append(f"Leaves {_few(least.leaves)}: no set of changes tried meets it.")
    if least.opens:
        read = f"; read {', '.join(least.to_read)}" if least.to_read else ""
        notes.append(f"Unknown then: {_few(least.opens)}{read}.")
    if least.brings:
        notes.append(f"Then fails, below major: {_few(least.brings)}.")
    if least.corrects:
        notes.append(f"Meets too, below major: {_few(least.corrects)}.")
    return Group(rows, *(Text(note) for note in (*notes, _tried(least))))


def _tried(least: Any) -> str:
    if not least.tried:
        return ""
    not_all = "; not every set of this size could be tried" if least.cut else ""
    return f"Sets of changes tried: {least.tried}{not_all}."


def _device(mend: Any) -> RenderableType:
    device = mend.replacement
    lines = [f"{_named(device)}; clears {_few(device.clears)}."]
    if device.leaves:
        lines.append(f"Leaves {_few(device.leaves)}.")
    if device.open:
        lines.append(f"Unknown with it: {_few(device.open)}.")
    lines += [f"Asks for another {force}." for force in device.other_changes]
    if device.repeated:
        lines.append(f"To be repeated, as for every device: {_few(device.repeated)}.")
    option = "--device" if device.stored else "--model"
    lines.append(f"Its settings: {command('sheet', mend.tag, option, device.name)}")
    return indented(lines)


def _named(device: Any) -> str:
    if device.stored:
        return f"{device.name}, {device.kind}, in store ({device.model})"
    lead = "lead time unknown" if device.lead_time_days is None else f"{device.lead_time_days:g} d"
    price = "price unknown" if device.price is None else f"price {device.price:g}"
    return f"{device.name}, {device.kind}, to be ordered, {lead}, {price}"


def _few(names: Iterable[str]) -> str:
    return few(tuple(names), most=4)
