"""What a round holds, in a few lines."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.console import Group, RenderableType
from rich.text import Text

from register.reports.terminal.hint import command
from register.rounds.model import Round
from register.text import counted


def round_written(made: Round, places: Sequence[Path]) -> RenderableType:
    """What is asked where, what is left out, and what comes next."""
    lines = [f"{place} written" for place in places]
    lines.append(f"{counted(made.count, 'question')} at {counted(len(made.stops), 'place')}: {made.title}")
    for station in made.stations:
        asked = [len(own) for _, own in made.at(station)]
        if asked:
            where = f"{station.place}, {station.needs}"
            lines.append(f"  {where:<20}{sum(asked):>5} at {counted(len(asked), 'place')}")
    lines += [f"Not in a round: {counted(count, 'reading')} {reason}." for reason, count in made.left_out.items()]
    lines.append(f"Filled in and saved, it comes back with: {command('take-round', 'SAVED.json')}")
    return Group(*map(Text, lines))


def page_written(made: Round, places: Sequence[Path]) -> RenderableType:
    """What a crew's page asks to be done, by what has to be off; what is left out, and what comes next."""
    jobs = list(made.jobs)
    settings = [q for stop in made.stops for q in stop.questions if q.target is not None]
    actions = sum(job.table == "action" for _, job in jobs)
    lines = [
        f"{' and '.join(map(str, places))} written: {made.title}",
        f"{counted(len(jobs) - actions, 'task')}, {counted(actions, 'action')}, {counted(len(settings), 'setting')} to"
        f" change, {counted(made.count - len(settings), 'reading')} at {counted(len(made.stops), 'place')}",
    ]
    for station in made.stations:
        own = [stop.at for stop, job in jobs if job.station is station]
        if own:
            where = f"{station.place}, {station.needs}"
            lines.append(f"  {where:<22}{len(own):>5} at {counted(len(set(own)), 'place')}")
    lines += [f"Not on this page: {count} {reason}." for reason, count in made.left_out.items()]
    saved = dict.fromkeys("FILLED.xlsx" if place.suffix.lower() == ".xlsx" else "SAVED.json" for place in places)
    lines += [f"Filled in and saved, it comes back with: {command('take-round', one, '--dry-run')}" for one in saved]
    return Group(*map(Text, lines))
