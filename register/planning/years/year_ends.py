"""The audits of a register at the end of each year, once what is planned has been done.

It is tried on a copy in memory: every replacement up to that year, entered as a swap would be, and
the whole plant audited anew, so that what they do to one another on a bus shows.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence

from sqlite_utils import Database

from register.audit.judge import Audit, run
from register.intake.replace_device import FAILED, STORED, Swap, swap
from register.planning.replace.dependent_rules import asks_for_checks
from register.planning.years.failure_rates import OUT_OF_ORDER
from register.planning.years.plan import Item, YearEnd
from register.planning.years.risk import Risk
from register.rulebook.model import Grade, Outcome
from register.store.database import writing

Verdict = tuple[str, str]


def year_ends(
    db: Database, audit: Audit, items: Sequence[Item], risks: Mapping[str, Risk], *, years: int
) -> tuple[YearEnd, ...]:
    """Today, and the end of each year of a plan; judged on the same day, so that only swaps count.

    Parameters
    ----------
    db, audit : the register, and how it stands today.
    items : what is replaced, each in its year.
    risks : the risk at every position, for each year.
    """
    copy = Database(sqlite3.connect(":memory:", isolation_level=None))
    db.conn.backup(copy.conn)
    copy.conn.execute("PRAGMA foreign_keys = ON")
    ends = [_end(0, audit, audit, (), items, risks)]
    before = audit
    for year in range(1, years + 1):
        own = [item for item in items if item.year == year]
        if own:
            _enter(copy, own, audit)
            after = run(copy, audit.pack, today=audit.today, measured_only=audit.measured_only)
        else:
            after = before
        ends.append(_end(year, before, after, own, items, risks))
        before = after
    copy.conn.close()
    return tuple(ends)


def _enter(copy: Database, items: Sequence[Item], audit: Audit) -> None:
    """Enter what is replaced in one year; a device out of order stays so."""
    with writing(copy, reason="planned replacements"):
        for item in items:
            device = item.candidate
            status = copy.execute("SELECT device_status FROM device WHERE device = ?", [item.old_device]).fetchone()
            swap(
                copy,
                Swap(
                    item.tag,
                    out=FAILED if status and status[0] in OUT_OF_ORDER else STORED,
                    cause="planned replacement",
                    stored=device.stored,
                    model="" if device.stored else device.model,
                    serial="" if device.stored else f"planned for {item.tag}",
                    values=device.settings,
                ),
                today=audit.today,
            )


def _end(
    year: int, before: Audit, after: Audit, done: Sequence[Item], items: Sequence[Item], risks: Mapping[str, Risk]
) -> YearEnd:
    failed, now = _majors(before, Outcome.FAILED), _majors(after, Outcome.FAILED)
    new = tuple(sorted(now - failed))
    replaced = {item.tag for item in items if item.year <= year}
    at = max(year, 1) - 1
    return YearEnd(
        year=year,
        spent=sum(item.price for item in done),
        replaced=len(done),
        risk=sum((r.after if tag in replaced else r.before)[at] for tag, r in risks.items()),
        risk_unplanned=sum(r.before[at] for r in risks.values()),
        majors=len(now),
        cant_tell=len(_majors(after, Outcome.CANT_TELL)),
        cleared=tuple(sorted(failed - now)),
        new=tuple(v for v in new if not asks_for_checks(after.pack.rule(v[1]))),
        outstanding=tuple(v for v in new if asks_for_checks(after.pack.rule(v[1]))),
    )


def _majors(audit: Audit, outcome: Outcome) -> set[Verdict]:
    return {v for v in audit.having(outcome) if audit.pack.rule(v[1]).grade == Grade.MAJOR}
