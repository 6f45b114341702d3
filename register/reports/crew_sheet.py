"""A sheet that a crew can carry: by lineup in walking order what is wrong, what to do, who does it and when."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from register.audit.actions import MENDED, OPEN, OVERDUE, Followed
from register.audit.finding import Finding
from register.audit.report import Report
from register.reports.book import Link, Sheet, widths
from register.reports.first import first_sentence, rules_of, takes
from register.text import natural, steps

NAME = "to carry"
HEADINGS = (
    "lineup 8,cubicle 7,position 9,it drives 14,grade 10,what is wrong 28,what to do 46,takes 8,done 5,who 12,until 10"
)
BOX = "☐"


@dataclass(frozen=True, slots=True)
class Crew:
    """The findings that stand, in walking order, with their place in the report's own order."""

    findings: tuple[tuple[int, Finding], ...]
    row_of: Mapping[int, int]
    lineups: Mapping[str, int]
    open: Mapping[tuple[str, str], Followed]
    takes: Mapping[str, str]

    def sheet(self) -> Sheet:
        """The sheet; each lineup begins a page of its own."""
        parts = tuple(self.lineups.values())[1:]
        return Sheet(NAME, widths(HEADINGS), self._rows(), 3, "summary", to_carry=True, parts=parts)

    def _rows(self) -> Iterator[list[Any]]:
        for number, found in self.findings:
            work = self.open.get((found.at, found.rule))
            place = found.place
            yield [
                place.get("bus") or "(lineup unknown)",
                place.get("cubicle"),
                Link(found.at, "findings", number + 1),
                place.get("description"),
                found.grade,
                found.sentence,
                _to_do(found),
                self.takes[found.rule],
                BOX,
                work.assigned_to if work else "",
                work.due_on if work else "",
            ]


def crew(report: Report) -> Crew:
    """What stands, in the order in which someone walks along the lineups; what is conceded is left out."""
    standing = [(n, f) for n, f in enumerate(report.findings) if not f.conceded]
    standing.sort(key=lambda one: _walk(one[1]))
    lineups: dict[str, int] = {}
    for row, (_, found) in enumerate(standing, 1):
        lineups.setdefault(found.place.get("bus") or "(lineup unknown)", row)
    rules = rules_of(report)
    return Crew(
        tuple(standing),
        {number: row for row, (number, _) in enumerate(standing, 1)},
        lineups,
        {(a.at, a.rule): a for a in report.actions if a.state in (OPEN, OVERDUE, MENDED)},
        {f.rule: takes(rules.get(f.rule)) for _, f in standing},
    )


def _walk(found: Finding) -> tuple[Any, ...]:
    """Lineup by lineup, cubicle by cubicle; a lineup's own findings before those of its positions."""
    lineup, cubicle = found.place.get("bus") or "", found.place.get("cubicle") or ""
    return not lineup, natural(lineup), found.subject == "position", natural(cubicle), natural(found.tag)


def _to_do(found: Finding) -> str:
    caution = first_sentence(found.caution)
    return "\n".join([*steps(found.action), *([f"Caution: {caution}"] if caution else [])])
