"""The due list as a calendar file (iCalendar, RFC 5545), which a later one brings up to date.

Each entry has a number of its own made of the register, the position and the task: a calendar that takes in a second
file moves the entry and does not double it. The stamps are of the day asked, so the same list gives the same bytes.
"""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime, time, timedelta

from icalendar import Calendar, Event

from register.maintenance.model import CONCESSION, DUE, OVERDUE, TASK, Due, DueList
from register.text import visible

CAUTION = (
    "Follow the local codes, the maker's instructions and the site's permit to work; isolate, lock out and prove dead "
    "before a panel is opened."
)
LINEUP_CAUTION = (
    "Work on a lineup needs its outage, qualified people and a permit: every incomer, a second feed and what feeds its "
    "main breaker isolated, locked out and proved dead. Local rules and the maker's instructions go first."
)
_KIND = {CONCESSION: "concession ends", "action": "corrective action"}


def due_calendar(made: DueList) -> bytes:
    """Every overdue or due item with a day, an entry each; the same list gives the same bytes."""
    calendar = Calendar()
    calendar.add("prodid", "-//startroll//due list//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", visible(f"Due at {made.site}"))
    for item in made.items:
        if item.state in (OVERDUE, DUE) and item.on:
            calendar.add_component(_entry(made, item))
    return calendar.to_ical()


def uid(made: DueList, item: Due) -> str:
    """The entry's number: the same for a task at a position whenever it falls due."""
    named = (made.register_id, item.kind, item.tag, item.what if item.kind == TASK else item.number)
    return f"{hashlib.sha256(repr(named).encode()).hexdigest()[:32]}@startroll"


def _entry(made: DueList, item: Due) -> Event:
    asked, on = date.fromisoformat(made.today), date.fromisoformat(item.on)
    entry = Event()
    entry.add("uid", uid(made, item))
    entry.add("dtstamp", datetime.combine(asked, time.min, tzinfo=UTC))
    # A later list has a higher number, by which a calendar knows that it is the newer one.
    entry.add("sequence", asked.toordinal())
    entry.add("dtstart", on)
    entry.add("dtend", on + timedelta(days=1))
    entry.add("transp", "TRANSPARENT")
    late = "overdue: " if item.state == OVERDUE else ""
    entry.add("summary", visible(f"{late}{item.tag} {item.what}"))
    entry.add("categories", [_KIND.get(item.kind, item.what)])
    if item.bus or item.area:
        entry.add("location", visible(", ".join(filter(None, (item.bus, item.area)))))
    lines = [item.why, f"needs: {item.needs}" if item.needs else "", CAUTION if item.kind == TASK else ""]
    lines += [LINEUP_CAUTION] if item.kind == TASK and item.subject == "bus" else []
    entry.add("description", visible("\n".join(line for line in lines if line)))
    return entry
