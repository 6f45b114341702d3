"""Failures and trips recorded since, against what kept audits had found: does failing a rule go before a failure?

It counts and claims nothing more: positions that fail a rule differ in other things too, and a finding that someone
corrects after the audit counts as failed until the next one.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from math import isfinite

from sqlite_utils import Database

from register.maintenance.model import BackTest, RuleOutcome
from register.maintenance.rate_ratio import rate_ratio
from register.store.audits import KeptAudit, kept_audits, verdicts_of

# Which failures a theme of rules speaks of, in the letters of ISO 14224, table B.6 (from memory); the pairing is common
# practice. Themes that are not here are about papers: every failure counts for them.
MODES = {
    "overload": ("UST", "OHE", "BRD"),
    "settings": ("FTS", "UST", "OHE", "STP"),
    "start-study": ("FTS", "UST", "OHE"),
    "sizing": ("BRD", "OHE", "UST", "FTS"),
    "duty": ("BRD", "OHE", "UST"),
    "line-protection": ("UST", "BRD"),
    "control": ("FTS", "STP", "UST"),
    "bypass": ("FTS", "BRD"),
    "lifecycle": ("BRD", "FTS", "PDE", "UST"),
}
FAILED, PASSED = "F", "P"  # as the store keeps outcomes
LEVEL, LEAST_FAILURES = 0.90, 10
DAYS_PER_YEAR = 365.25
TOO_FEW, MORE, LESS, NO_DIFFERENCE = "too few to say", "more often", "less often", "no difference shown"


@dataclass(frozen=True, slots=True)
class Period:
    """A kept audit and the time until the next: its verdicts as letters by tag, in the order of `rules`.

    `ends` has the day for a position that the next audit did not judge, as it was of another area.
    """

    start: str
    end: str
    rules: Sequence[str]
    verdicts: Mapping[str, str]
    ends: Mapping[str, str] = field(default_factory=dict)

    def end_of(self, tag: str) -> str:
        """The last day that counts for a position."""
        return self.ends.get(tag, self.end)


def back_test(db: Database, *, today: date) -> BackTest:
    """Every rule of the audits kept before a day, with the failures recorded up to that day."""
    kept = sorted(
        (audit for audit in kept_audits(db) if audit.today < today.isoformat()), key=lambda a: (a.today, a.audit_id)
    )
    if not kept:
        return BackTest((), today.isoformat(), 0, (), 0.0)
    periods = _periods(db, kept, today.isoformat())
    sql = "SELECT tag, happened_on, failure_mode FROM event WHERE happened_on <= ?"
    events = [(tag, day, mode or "UNK") for tag, day, mode in db.execute(sql, [today.isoformat()])]
    rules = tuple(outcomes(periods, events))
    told = sum(rule.says != TOO_FEW for rule in rules)
    counted = sum(day > kept[0].today for _, day, _ in events)
    names = tuple(audit.name for audit in kept)
    return BackTest(names, today.isoformat(), counted, rules, round(told * (1 - LEVEL), 1))


def _periods(db: Database, kept: Sequence[KeptAudit], today: str) -> list[Period]:
    """The time of each audit: for a position in service until the next that judged it, for a retired one until any."""
    in_service = {tag for (tag,) in db.execute("SELECT tag FROM position")}
    next_of: dict[str, str] = dict.fromkeys(in_service, today)
    periods, end = [], today
    for audit in reversed(kept):
        verdicts = verdicts_of(db, audit)
        ends = {tag: next_of[tag] for tag in verdicts if tag in next_of}
        periods.append(Period(audit.today, end, audit.rules, verdicts, ends))
        next_of |= dict.fromkeys(verdicts, audit.today)
        end = audit.today
    return periods[::-1]


def outcomes(periods: Sequence[Period], events: Iterable[tuple[str, str, str]]) -> Iterator[RuleOutcome]:
    """Each rule of the periods, those that are told apart first.

    A position counts in a period from its audit until the first failure of the rule's kind, or the next audit: one
    that trips ten times counts once. Where a rule was neither failed nor passed, it is in neither group.
    """
    days: dict[tuple[str, str], list[str]] = defaultdict(list)
    for tag, day, mode in sorted(events, key=lambda event: event[1]):
        days[tag, mode].append(day)
    themes = {rule: MODES.get(rule.partition("/")[0], ()) for period in periods for rule in period.rules}
    every = tuple(sorted({mode for _, mode in days}))
    first = {modes: _firsts(periods, days, modes or every) for modes in set(themes.values())}
    made = [_outcome(rule, modes, periods, first[modes]) for rule, modes in themes.items()]
    order = (MORE, LESS, NO_DIFFERENCE, TOO_FEW)
    yield from sorted(made, key=lambda r: (order.index(r.says), -(r.low or 0), r.rule))


def _firsts(periods: Sequence[Period], days: Mapping[tuple[str, str], list[str]], modes: tuple[str, ...]):
    """For each period, by tag the years it counts and whether it ended with a failure of these kinds."""
    found = []
    for period in periods:
        own: dict[str, tuple[float, int]] = {}
        for tag in period.verdicts:
            after = [d for mode in modes if (d := _next(days.get((tag, mode), []), period.start, period.end_of(tag)))]
            own[tag] = (_years(period.start, min(after)), 1) if after else (_years(period.start, period.end_of(tag)), 0)
        found.append(own)
    return found


def _next(days: list[str], start: str, end: str) -> str | None:
    place = bisect_right(days, start)
    return days[place] if place < len(days) and days[place] <= end else None


@cache
def _years(start: str, end: str) -> float:
    return (date.fromisoformat(end) - date.fromisoformat(start)).days / DAYS_PER_YEAR


def _outcome(rule: str, modes: tuple[str, ...], periods: Sequence[Period], firsts) -> RuleOutcome:
    count, years = {FAILED: 0, PASSED: 0}, {FAILED: 0.0, PASSED: 0.0}
    for period, own in zip(periods, firsts, strict=True):
        if rule in period.rules:
            place = list(period.rules).index(rule)
            for tag, letters in period.verdicts.items():
                if letters[place] in count:
                    years[letters[place]] += own[tag][0]
                    count[letters[place]] += own[tag][1]
    ratio, low, high, says = None, None, None, TOO_FEW
    if years[FAILED] and years[PASSED] and sum(count.values()):
        bounds = rate_ratio(count[FAILED], years[FAILED], count[PASSED], years[PASSED], level=LEVEL)
        ratio, low, high = (value if isfinite(value) else None for value in bounds)
        if sum(count.values()) >= LEAST_FAILURES:
            says = MORE if bounds[1] > 1 else LESS if bounds[2] < 1 else NO_DIFFERENCE
    return RuleOutcome(rule, modes, count[FAILED], years[FAILED], count[PASSED], years[PASSED], ratio, low, high, says)
