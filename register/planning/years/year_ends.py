"""The audits of a register at the end of each year, once what is planned has been done.

It is tried on a copy in memory: every replacement up to that year, entered as a swap would be, and
the whole plant audited anew, so that what they do to one another on a bus shows.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sqlite_utils import Database

from register.audit.judge import Audit, run
from register.intake.replace_device import FAILED, STORED, Swap, swap
from register.maintenance.device_failures import OUT_OF_ORDER
from register.planning.replace.dependent_rules import asks_for_checks
from register.planning.years.plan import Item, SpareItem, YearEnd
from register.planning.years.risk import Risk
from register.planning.years.spare_choice import Bought, Levels, share_at
from register.rulebook.model import Grade, Outcome
from register.store.database import writing

Verdict = tuple[str, str]


@dataclass(frozen=True)
class Planned:
    """What is replaced and what is bought for the store, each in its year; and the risk where a failure waits."""

    items: Sequence[Item]
    spares: Sequence[SpareItem]
    bought: Sequence[Bought]
    levels: Mapping[str, Levels]

    def risk(self, tag: str, own: Risk, year: int) -> float:
        """The risk at a position in a year (from 1), with what is done by then."""
        replaced = any(item.tag == tag and item.year <= year for item in self.items)
        if tag not in self.levels:
            return (own.after if replaced else own.before)[year - 1]
        return self.levels[tag].risk(year, replaced=replaced, share=share_at(self.bought, tag, year))


def year_ends(
    db: Database, audit: Audit, planned: Planned, risks: Mapping[str, Risk], *, years: int
) -> tuple[YearEnd, ...]:
    """Today, and the end of each year of a plan; judged on the same day, so that only swaps count.

    Parameters
    ----------
    db, audit : the register, and how it stands today.
    planned : what is replaced and bought, each in its year.
    risks : the risk at every position, for each year.
    """
    copy = Database(sqlite3.connect(":memory:", isolation_level=None))
    db.conn.backup(copy.conn)
    copy.conn.execute("PRAGMA foreign_keys = ON")
    ends = [_end(0, audit, audit, planned, risks)]
    before = audit
    for year in range(1, years + 1):
        own = [item for item in planned.items if item.year == year]
        spares = [spare for spare in planned.spares if spare.year == year]
        if own or spares:
            _enter(copy, own, spares, audit)
            after = run(copy, audit.pack, today=audit.today, measured_only=audit.measured_only)
        else:
            after = before
        ends.append(_end(year, before, after, planned, risks))
        before = after
    copy.conn.close()
    return tuple(ends)


def _enter(copy: Database, items: Sequence[Item], spares: Sequence[SpareItem], audit: Audit) -> None:
    """Enter what is replaced and bought in one year; a device out of order stays so."""
    with writing(copy, reason="planned replacements"):
        for spare in spares:
            there = {"device_status": "in store", "stored_since": audit.today.isoformat()}
            serial = f"planned spare {spare.nth} {spare.model}"
            copy.table("device").insert({"device": serial, "model": spare.model, **there})
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


def _end(year: int, before: Audit, after: Audit, planned: Planned, risks: Mapping[str, Risk]) -> YearEnd:
    failed, now = _majors(before, Outcome.FAILED), _majors(after, Outcome.FAILED)
    new = tuple(sorted(now - failed))
    done, bought = ([one for one in own if one.year == year] for own in (planned.items, planned.spares))
    now_risk = {tag: planned.risk(tag, r, year) if year else r.before[0] for tag, r in risks.items()}
    return YearEnd(
        year=year,
        spent=sum(one.price for one in (*done, *bought)),
        replaced=len(done),
        bought=len(bought),
        risk=sum(now_risk.values()),
        risk_unplanned=sum(r.before[max(year, 1) - 1] for r in risks.values()),
        majors=len(now),
        cant_tell=len(_majors(after, Outcome.CANT_TELL)),
        cleared=tuple(sorted(failed - now)),
        new=tuple(v for v in new if not asks_for_checks(after.pack.rule(v[1]))),
        outstanding=tuple(v for v in new if asks_for_checks(after.pack.rule(v[1]))),
    )


def _majors(audit: Audit, outcome: Outcome) -> set[Verdict]:
    return {v for v in audit.having(outcome) if audit.pack.rule(v[1]).grade == Grade.MAJOR}
