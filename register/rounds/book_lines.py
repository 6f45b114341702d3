"""The lines of a crew's workbook: its sheets and headings, and which line is which answer. Nothing is written here."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass

from register.rounds.model import Job, Question, Round, Stop

DAY, KEY = "day", "key"  # the first sheet, and the hidden one by which lines are known
WHO, DONE_ON = "done by", "done on"
LINE, RESULT, FOUND, NOTE = "line", "result, or as left", "as found, or measured", "note"


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the workbook: the answer that it is to be, in `unit`; `found_unit` is that of what is found."""

    table: str
    at: str
    column: str
    row: str | None
    base: float | str | None
    unit: str
    found_unit: str


def lines_of(made: Round) -> list[tuple[Stop, Job | Question, Line]]:
    """Every job and question of a page with the line that it is, in the order of the walk."""
    found: list[tuple[Stop, Job | Question, Line]] = []
    for stop in made.stops:
        for job in stop.jobs:
            about = "bus" if stop.is_bus else "position"
            found.append((stop, job, Line(job.table, stop.at, job.name, about, None, "", job.unit)))
        for asked in stop.questions:
            own = asked.column
            unit = own.unit if asked.target is not None else ""
            found.append((stop, asked, Line(own.table, stop.at, own.name, asked.row, asked.on_file, own.unit, unit)))
    return found


def key_of(made: Round, page: str) -> list[str]:
    """The rows of the hidden sheet: what page it is, each line, and a hash over both."""
    head = {name: getattr(made, name) for name in ("register", "site", "title", "made_on")} | {"page": page}
    rows = [json.dumps(head), *(json.dumps(asdict(line)) for _, _, line in lines_of(made))]
    return [*rows, sealed(rows)]


def sealed(rows: Sequence[str]) -> str:
    """The SHA-256 of the rows of the hidden sheet, in hexadecimal digits."""
    return hashlib.sha256("\n".join(rows).encode()).hexdigest()
