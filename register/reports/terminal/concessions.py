"""Concessions in a terminal: how each stands, and what they come to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from register.audit.concessions import ASKED, STATUSES, UNUSED, USED, VOID, Standing
from register.audit.outline import GRADES, Outline
from register.reports.terminal.layout import table, titled


def section(report: Outline) -> RenderableType | None:
    """The concessions of an audit, and the findings with them and without; None if there is none.

    Those refused or withdrawn are history, and stand in the list of all.
    """
    if not report.concessions:
        return None
    made = table("Grade", "failed ", "conceded ", "standing ")
    for grade in GRADES:
        made.add_row(
            grade, *(str(n) for n in (report.grades[grade]["failed"], report.conceded[grade], report.standing[grade]))
        )
    sums = [
        sum(report.grades[g]["failed"] for g in GRADES),
        sum(report.conceded.values()),
        sum(report.standing.values()),
    ]
    made.add_row("all", *map(str, sums), style="bold")
    parts: list[RenderableType] = [made]
    for heading, group in _groups(report):
        parts += [Text(), Text(f"{heading}: {len(group)}", style="bold")]
        parts += [_line(standing) for standing in group]
    return titled("Concessions", Group(*parts))


def _groups(report: Outline) -> Iterator[tuple[str, list[Standing]]]:
    """The concessions of a report that are worth a look, under their headings."""
    again = {finding.concession.concession_id for finding in report.lapsed}

    def of(status: str) -> list[Standing]:
        return [s for s in report.concessions if s.status == status]

    lapsed = [s for s in of(VOID) if s.concession_id in again]
    for heading, group in (
        ("Void, and the finding stands again", lapsed),
        ("Void, and of no more use", [s for s in of(VOID) if s not in lapsed]),
        ("Used", of(USED)),
        ("Not needed now", of(UNUSED)),
        ("Asked for, not decided", of(ASKED)),
    ):
        if group:
            yield heading, group


def table_of(found: Iterable[Standing]) -> RenderableType:
    """Every concession, grouped by how it stands."""
    found = list(found)
    if not found:
        return Text("No concession was asked for. startroll concede ask asks for one.")
    parts: list[RenderableType] = []
    for status in sorted({s.status for s in found}, key=STATUSES.index):
        group = [s for s in found if s.status == status]
        title = f"{status.capitalize()}: {len(group)}"
        parts.append(titled(title, Group(*(_line(s) for s in group))))
    return Group(*parts)


def _line(standing: Standing) -> RenderableType:
    head = Text()
    head.append(f"{standing.concession_id:>3}  ")
    head.append(standing.at, style="bold")
    head.append(f"  {standing.rule}")
    body = Text(f"{standing.why}.\nReason ({standing.asked_by}): {standing.reason}")
    return Group(head, Padding(body, (0, 0, 0, 5), expand=False))
