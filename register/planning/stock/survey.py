"""The plant surveyed for its store and its plan: audited, every model tried at every position."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from register.audit.judge import Audit, run, unknowns_of
from register.facts.build import every_gap
from register.facts.standard_tables import load_tables
from register.planning.replace.catalogue import Offer
from register.planning.replace.fitting import Fitting, Tried
from register.planning.stock.holdings import READY, STALE, UNSURE, Bare, Fits, Place, Spare, Stock, Ware
from register.planning.stock.stock import stock
from register.planning.years.failure_rates import LOW_VOLTAGE_V, OUT_OF_ORDER, Rate, rates
from register.planning.years.risk import READS
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Outcome, Pack
from register.store import clock
from register.store.database import opened
from register.store.queries import positions

SHELF_LIFE = "lifecycle/spare-shelf-life"
MORE_FACTS = ("description", "area", "motor_voltage_v", "bus_voltage_v")
Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Survey:
    """Everything that a store and a plan are worked out of."""

    audit: Audit
    site: Mapping[str, Any]
    facts: Mapping[str, dict[str, Any]]
    rates: Mapping[tuple[str, bool], Rate]
    fitting: Fitting
    tried: Mapping[str, Mapping[str, Tried]]
    spares: tuple[Spare, ...]
    wares: Mapping[str, Ware]

    @property
    def fits(self) -> Fits:
        """How each model fits at each position."""
        return {tag: {m: t.fit for m, t in own.items()} for tag, own in self.tried.items()}

    def covers(self, tag: str, spare: Spare) -> bool:
        """Whether a device in store is ready, and known to fit at a position."""
        fit = self.tried[tag].get(spare.model or "")
        return spare.state == READY and fit is not None and fit.fit.covers

    def rate(self, tag: str) -> Rate:
        """The rate of what is installed there; the highest of all where its kind is unknown."""
        facts = self.facts[tag]
        high = (facts["bus_voltage_v"] or facts["motor_voltage_v"] or 0.0) > LOW_VOLTAGE_V
        worst = max((r for r in self.rates.values() if r.high_voltage == high), key=lambda r: r.most_per_year)
        return self.rates.get((facts["device_kind"], high), worst)

    def told_rates(self) -> tuple[Rate, ...]:
        """Those of the kinds that stand anywhere."""
        used = {id(self.rate(tag)) for tag in self.facts}
        return tuple(rate for rate in self.rates.values() if id(rate) in used)


def spares(
    path: Path,
    *,
    service_level_pct: float,
    today: date | None = None,
    site_rules: Path | None = None,
    measured_only: bool = False,
    area: str | None = None,
    progress: Progress | None = None,
) -> Stock:
    """What the store should hold for the positions of a register, or of one area.

    Parameters
    ----------
    service_level_pct : probability with which no failure shall have to wait for a delivery.
    today : the day it is judged on; without, the day that it is on site.
    progress : told how many positions are done, of how many.
    """
    pack = load_pack(site_folder=site_rules)
    with opened(path, write=os.access(path, os.W_OK)) as db:
        found = survey(
            db, pack, today=today or clock.today(db), measured_only=measured_only, area=area, progress=progress
        )
        return _held(found, service_level_pct)


def _held(found: Survey, service_level_pct: float) -> Stock:
    """What the store should hold for the positions surveyed, and what to read where none fits."""
    made = stock(
        [_place(found, tag) for tag in found.facts],
        found.fits,
        found.spares,
        found.wares,
        service_level_pct=service_level_pct,
        site=found.site["site"],
        today=found.audit.today.isoformat(),
        currency=found.site.get("currency") or "",
        rates=found.told_rates(),
    )
    bare = tuple(replace(b, to_read=_to_read(found, b)) for b in made.bare)
    return replace(made, bare=bare)


def _to_read(found: Survey, bare: Bare) -> tuple[str, ...]:
    """The fields that would tell whether the nearest model fits; none where it fails anyway."""
    if bare.nearest is None or bare.failed:
        return ()
    return found.fitting.to_read(bare.tag, found.tried[bare.tag][bare.nearest])


def _place(found: Survey, tag: str) -> Place:
    facts = found.facts[tag]
    return Place(
        tag,
        facts["criticality"],
        facts["standby"],
        facts["device_kind"],
        facts["model"],
        found.rate(tag),
        has_failed=facts["device_status"] in OUT_OF_ORDER,
    )


def survey(
    db: Database,
    pack: Pack,
    *,
    today: date,
    measured_only: bool = False,
    area: str | None = None,
    progress: Progress | None = None,
) -> Survey:
    """Audit a register and try every model that can be had at every position, or in one area."""
    wanted = {row["tag"] for row in positions(db, area=area)}
    audit = run(db, pack, today=today, measured_only=measured_only)
    names = (*READS, *MORE_FACTS)
    facts = {
        row[0]: dict(zip(names, row, strict=True))
        for row in db.conn.execute(f"SELECT {', '.join(names)} FROM facts ORDER BY tag")
        if row[0] in wanted
    }
    spares = _spares(db, audit)
    fitting = Fitting(db, tuple(facts), pack=pack, today=today, measured_only=measured_only)
    found: dict[str, dict[str, Tried]] = {}
    for tag, own in fitting.each(tuple(facts)):
        found[tag] = own
        if progress:
            progress(len(found), len(facts))
    return Survey(
        audit=audit,
        site=next(iter(db["site"].rows), {}),
        facts=facts,
        rates=rates(db, tables=load_tables(pack.folder / "tables"), today=today),
        fitting=fitting,
        tried=found,
        spares=spares,
        wares={offer.model: _ware(offer) for offer in fitting.offers},
    )


def _ware(offer: Offer) -> Ware:
    lead = offer.lead_time_days
    return Ware(offer.model, offer.kind or None, offer.price, lead, offer.brings["lifecycle"])


def _spares(db: Database, audit: Audit) -> tuple[Spare, ...]:
    """The devices in store, each with what the audit says of its shelf life."""
    rows = db.query("SELECT device, model FROM device WHERE device_status = 'in store'")
    if not audit.has(SHELF_LIFE, "device in store"):
        return tuple(Spare(row["device"], row["model"], READY) for row in rows)
    rule = audit.pack.rule(SHELF_LIFE)
    open_ = {u.tag: u.fields for u in unknowns_of(db, audit, rule, every_gap(db))}
    states = {Outcome.FAILED: STALE, Outcome.CANT_TELL: UNSURE}
    return tuple(
        Spare(
            row["device"],
            row["model"],
            states.get(audit.outcome(row["device"], SHELF_LIFE), READY),
            open_.get(row["device"], ()),
        )
        for row in rows
    )
