"""A roll-up written to files: as a page, as a workbook, its failure rates; all of them or none."""

from __future__ import annotations

from pathlib import Path

from register.errors import Problem, StartrollError
from register.fleet.model import FleetReport
from register.store.output_file import refuse_taken, write_together


def check(*places: Path | None) -> None:
    """Raise StartrollError when these places cannot all be written, before any work is done."""
    named = [place.absolute() for place in places if place is not None]
    if len(set(named)) < len(named):
        raise StartrollError(Problem("two reports are to be written to one place", "name two files"))
    refuse_taken(*places)


def publish(
    report: FleetReport, *, html: Path | None = None, xlsx: Path | None = None, rates: Path | None = None
) -> list[Path]:
    """Write a roll-up in every form asked for; `rates` is the file for `spares --rates`."""
    from register.reports.fleet.document import page
    from register.reports.fleet.workbook import workbook

    files = {}
    if html is not None:
        files[html] = page(report).encode("utf-8", "replace")
    if xlsx is not None:
        files[xlsx] = workbook(report)
    if rates is not None:
        files[rates] = report.rates_file
    write_together(files)
    return list(files)
