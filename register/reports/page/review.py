"""The review as a document to print, to read in a meeting, and to sign."""

from __future__ import annotations

from collections.abc import Mapping

from register.audit.comparison import Comparison
from register.audit.report import GRADES, OUTCOMES, Report
from register.reports.page.document import environment, style

MOST_FINDINGS = 5000


def html(report: Report, hashes: Mapping[str, str], compared: Comparison | None = None) -> str:
    """The document; `hashes` are those of the other files of its pack, by name.

    `compared` holds the audit of this review to an earlier one; None leaves that out.
    """
    return (
        environment()
        .get_template("review.html.jinja")
        .render(
            report=report,
            compared=compared,
            hashes=dict(sorted(hashes.items())),
            style=style("page.css", "print.css", "review.css"),
            grades=GRADES,
            outcomes=OUTCOMES,
            most=MOST_FINDINGS,
        )
    )
