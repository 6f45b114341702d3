"""The due list, the conditions and the intervals in a terminal."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from rich.console import Group, RenderableType
from rich.text import Text

from register.maintenance.model import (
    CANT_TELL,
    DUE,
    NEEDS,
    OVERDUE,
    PROPOSED,
    TASK,
    Conditions,
    Due,
    DueList,
    Interval,
)
from register.reports.due_calendar import CAUTION, LINEUP_CAUTION
from register.reports.terminal.hint import command, follow
from register.reports.terminal.layout import DIM, STYLES, indented, table, titled
from register.text import counted

FEW_ROWS, FEW_FIELDS = 12, 6
_STYLE = {OVERDUE: STYLES["major"], DUE: STYLES["minor"], CANT_TELL: STYLES["unknown"]}


def due(made: DueList, *, show_all: bool = False) -> RenderableType:
    """What falls due: by lineup and need, the most pressing rows, what is unknown, what the site has to decide."""
    counts = ", ".join(f"{count} {state}" for state, count in made.counts.items())
    parts: list[RenderableType] = [
        Text(f"Due at {made.site} until {made.until}, as of {made.today}", style="bold"),
        Text(counts),
    ]
    pressing = [item for item in made.items if item.state in (OVERDUE, DUE)]
    if pressing:
        parts.append(titled("What one arrangement can do", _lineups(pressing)))
        parts += _rows(made, pressing, show_all)
    parts += _unknown(made, show_all)
    parts += [Text(), Text(CAUTION, style=DIM)]
    if any(item.subject == "bus" and item.kind == TASK for item in pressing):
        parts.append(Text(LINEUP_CAUTION, style=DIM))
    parts += _next(made, pressing, show_all)
    return Group(*parts)


def _lineups(pressing: list[Due]) -> RenderableType:
    """Tasks by lineup and by what they need: who has the outage can do all of the row."""
    made = table("Lineup", *(f"{need} " for need in NEEDS if any(i.needs == need for i in pressing)), "positions ")
    used = [need for need in NEEDS if any(item.needs == need for item in pressing)]
    tasks = [item for item in pressing if item.kind == TASK]
    for bus in sorted({item.bus for item in tasks}):
        own = [item for item in tasks if item.bus == bus]
        by_need = Counter(item.needs for item in own)
        name = bus or ("store" if all(item.needs == "in store" for item in own) else "none entered")
        made.add_row(
            name,
            *(str(by_need[need] or "–") for need in used),
            str(len({item.tag for item in own if item.subject == "position"})),
        )
    return made


def _rows(made: DueList, pressing: list[Due], show_all: bool) -> Iterator[RenderableType]:
    """The rows themselves: of one lineup by what they need, of all by day."""
    if made.bus:
        for need in (*NEEDS, ""):
            own = [item for item in pressing if item.needs == need]
            own.sort(key=lambda item: item.subject != "bus")  # the lineup's own work first
            if own:
                yield titled(f"{(need or 'no task').capitalize()}: {len(own)}", _list(made, own))
        return
    shown = pressing if show_all else pressing[:FEW_ROWS]
    yield titled(f"The most pressing {len(shown)} of {len(pressing)}" if len(shown) < len(pressing) else "All", Text())
    yield _list(made, shown)


def _list(made: DueList, items: list[Due]) -> RenderableType:
    rows = table("Due", "Tag", "What", "Why")
    for item in items:
        why = f"{item.why}; interval {item.interval}" if item.interval else item.why
        mark = " (proposed condition)" if item.kind == TASK and item.proposed else ""
        rows.add_row(Text(item.on, style=_STYLE[item.state]), item.tag, item.what, f"{why}{mark}")
    return rows


def _unknown(made: DueList, show_all: bool) -> Iterator[RenderableType]:
    unknown = [item for item in made.items if item.state == CANT_TELL]
    fields = Counter(field for item in unknown for field in item.read if not field.startswith("interval of"))
    if fields:
        rows = table("Field", "tasks that wait ")
        most = len(fields) if show_all else FEW_FIELDS
        for field, count in fields.most_common(most):
            rows.add_row(field, str(count))
        left = len(fields) - most
        more = [Text(f"and {counted(left, 'field')} more: --all")] if left > 0 else []
        yield titled(f"Cannot be judged yet: {len(unknown)}", Group(rows, *more))
    blank = sum(any(field.startswith("interval of") for field in item.read) for item in unknown)
    if blank:
        waiting = f"{counted(blank, 'task')} {'waits' if blank == 1 else 'wait'}"
        told = f"{waiting} for an interval that the site has to give: {command('intervals')}"
        yield titled("Intervals that are blank", Text(told))


def _next(made: DueList, pressing: list[Due], show_all: bool) -> Iterator[RenderableType]:
    buses = Counter(item.bus for item in pressing if item.bus)
    if buses and not made.bus:
        yield follow("due", "--bus", buses.most_common(1)[0][0], "--until", made.until)
    if len(pressing) > FEW_ROWS and not show_all and not made.bus:
        yield follow("due", "--all", "--until", made.until, label="All rows")


def conditions(found: Iterable[Conditions]) -> RenderableType:
    """The three conditions of each lineup and position, which governs, and what a proposal goes by."""
    rows = table("Tag", "physical", "criticality", "environment", "governs", "Based on")
    found = list(found)
    for one in found:
        cells = [f"{c.value or '?'}{'*' if c.how == PROPOSED else ''}" for c in one.each]
        worst = one.possible[-1]
        basis = [c.basis for c in one.each if c.value == worst] or [c.basis for c in one.each if c.value is None]
        governs = str(one.governing) if one.governing else f"{one.possible[0]} to 3"
        rows.add_row(one.tag, *cells, governs, "; ".join(basis))
    note = (
        "* is proposed from what the register holds, and nobody has entered it; ? is unknown. The worst governs. "
        "Enter one that was seen, with the reason: "
        + command("correct", "TAG", "physical_condition", "3", "--reason", "…")
        + "; of a lineup by its name: "
        + command("correct", "LINEUP", "bus_physical_condition", "3", "--reason", "…")
    )
    return Group(rows, Text(), Text(note, style=DIM)) if found else Text("There is no lineup and no position.")


def intervals(found: Iterable[Interval]) -> RenderableType:
    """The table of intervals in force, what each is based on, and which the site has to fill."""
    rows = table("Task", "about", "1 ", "2 ", "3 ", "from", "Source")
    found = list(found)
    for row in found:
        months = ["–" if m is None else str(m) for m in row.months]
        told = (
            f"{row.source} ({', '.join(filter(None, (row.seen, row.where)))})" if row.source else "blank: to be filled"
        )
        rows.add_row(row.task, row.about, *months, row.layer, told)
    notes = (
        "Months by the condition that governs (1 good, 3 poor); – is blank, and what depends on it cannot be judged.",
        "The intervals are the site's own: tables/maintenance-intervals.csv in the folder given with --site-rules; "
        "each row replaces that of its task and what it is about. The maker's instructions and local codes go first.",
    )
    return Group(rows, Text(), indented(notes))
