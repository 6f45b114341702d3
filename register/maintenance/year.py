"""What a year of the programme showed: what was done on time, what each task found, how old open actions are."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date
from pathlib import Path

from dateutil.relativedelta import relativedelta
from sqlite_utils import Database

from register.maintenance.due_tasks import applies, installed
from register.maintenance.intervals import SPARE, intervals
from register.maintenance.model import AreaYear, Interval, OpenActions, TaskYear, YearOfWork
from register.maintenance.past_conditions import Since, changes, course, falls_due
from register.maintenance.places import Place, Record, lineup_areas, places
from register.store import actions

ON_TIME, LATE, MISSED, UNKNOWN = "on time", "late", "missed", "unknown"
LEVEL = 0.90
# From which share of checks that found something a task is worth a shorter interval, and below which a longer one.
FINDS_MUCH, FINDS_LITTLE = 0.10, 0.05
# What guards people is never proposed to be looked at less often.
NEVER_LONGER = ("people", "fire")
AGES = ((30, "up to 30 days"), (90, "31 to 90 days"), (365, "91 to 365 days"))


def year_of_work(
    db: Database, *, today: date, since: date | None = None, area: str | None = None, site_rules: Path | None = None
) -> YearOfWork:
    """The year up to a day, or from another day on.

    A task is counted for each day on which it fell due in that time, by the interval of the condition that governed
    then: what people entered as it stood on that day, what is proposed as of `today`. On time is a check made by that
    day; late one made after it; missed none made by `today`. It is unknown where the interval is. A task
    without any record is counted apart.
    """
    table = [row for row in intervals(site_rules) if row.task != SPARE]
    begin, day = (since or today - relativedelta(years=1)).isoformat(), today.isoformat()
    by_area: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    never, changed = 0, changes(db)
    for place in places(db, today=day, area=area):
        over = course(place, changed, today)
        for row in table:
            there = applies(place, row.about)
            if there is False:
                continue
            done = _records(place, row)
            if not done:
                never += there is True
                continue
            found[row.task, row.about] += [result for done_on, result in done if begin <= done_on <= day]
            for state in _states(done, row, over, begin, day):
                by_area[place.row["area"] or ""][state] += 1
    return YearOfWork(
        since=begin,
        today=day,
        areas=tuple(_area(name, by_area[name]) for name in sorted(by_area)),
        never_recorded=never,
        tasks=tuple(task_year(row, found[row.task, row.about]) for row in table),
        actions=_open_actions(db, today, area),
    )


def _records(place: Place, row: Interval) -> list[Record]:
    """The records of a task that count at a position or of a lineup where it applies, oldest first."""
    since = (installed(place, row.about) or ("", None))[1]
    return [r for r in place.records.get(row.task, ()) if since is None or r[0] >= since]


def _states(done: list[Record], row: Interval, over: tuple[Since, ...], begin: str, today: str) -> Iterator[str]:
    """How each of the days on which a task fell due came out."""
    for place, (day, _) in enumerate(done):
        following = done[place + 1][0] if place + 1 < len(done) else None
        earliest, latest = falls_due(day, row, over)
        if earliest == latest and latest is not None:
            if begin <= latest < today:
                yield MISSED if following is None else ON_TIME if following <= latest else LATE
        elif following is None and not (earliest is not None and earliest >= today):
            yield MISSED if latest is not None and begin <= latest < today else UNKNOWN


def _area(name: str, counts: dict[str, int]) -> AreaYear:
    return AreaYear(name, counts[ON_TIME], counts[LATE], counts[MISSED], counts[UNKNOWN])


def task_year(row: Interval, results: Iterable[str]) -> TaskYear:
    """What a task found in the checks of a year, and what its share of findings speaks for.

    The share has its exact 90 % interval (Clopper and Pearson, Biometrika 26, 1934). A shorter
    interval is proposed where even its lower end finds much, a longer one where even its upper end finds little: 59
    checks without a finding are needed for that. Bounds of much and little are common practice.
    """
    results = list(results)
    failed = results.count("failed")
    if not results:
        return TaskYear(row.task, row.about, 0, 0, None, None, "no record of it in this time")
    low, high = _exact(failed, len(results))
    return TaskYear(row.task, row.about, len(results), failed, low, high, _proposal(row, low, high))


def _exact(count: int, total: int) -> tuple[float, float]:
    """The ends of the exact interval of a share: quantiles of two beta distributions."""
    # scipy.stats has it ready, and takes a second to load.
    from scipy.special import betaincinv

    tail = (1 - LEVEL) / 2
    low = float(betaincinv(count, total - count + 1, tail)) if count else 0.0
    return low, float(betaincinv(count + 1, total - count, 1 - tail)) if count < total else 1.0


def _proposal(row: Interval, low: float, high: float) -> str:
    if low >= FINDS_MUCH:
        return "finds much: a shorter interval may be worth it"
    if high <= FINDS_LITTLE:
        kept = row.protects in NEVER_LONGER
        return f"finds little, and guards {row.protects}: keep it" if kept else "finds little: a longer one may do"
    return "too few to say" if low < FINDS_LITTLE and high > FINDS_MUCH else "no reason to change it"


def _open_actions(db: Database, today: date, area: str | None) -> tuple[OpenActions, ...]:
    """Open corrective actions by the days since they were assigned."""
    within = {("position", tag) for (tag,) in db.execute("SELECT tag FROM position WHERE area = ?", [area])}
    within |= {("bus", bus) for bus, own in lineup_areas(db).items() if own == area}
    opened = [row for row in actions.rows(db) if row["closed_on"] is None]
    if area is not None:
        opened = [row for row in opened if (row["subject"], row["tag"]) in within]
    ages = [(today - date.fromisoformat(row["assigned_on"])).days for row in opened]
    overdue = [row["due_on"] < today.isoformat() for row in opened]
    made, low = [], -1
    for most, told in (*AGES, (10**6, "over a year")):
        own = [late for age, late in zip(ages, overdue, strict=True) if low < age <= most]
        made.append(OpenActions(told, len(own), sum(own)))
        low = most
    return tuple(made)
