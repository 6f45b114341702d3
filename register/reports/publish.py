"""A report written to files: as a page, a workbook, a SARIF log, JSON."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from register.audit.report import Report
from register.errors import Problem, StartrollError
from register.maintenance.model import YearOfWork
from register.store.output_file import refuse_taken, write_together
from register.store.overview import Overview


def publish(
    report: Report,
    *,
    html: Path | None = None,
    xlsx: Path | None = None,
    sarif: Path | None = None,
    json: Path | None = None,
    only_failed: bool = False,
    overview: Overview | None = None,
    year: YearOfWork | None = None,
) -> list[Path]:
    """Write one report in every form asked for, all of the files or none.

    Parameters
    ----------
    html, xlsx, sarif, json : where each form is written; None leaves it out.
    only_failed : leave out of the SARIF log all but what failed.
    overview : what the page's pictures show beside the verdicts; None leaves those pictures out.
    year : what a year of the maintenance programme showed, for the page.

    Raises StartrollError when no form is asked for, two share a place, or a place is taken or
    cannot be written.
    """
    wanted = {"html": html, "xlsx": xlsx, "sarif": sarif, "json": json}
    places = {form: place for form, place in wanted.items() if place is not None}
    check(places)
    shown: dict[str, Any] = {"only_failed": only_failed, "overview": overview, "year": year}
    files = {place: rendered(report, form, **shown) for form, place in places.items()}
    write_together(files)
    return list(files)


def check(places: dict[str, Path]) -> None:
    """Raise StartrollError when these places cannot all be written, before any work is done."""
    if not places:
        raise StartrollError(
            Problem("no report is asked for", "say --html FILE, --xlsx FILE, --sarif FILE or --json FILE")
        )
    if len({place.absolute() for place in places.values()}) < len(places):
        raise StartrollError(Problem("two reports are to be written to one place", "name two files"))
    refuse_taken(*places.values())


def rendered(
    report: Report,
    form: str,
    *,
    only_failed: bool = False,
    overview: Overview | None = None,
    year: YearOfWork | None = None,
) -> bytes:
    """The report in one form: `html`, `xlsx`, `sarif` or `json`."""
    if form == "html":
        from register.reports.page.document import html

        return html(report, overview, year).encode("utf-8", "replace")
    if form == "xlsx":
        from register.reports.workbook import workbook

        return workbook(report)
    if form == "sarif":
        from register.reports.sarif import text

        return text(report, only_failed=only_failed).encode("utf-8", "backslashreplace")
    from register.reports.json_data import report as as_data
    from register.reports.json_data import written

    return (written(as_data(report)) + "\n").encode("utf-8", "backslashreplace")
