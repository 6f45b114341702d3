"""The plant surveyed for its store and its plan: audited, the models tried at every position."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlite_utils import Database

from register.audit.findings import unknowns_of
from register.audit.judge import Audit, Progress, run
from register.audit.session import Session
from register.facts.build import every_gap
from register.facts.standard_tables import load_tables
from register.maintenance.device_failures import LOW_VOLTAGE_V, OUT_OF_ORDER
from register.maintenance.rates_file import RatesFile
from register.planning.replace.catalogue import Candidate
from register.planning.replace.fitting import Fitting, Tried
from register.planning.stock.holdings import READY, STALE, UNSURE, Bare, CatalogueItem, Place, Spare, Stock
from register.planning.stock.stock import stock
from register.planning.years.failure_rates import Rate, rates
from register.planning.years.risk import READS
from register.rulebook.model import Outcome
from register.store.queries import positions

SHELF_LIFE = "lifecycle/spare-shelf-life"
MORE_FACTS = ("description", "area", "motor_voltage_v", "bus_voltage_v")


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
    catalogue: Mapping[str, CatalogueItem]

    def covers(self, tag: str, spare: Spare) -> bool:
        """Whether a device in store is ready, and known to fit at a position."""
        fit = self.tried[tag].get(spare.model or "")
        return spare.state == READY and fit is not None and fit.covers

    def rate(self, tag: str) -> Rate:
        """The rate of the device there; the highest of all where its kind is unknown."""
        facts = self.facts[tag]
        high = (facts["bus_voltage_v"] or facts["motor_voltage_v"] or 0.0) > LOW_VOLTAGE_V
        worst = max((r for r in self.rates.values() if r.high_voltage == high), key=lambda r: r.most_per_year)
        return self.rates.get((facts["device_kind"], high), worst)

    def told_rates(self) -> tuple[Rate, ...]:
        """Those of the kinds that stand anywhere."""
        used = {id(self.rate(tag)) for tag in self.facts}
        return tuple(rate for rate in self.rates.values() if id(rate) in used)


def spares(
    session: Session,
    *,
    service_level_pct: float,
    shared_rates: RatesFile | None = None,
    progress: Progress | None = None,
) -> Stock:
    """What the store should hold for the positions of a register, or of the area asked for.

    Parameters
    ----------
    service_level_pct : probability with which no failure shall have to wait for a delivery.
    shared_rates : failure rates from many plants, to begin with in place of the published ones.
    progress : told how many positions are done, of how many.
    """
    return _held(survey(session, shared_rates=shared_rates, progress=progress), service_level_pct)


def _held(found: Survey, service_level_pct: float) -> Stock:
    """What the store should hold for the positions surveyed, and what to read where none fits."""
    made = stock(
        [place_of(found, tag) for tag in found.facts],
        found.tried,
        found.spares,
        found.catalogue,
        service_level_pct=service_level_pct,
        site=found.site["site"],
        today=found.audit.today.isoformat(),
        currency=found.site.get("currency") or "",
        rates=found.told_rates(),
    )
    to_read = _to_read(found, made.bare)
    return replace(made, bare=tuple(replace(b, to_read=to_read.get(b.tag, ())) for b in made.bare))


def _to_read(found: Survey, bare: Iterable[Bare]) -> dict[str, tuple[str, ...]]:
    """For each position, the fields that would tell whether the nearest model fits; none where it fails anyway."""
    nearest = {b.tag: b.nearest for b in bare if b.nearest is not None and not b.failed}
    return found.fitting.to_read({tag: found.tried[tag][model] for tag, model in nearest.items()})


def place_of(found: Survey, tag: str) -> Place:
    """A position as the store sees it."""
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
    session: Session,
    *,
    tags: Sequence[str] | None = None,
    besides: Collection[str] = (),
    shared_rates: RatesFile | None = None,
    progress: Progress | None = None,
) -> Survey:
    """Audit a register and try the models that can be had at every position, or in the area asked for.

    Parameters
    ----------
    tags : only these positions; what is not asked of others is left out.
    besides : these models are tried everywhere, also where others come nearer.
    shared_rates : failure rates from many plants, to begin with in place of the published ones.
    progress : told how many positions are done, of how many.
    """
    db, pack, today = session.db, session.pack, session.today
    wanted = set(tags) if tags else {row["tag"] for row in positions(db, area=session.request.area)}
    audit = run(db, pack, today=today, measured_only=session.measured_only, tags=tags)
    names = (*READS, *MORE_FACTS)
    facts = {
        row[0]: dict(zip(names, row, strict=True))
        for row in db.conn.execute(f"SELECT {', '.join(names)} FROM facts ORDER BY tag")
        if row[0] in wanted
    }
    spares = _spares(db, audit)
    fitting = Fitting(db, tuple(facts), pack=pack, today=today, measured_only=session.measured_only, besides=besides)
    found: dict[str, dict[str, Tried]] = {}
    for tag, own in fitting.each(tuple(facts)):
        found[tag] = own
        if progress:
            progress(len(found), len(facts))
    return Survey(
        audit=audit,
        site=next(iter(db["site"].rows), {}),
        facts=facts,
        rates=rates(db, tables=load_tables(pack.folder / "tables"), today=today, shared=shared_rates),
        fitting=fitting,
        tried=found,
        spares=spares,
        catalogue={c.model: _item(c) for c in fitting.candidates},
    )


def _item(c: Candidate) -> CatalogueItem:
    return CatalogueItem(c.model, c.kind or None, c.price, c.lead_time_days, c.brings["lifecycle"])


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
