"""What a round holds, in a few lines."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.console import Group, RenderableType
from rich.text import Text

from register.reports.terminal.hint import command
from register.rounds.model import Round
from register.rounds.stations import STATIONS
from register.text import counted


def round_written(made: Round, places: Sequence[Path]) -> RenderableType:
    """What is asked where, what is left out, and what comes next."""
    lines = [f"{place} written" for place in places]
    lines.append(f"{counted(made.count, 'question')} at {counted(len(made.stops), 'place')}: {made.title}")
    for station in STATIONS:
        asked = [len(own) for _, own in made.at(station)]
        if asked:
            where = f"{station.place}, {station.needs}"
            lines.append(f"  {where:<20}{sum(asked):>5} at {counted(len(asked), 'place')}")
    lines += [f"Not in a round: {counted(count, 'reading')} {reason}." for reason, count in made.left_out.items()]
    lines.append(f"Filled in and saved, it comes back with: {command('take-round', 'SAVED.json')}")
    return Group(*map(Text, lines))
