"""What a page draws of time: the kept audits as a line, the installed devices by the year they were made."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from register.audit.outline import GRADES
from register.audit.report import Report
from register.store.overview import Overview, PastAudit

MOST_AUDITS = 8
MOST_YEARS = 20
WIDTH, TOP, BOTTOM = 210.0, 22.0, 74.0


@dataclass(frozen=True, slots=True)
class Line:
    """One figure over the kept audits and today: (day, value, x, y) of each."""

    title: str
    points: tuple[tuple[str, int, float, float], ...]

    @property
    def path(self) -> str:
        """The line as SVG draws it."""
        return "M" + "L".join(f"{x:g} {y:g}" for _, _, x, y in self.points)

    @property
    def says(self) -> str:
        """The line in words."""
        return f"{self.title}: " + ", ".join(f"{value} on {day}" for day, value, _, _ in self.points)


@dataclass(frozen=True, slots=True)
class Year:
    """Devices made in one year, and how many of them are of a withdrawn model; heights in % of the tallest."""

    year: int
    count: int
    withdrawn: int
    height: float
    dark: float


def trend(report: Report, overview: Overview) -> tuple[Line, ...]:
    """Majors and unknown verdicts over the kept audits, today last; nothing where no earlier one is kept."""
    sums = {o: sum(report.grades[g][o] for g in GRADES) for o in ("failed", "cant-tell", "passed")}
    today = report.scope.today
    now = PastAudit(today, report.grades["major"]["failed"], sums["cant-tell"], sum(sums.values()))
    past = [audit for audit in overview.audits if audit.day < today][-MOST_AUDITS + 1 :]
    if not past:
        return ()
    return tuple(_lines([*past, now]))


def _lines(audits: list[PastAudit]) -> Iterator[Line]:
    figures: tuple[tuple[str, Callable[[PastAudit], int]], ...] = (
        ("Major findings", lambda a: a.majors),
        ("Unknown verdicts", lambda a: a.unknown),
    )
    for title, value in figures:
        values = [value(audit) for audit in audits]
        high = max(*values, 1)
        step = WIDTH / (len(audits) - 1)
        yield Line(
            title,
            tuple(
                (audit.day, n, round(14 + place * step, 1), round(BOTTOM - (BOTTOM - TOP) * n / high, 1))
                for place, (audit, n) in enumerate(zip(audits, values, strict=True))
            ),
        )


def years(overview: Overview) -> tuple[Year, ...]:
    """The years from the first device to the last, empty ones too; of more than twenty the oldest are one."""
    known = {year: counts for year, counts in overview.made.items() if year}
    if not known:
        return ()
    last = max(known)
    first = max(min(known), last - MOST_YEARS + 1)
    counts = {year: [0, 0] for year in range(first, last + 1)}
    for year, (all_, withdrawn) in known.items():
        counts[max(year, first)][0] += all_
        counts[max(year, first)][1] += withdrawn
    tall = max(count for count, _ in counts.values())
    return tuple(Year(y, n, gone, 100 * n / tall, 100 * gone / tall) for y, (n, gone) in counts.items())
