"""A plan of replacements: candidates, risk, the choice within the budgets, and audits to come."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from math import floor, inf
from pathlib import Path

from register.audit.judge import Audit
from register.calc.spares import DAYS_PER_YEAR
from register.facts.standard_tables import load_tables
from register.planning.replace.fitting import Tried
from register.planning.stock.holdings import READY
from register.planning.stock.survey import Progress, Survey, survey
from register.planning.years.choice import Chosen, Option, choose
from register.planning.years.failure_rates import OUT_OF_ORDER
from register.planning.years.plan import Candidate, Item, Left, Plan
from register.planning.years.risk import Load, Risk, risk
from register.planning.years.year_ends import year_ends
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Outcome
from register.store import clock
from register.store.database import opened

TRIPS = "lifecycle/repeat-trips"
WITHDRAWN = "withdrawn"


@dataclass(frozen=True)
class _Case:
    """A position with the ways in which it could be replaced, the best one first."""

    tag: str
    candidates: tuple[Candidate, ...]
    risk: Risk


def plan(
    path: Path,
    *,
    years: int,
    budget: float,
    outages: int | None = None,
    today: date | None = None,
    site_rules: Path | None = None,
    measured_only: bool = False,
    area: str | None = None,
    progress: Progress | None = None,
) -> Plan:
    """Which devices of a register to replace in which year, for the most risk taken away.

    Parameters
    ----------
    years, budget, outages : how many years; what may be spent, and how often be swapped, in each.
    today : the day it is judged on; without, the day that it is on site.
    progress : told how many positions are done, of how many.
    """
    pack = load_pack(site_folder=site_rules)
    with opened(path, write=os.access(path, os.W_OK)) as db:
        day = today or clock.today(db)
        asked = {"today": day, "measured_only": measured_only}
        found = survey(db, pack, area=area, progress=progress, **asked)
        cases = [_case(found, tag, years) for tag in found.facts if found.facts[tag]["device"]]
        worth = {case.tag: case for case in cases if max(case.risk.taken_away()) > 0.0}
        choice = choose(
            [o for case in worth.values() for o in _options(case)], years=years, budget=budget, outages=outages
        )
        items = tuple(_item(found, worth[c.option.place], c) for c in choice.chosen)
        risks = {case.tag: case.risk for case in cases}
        ends = year_ends(db, found.audit, items, risks, years=years)
    done = {item.tag for item in items}
    return Plan(
        site=found.site["site"],
        today=day.isoformat(),
        currency=found.site.get("currency") or "",
        years=years,
        budget=budget,
        outages=outages,
        items=items,
        left=tuple(
            sorted(
                (_left(found, case, years, budget) for tag, case in worth.items() if tag not in done),
                key=lambda left: -left.risk.taken_away()[0],
            )
        ),
        ends=ends,
        better_pct=choice.better_pct,
        rates=tuple((rate.name, rate.told) for rate in found.told_rates()),
        sound=len(cases) - len(worth),
        waiting=sum(case.risk.waits for case in cases),
        waiting_risk=sum(case.risk.now for case in cases if case.risk.waits),
    )


def _case(found: Survey, tag: str, years: int) -> _Case:
    candidates = tuple(_candidates(found, tag))
    best = candidates[0] if candidates else None
    failing = _failing(found, tag)
    load = Load(
        rate=found.rate(tag),
        has_spare=any(found.covers(tag, spare) for spare in found.spares),
        repeats_trips=_fails(found.audit, tag, TRIPS),
        fails_majors=len(failing),
        clears=best is not None and bool(best.clears),
        lead_time_days=best.lead_time_days if best else None,
    )
    weights = load_tables(found.audit.pack.folder / "tables")["replacement-risk"]
    made = risk(found.facts[tag], load, years=years, today=found.audit.today, weights=weights)
    return _Case(tag, candidates, made)


def _fails(audit: Audit, tag: str, rule: str) -> bool:
    return audit.has(rule, "position") and audit.outcome(tag, rule) == Outcome.FAILED


def _failing(found: Survey, tag: str) -> tuple[str, ...]:
    """The major rules that what is installed there fails, however it is set: no setting corrects them."""
    own = found.tried[tag].get(found.facts[tag]["model"] or "")
    failed = own.fit.failed if own else ()
    return tuple(rule for rule in failed if _fails(found.audit, tag, rule))


def _candidates(found: Survey, tag: str) -> Iterator[Candidate]:
    """What could go there and fails no major rule: from store where it has failed, else bought."""
    facts = found.facts[tag]
    fit = [one for one in _ranked(found, tag) if not one.fit.failed]
    if facts["device_status"] in OUT_OF_ORDER:
        for one in fit:
            for spare in found.spares:
                if spare.model == one.model and spare.state == READY:
                    yield _candidate(found, tag, one, spare.serial)
    for one in fit:
        if found.wares[one.model].lifecycle != WITHDRAWN:
            yield _candidate(found, tag, one, "")
            return


def _ranked(found: Survey, tag: str) -> list[Tried]:
    """Fewest majors failed; of the kind that is installed; least left open; cheapest."""
    kind = found.facts[tag]["device_kind"]

    def rank(one: Tried) -> tuple:
        ware = found.wares[one.model]
        price = inf if ware.price is None else ware.price
        return len(one.fit.failed), ware.kind != kind, len(one.fit.open), price, one.model

    return sorted(found.tried[tag].values(), key=rank)


def _candidate(found: Survey, tag: str, one: Tried, serial: str) -> Candidate:
    ware = found.wares[one.model]
    return Candidate(
        model=one.model,
        stored=serial,
        price=0.0 if serial else ware.price,
        lead_time_days=0.0 if serial else ware.lead_time_days,
        failed=one.fit.failed,
        open=one.fit.open,
        to_read=one.fit.to_read,
        clears=tuple(r for r in _failing(found, tag) if r not in one.fit.failed + one.fit.open),
        settings=one.settings,
    )


def _options(case: _Case) -> Iterator[Option]:
    """The ways that can be chosen: those whose price is known."""
    for candidate in case.candidates:
        if candidate.price is not None:
            yield Option(case.tag, candidate.price, case.risk.taken_away(), candidate.stored, _earliest(candidate))


def _earliest(candidate: Candidate) -> int:
    return 1 + floor((candidate.lead_time_days or 0.0) / DAYS_PER_YEAR)


def _item(found: Survey, case: _Case, chosen: Chosen) -> Item:
    facts = found.facts[case.tag]
    candidate = next(c for c in case.candidates if c.stored == chosen.option.takes)
    to_read = found.fitting.to_read(case.tag, found.tried[case.tag][candidate.model])
    return Item(
        tag=case.tag,
        description=facts["description"],
        area=facts["area"],
        criticality=facts["criticality"],
        old_device=facts["device"],
        old_model=facts["model"],
        candidate=replace(candidate, to_read=to_read),
        year=chosen.year,
        price=chosen.option.price,
        risk=case.risk,
        taken_away=chosen.taken_away,
    )


def _left(found: Survey, case: _Case, years: int, budget: float) -> Left:
    """Why a position that would be the better for it is not in the plan."""
    why, to_read = "the budget and the outages take more risk away elsewhere", ()
    if not case.candidates:
        nearest = next(iter(_ranked(found, case.tag)), None)
        why = "no model is in the catalogue"
        if nearest:
            why = f"every model fails a major rule there; {nearest.model}: " + ", ".join(
                nearest.fit.failed or ("withdrawn",)
            )
    else:
        best = case.candidates[-1]
        if best.price is None:
            why, to_read = f"the price of {best.model} is unknown", ("price",)
        elif best.price > budget:
            why = f"{best.model} costs more than a year's budget"
        elif _earliest(best) > years:
            why = f"{best.model} is delivered after the plan's end"
    facts = found.facts[case.tag]
    return Left(case.tag, facts["criticality"], case.risk, why, to_read)
