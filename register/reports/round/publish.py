"""A round written to files: a page, a sheet, or both."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from register.errors import Problem, StartrollError
from register.rounds.model import Round
from register.store.output_file import refuse_taken, write_together

FORMS = (".html", ".xlsx")


def check(places: Sequence[Path]) -> None:
    """Raise StartrollError, before any work is done, when these places cannot all be written."""
    wrong = [place for place in places if place.suffix.lower() not in FORMS]
    if wrong:
        raise StartrollError(
            Problem("a round is a page or a sheet", "name a file that ends in .html or .xlsx", str(p)) for p in wrong
        )
    if len({place.absolute() for place in places}) < len(places):
        raise StartrollError(Problem("two files are to be written to one place", "name two files", "--to"))
    refuse_taken(*places)


def write(made: Round, places: Sequence[Path]) -> None:
    """Write the round to each of these files, or to none."""
    write_together({place: _rendered(made, place.suffix.lower()) for place in places})


def _rendered(made: Round, form: str) -> bytes:
    if form == ".html":
        from register.reports.round.document import html

        return html(made).encode("utf-8", "replace")
    if made.crew is not None:
        from register.reports.round.crew_workbook import workbook as of_crew

        return of_crew(made)
    from register.reports.round.sheet import workbook

    return workbook(made)
