"""The review as a document to print, to read in a meeting, and to sign."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

from markupsafe import Markup

from register.audit.annual_review import AnnualReview
from register.audit.outline import GRADES, OUTCOMES
from register.audit.report import read_at
from register.reports import review_wording as wording
from register.reports.page.document import environment, style
from register.text import natural, visible

MOST_FINDINGS = 5000
MOST_TURNED = 200
SECTIONS = {
    "summary": "Summary and conclusions",
    "control": "Document, distribution, auditors",
    "scope": "Scope and its limits",
    "method": "Method",
    "verified": "Values verified on site",
    "findings": "Findings",
    "concessions": "Concessions",
    "actions": "Actions",
    "work": "The year’s work",
    "unknown": "Can’t tell",
    "since": "Since the last review",
    "sign": "Sign-off",
}
ANNEXES = {
    "criteria": "Criteria",
    "clauses": "Clauses to be verified before this is signed",
    "turned": "Differences that were never findings",
    "iso": "From the clauses of ISO 55001 to this pack",
    "contents": "Contents of the pack",
}
NUMBERED = {name: (str(n), title) for n, (name, title) in enumerate(SECTIONS.items(), 1)} | {
    name: (f"Annex {letter}", title) for letter, (name, title) in zip("ABCDE", ANNEXES.items(), strict=True)
}


def html(review: AnnualReview, hashes: Mapping[str, str]) -> str:
    """The document; `hashes` are those of the other files of its pack, by name."""
    report, compared = review.report, review.comparison
    return (
        environment()
        .get_template("review.html.jinja")
        .render(
            report=report,
            document=review.document,
            compared=compared,
            year=review.year,
            hashes=dict(sorted(hashes.items())),
            style=style("page.css", "print.css", "review.css"),
            grades=GRADES,
            outcomes=OUTCOMES,
            most=MOST_FINDINGS,
            most_turned=MOST_TURNED,
            sections=NUMBERED,
            running=_for_css(f"{review.document.number}, revision {review.document.revision}"),
            folders=_folders(hashes),
            **_said(review),
        )
    )


def _said(review: AnnualReview) -> dict[str, Any]:
    """The sentences and lists that are of the review alone."""
    report, compared, check = review.report, review.comparison, review.to_check
    rows = wording.turned(compared)
    return {
        "summary": wording.summary(report, compared),
        "conclusions": list(wording.conclusions(report)),
        "limits": list(wording.scope_limits(report)),
        "turned": rows,
        "turned_by_cause": wording.turned_by_cause(rows),
        "conceded_majors": wording.conceded_majors(report),
        "clauses": wording.ISO_55001,
        "check": check,
        "drawn": sorted(check.drawn, key=lambda v: (natural(v.tag), v.key, v.column.name)),
        "read_at": read_at,
    }


def _for_css(text: str) -> Markup:
    """A text for a string in a style sheet: every character as its number, so that none ends the string.

    >>> _for_css('A"')
    Markup('\\\\000041\\\\000022')
    """
    return Markup("".join(f"\\{ord(c):06x}" for c in visible(text)))


def _folders(names: Mapping[str, str]) -> list[tuple[str, int]]:
    """(folder, number of files in it and below), by name; folders two deep at the most."""
    return sorted(Counter("/".join(name.split("/")[:-1][:2]) for name in names if "/" in name).items())
