"""Candidates for the place of a device in a terminal: the list, and what speaks against each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from rich.console import Group, RenderableType
from rich.text import Text

from register.columns import COLUMNS
from register.planning.replace.shortlist import Listed, Shortlist
from register.reports.terminal.hint import follow
from register.reports.terminal.layout import few, table, titled
from register.reports.terminal.short_names import name
from register.text import money, shown

CAUTION = (
    "Local codes and licensed practice come first. A failed device may pass voltage though it says "
    "stopped: isolate, lock out, prove dead; heed the arc-flash label. That a device passes here "
    "does not authorise energising it."
)
HOW = (
    "Ranked by major rules failed; then what lies in store and is of the installed kind; then by major "
    "rules unknown for it and known for the installed device, in store before lead time, the installed kind, "
    "price, other changes needed. Each was tried with the "
    "settings of its sheet: startroll sheet {0} --{1}. What is outstanding after a swap, whichever device "
    "comes (checks, readings, another spare), speaks neither for nor against one."
)


def at_position(made: Shortlist) -> RenderableType:
    """One position: the list, then each candidate with what it fails, asks and needs."""
    parts: list[RenderableType] = [_head(made), Text(CAUTION, style="bold"), Text(), Text(made.statement, style="bold")]
    if made.plan:
        parts.append(Text(made.plan))
    if made.by_hand:
        parts.append(Text(f"Settings of a start were not sought: {made.by_hand}."))
    if made.never:
        parts.append(titled("What no candidate passes", _never(made)))
    if made.candidates:
        title = f"The best {len(made.candidates)} of {made.tried} tried, {made.tried_stored} of"
        parts.append(titled(f"{title} them in store", _list(made)))
        parts += [titled(f"{place}  {_device(c)}", _one(c)) for place, c in enumerate(made.candidates, 1)]
        outstanding = [(title, str(place)) for place, c in enumerate(made.candidates, 1) for title in c.outstanding]
        if outstanding:
            parts.append(titled("To be repeated once installed", _outstanding(outstanding, "Candidate")))
        by = _option(made.candidates[0])
        parts += [Text(), Text(HOW.format(made.tag, by), style="dim")]
    return Group(*parts)


def of_failed(made: Sequence[Shortlist]) -> RenderableType:
    """Every failed device: the best candidate, where it is, what it needs, what is then outstanding."""
    if not made:
        return Text("No device at a position is marked failed.")
    told = table("Tag", "Instead of", "Best candidate", "Where it is", "Other changes needed", "Outstanding then ")
    for one in made:
        best = one.best
        if best is None:
            told.add_row(one.tag, one.installed, "none", "–", "–", "–")
        else:
            forces = "; ".join(best.other_changes) or "nothing known"
            told.add_row(one.tag, one.installed, _device(best), best.where, forces, str(len(best.outstanding)))
    parts: list[RenderableType] = [Text(CAUTION, style="bold"), Text(), told]
    none = [one for one in made if one.best is None]
    if none:
        lines = [Text(f"{one.tag}: {one.statement}") for one in none]
        parts.append(titled("Without a candidate", Group(*lines)))
    outstanding = [(title, one.tag) for one in made if one.best for title in one.best.outstanding]
    if outstanding:
        parts.append(titled("To be repeated once they are installed", _outstanding(outstanding, "At")))
    shared = [one.best.serial for one in made if one.best and one.best.serial]
    twice = sorted({serial for serial in shared if shared.count(serial) > 1})
    if twice:
        parts += [Text(), Text(f"There is one of each: {few(tuple(twice))} is the best of several positions.")]
    return Group(*parts, Text(), follow("candidates", "TAG", label="What else fits"))


def _head(made: Shortlist) -> RenderableType:
    return Group(
        Text(f"{made.tag}  {made.description}".rstrip(), style="bold"),
        Text(f"Installed: {made.installed}. Motor: {made.motor}. As on {made.today}."),
    )


def _list(made: Shortlist) -> RenderableType:
    told = table("", "Device", "Where it is", "Price ", "Fails ", "Can't tell ", "Other changes needed ")
    for place, c in enumerate(made.candidates, 1):
        price = "unknown" if c.price is None else money(c.price, made.currency)
        told.add_row(
            str(place), _device(c), c.where, price, str(len(c.fails)), str(len(c.cant_tell)), str(len(c.other_changes))
        )
    return told


def _one(c: Listed) -> RenderableType:
    lines = [f"Fails {a.rule} (major): {a.sentence}" for a in c.fails]
    if not c.fails:
        lines.append("Fails no major rule that can be judged yet.")
    for against in c.cant_tell:
        read = ", ".join(against.to_read) or "what the rule reads"
        lines.append(f"Can't tell {against.rule} (major): read {read}.")
    lines += [f"Other change needed: {change}." for change in c.other_changes]
    if c.lesser:
        lines.append(f"Lesser findings: {'; '.join(a.title for a in c.lesser)}.")
    if c.settings:
        lines.append(f"Tried with: {'; '.join(_setting(*s) for s in c.settings.items())}.")
    if c.provisional:
        lines.append(f"{c.provisional} of its verdicts are based on assumed values for what nobody has read.")
    return Group(*(Text(f"- {line}") for line in lines))


def _setting(column: str, value: Any) -> str:
    return f"{name(column)} {shown(value, COLUMNS[column].unit)}"


def _never(made: Shortlist) -> RenderableType:
    whose = {True: "the position's own", False: "no device tried passes it"}
    return Group(*(Text(f"- {n.rule} ({whose[n.own]}): {n.sentence}") for n in made.never))


def _outstanding(outstanding: Iterable[tuple[str, str]], where: str) -> RenderableType:
    places: dict[str, list[str]] = {}
    for title, place in outstanding:
        places.setdefault(title, []).append(place)
    told = table("What", where)
    for title, own in places.items():
        told.add_row(title, few(tuple(own)))
    return told


def _device(c: Listed) -> str:
    parts = [c.kind, " ".join(p for p in (c.maker, c.model) if p)]
    if c.rated_current_a is not None:
        parts.append(shown(c.rated_current_a, "A"))
    return ", ".join(parts + ([f"serial {c.serial}"] if c.serial else []))


def _option(c: Listed) -> str:
    return f"device {c.serial}" if c.serial else f"model {c.model}"
