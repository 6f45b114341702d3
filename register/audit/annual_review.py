"""The annual review: what was judged, by what, with what result, to be written down and signed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from register.audit.comparison import Comparison
from register.audit.difference_causes import compare
from register.audit.report import Report
from register.audit.results import report_of
from register.audit.session import Session
from register.audit.values_to_check import ValuesToCheck, values_to_check
from register.intake.export import tables_as_csv
from register.maintenance.model import YearOfWork
from register.maintenance.year import year_of_work
from register.rulebook.load.files import files_in
from register.store.audits import kept_audit


@dataclass(frozen=True, slots=True)
class ReviewDocument:
    """What makes a review a controlled document: its number and revision, who gets it, who audited.

    What is empty is a blank on paper, to be filled in by hand. `independence` says what the auditors have to do with
    what they audited.
    """

    number: str = ""
    revision: str = "0"
    distribution: tuple[str, ...] = ()
    auditors: tuple[str, ...] = ()
    independence: str = ""


@dataclass(frozen=True, slots=True)
class AnnualReview:
    """The report of an audit with its criteria and data as files, and the audit of an earlier year.

    `rules` and `tables` are files by name: those of the pack and the site, and the register's tables
    as CSV. `to_check` are values drawn to be verified on site, `year` is what a year of the maintenance programme
    showed.
    """

    report: Report
    rules: Mapping[str, bytes]
    tables: Mapping[str, bytes]
    comparison: Comparison | None = None
    document: ReviewDocument = ReviewDocument()
    to_check: ValuesToCheck = field(default_factory=ValuesToCheck)
    year: YearOfWork | None = None


def annual_review(
    session: Session, *, since: str | None = None, document: ReviewDocument | None = None
) -> AnnualReview:
    """The review of the open register on the session's day.

    Parameters
    ----------
    since : number or day of the kept audit that the one kept for that day is compared with.
    document : its number, revision, distribution, auditors; without a number it gets one of site and day.

    Raises StartrollError when an audit that is to be compared was not kept.
    """
    report = report_of(session, with_starts=True)
    present = kept_audit(session.db, session.today.isoformat()) if since else None
    tables = tables_as_csv(session.db)
    return AnnualReview(
        report=report,
        rules=files_in(session.pack.folder, session.pack.site_folder),
        tables=tables,
        comparison=compare(session.db, since, str(present.audit_id)) if since and present else None,
        document=_numbered(document or ReviewDocument(), report),
        to_check=values_to_check(session.db, tables),
        year=year_of_work(session.db, today=session.today, site_rules=session.request.site_rules),
    )


def _numbered(document: ReviewDocument, report: Report) -> ReviewDocument:
    """The document with its number: as given, or of the site's name and the day."""
    letters = "".join(c if c.isalnum() else " " for c in report.scope.site).split()
    made = "-".join(["MSR", *letters, report.scope.today.replace("-", "")]).upper()
    return replace(document, number=document.number or made)
