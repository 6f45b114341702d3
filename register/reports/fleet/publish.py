"""A roll-up written to files: as a page, as a workbook; all of them or none."""

from __future__ import annotations

from pathlib import Path

from register.errors import Problem, StartrollError
from register.fleet.model import FleetReport
from register.store.output_file import refuse_taken, write_together


def check(html: Path | None, xlsx: Path | None) -> None:
    """Raise StartrollError when these places cannot both be written, before any work is done."""
    if html is not None and xlsx is not None and html.absolute() == xlsx.absolute():
        raise StartrollError(Problem("two reports are to be written to one place", "name two files", str(html)))
    refuse_taken(html, xlsx)


def publish(report: FleetReport, *, html: Path | None = None, xlsx: Path | None = None) -> list[Path]:
    """Write a roll-up in every form asked for."""
    from register.reports.fleet.document import page
    from register.reports.fleet.workbook import workbook

    files = {}
    if html is not None:
        files[html] = page(report).encode("utf-8", "replace")
    if xlsx is not None:
        files[xlsx] = workbook(report)
    write_together(files)
    return list(files)
