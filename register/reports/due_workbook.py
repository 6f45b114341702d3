"""The due list as a workbook."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from register.maintenance.model import Due, DueList, Interval
from register.reports.due_calendar import CAUTION, LINEUP_CAUTION
from register.reports.workbook import Sheet, book_of, widths

_DUE = (
    "state 12,due on 12,within 10,tag 14,area 20,lineup 12,what 34,needs 20,protects 12,last done 12,result 10,"
    "counted from 12,interval 20,condition 9,earliest 12,latest 12,why 60,data to collect 50,assumes 50"
)
_INTERVALS = (
    "task 26,about 20,needs 20,protects 12,condition 1 months 12,condition 2 months 12,condition 3 months 12,"
    "source 60,seen 16,where 40,layer 10"
)


def due_book(made: DueList, table: Sequence[Interval]) -> bytes:
    """The whole list with the table it goes by; the same list gives the same bytes."""
    return book_of(_sheets(made, table), title=f"Due at {made.site} until {made.until}", day=made.today)


def _sheets(made: DueList, table: Sequence[Interval]) -> Iterator[Sheet]:
    yield Sheet("due", widths(_DUE), (_row(made, item) for item in made.items), 4)
    yield Sheet("intervals", widths(_INTERVALS), (_interval(row) for row in table), 1)
    yield Sheet("basis", widths("what 30,is 120"), _basis(made), 0)


def _row(made: DueList, item: Due) -> Sequence[Any]:
    return (
        item.state,
        item.on,
        made.ahead(item),
        item.tag,
        item.area,
        item.bus,
        item.what,
        item.needs or item.kind,
        item.protects,
        item.last_on,
        item.last_result,
        item.counted_from,
        item.interval,
        f"{item.condition or 'unknown'}{' (proposed)' if item.proposed else ''}" if item.needs else "",
        item.earliest_on,
        item.latest_on,
        item.why,
        ", ".join(item.read),
        item.assumes,
    )


def _interval(row: Interval) -> Sequence[Any]:
    months = ["unknown" if m is None else m for m in row.months]
    return row.task, row.about, row.needs, row.protects, *months, row.source, row.seen, row.where, row.layer


def _basis(made: DueList) -> Iterator[Sequence[Any]]:
    yield "site", made.site
    yield "as of", made.today
    yield "until", made.until
    yield "area", made.area or "all"
    yield "lineup", made.bus or "all"
    yield from made.counts.items()
    yield "interval to be filled by the site", "; ".join(made.asked) or "none"
    yield "caution", CAUTION
    yield "caution, lineups", LINEUP_CAUTION
