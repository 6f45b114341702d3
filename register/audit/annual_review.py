"""The annual review: what was judged, by what, with what result, to be written down and signed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from register.audit.comparison import Comparison
from register.audit.difference_causes import compare
from register.audit.report import Report
from register.audit.results import report_of
from register.audit.session import Session
from register.intake.export import tables_as_csv
from register.rulebook.load.files import files_in
from register.store.audits import kept_audit


@dataclass(frozen=True, slots=True)
class AnnualReview:
    """The report of an audit with its criteria and data as files, and the audit of an earlier year.

    `rules` and `tables` are files by name: those of the pack and the site, and the register's tables
    as CSV.
    """

    report: Report
    rules: Mapping[str, bytes]
    tables: Mapping[str, bytes]
    comparison: Comparison | None = None


def annual_review(session: Session, *, since: str | None = None) -> AnnualReview:
    """The review of the open register on the session's day.

    Parameters
    ----------
    since : number or day of the kept audit that the one kept for that day is compared with.

    Raises StartrollError when an audit that is to be compared was not kept.
    """
    report = report_of(session, with_starts=True)
    present = kept_audit(session.db, session.today.isoformat()) if since else None
    return AnnualReview(
        report=report,
        rules=files_in(session.pack.folder, session.pack.site_folder),
        tables=tables_as_csv(session.db),
        comparison=compare(session.db, since, str(present.audit_id)) if since and present else None,
    )
