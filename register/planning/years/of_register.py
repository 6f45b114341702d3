"""A plan of replacements and spares: candidates, risk, the choice within the budgets, and audits to come."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from math import floor, inf

from register.audit.judge import Audit, Progress
from register.audit.session import Session
from register.calc.spares import DAYS_PER_YEAR
from register.facts.standard_tables import load_tables
from register.maintenance.device_failures import OUT_OF_ORDER
from register.maintenance.rates_file import RatesFile
from register.planning.replace.fitting import Tried
from register.planning.stock.holdings import READY
from register.planning.stock.survey import Survey, survey
from register.planning.years.choice import Chosen, Option
from register.planning.years.plan import Item, Left, NewDevice, Plan
from register.planning.years.risk import Load, Risk, risk
from register.planning.years.spare_choice import choose_both
from register.planning.years.spare_offers import levels_of, offers_of, spare_items
from register.planning.years.year_ends import Planned, year_ends
from register.rulebook.model import Outcome

TRIPS = "lifecycle/repeat-trips"
WITHDRAWN = "withdrawn"


@dataclass(frozen=True)
class _Case:
    """A position with the ways in which it could be replaced, the best one first."""

    tag: str
    candidates: tuple[NewDevice, ...]
    risk: Risk
    stocked: Risk  # were a spare always there


def plan(
    session: Session,
    *,
    years: int,
    budget: float,
    outages: int | None = None,
    shared_rates: RatesFile | None = None,
    progress: Progress | None = None,
) -> Plan:
    """Which devices of a register to replace in which year, and which spares to buy, for the most risk taken away.

    Parameters
    ----------
    years, budget, outages : how many years; what may be spent, and how often be swapped, in each.
    shared_rates : failure rates from many plants, to begin with in place of the published ones.
    progress : told how many positions are done, of how many.
    """
    found = survey(session, shared_rates=shared_rates, progress=progress)
    cases = [_case(found, tag, years) for tag in found.facts if found.facts[tag]["device"]]
    worth = {case.tag: case for case in cases if max(case.risk.taken_away()) > 0.0}
    levels = levels_of({case.tag: (case.risk, case.stocked) for case in cases if case.risk.waits})
    offers = offers_of(found, levels)
    choice = choose_both(
        [o for case in worth.values() for o in _options(case)],
        offers,
        levels,
        years=years,
        budget=budget,
        outages=outages,
    )
    items = _items(found, worth, choice.chosen)
    risks = {case.tag: case.risk for case in cases}
    spares = spare_items(found, choice.chosen, choice.bought, levels)
    ends = year_ends(session.db, found.audit, Planned(items, spares, choice.bought, levels), risks, years=years)
    done = {item.tag for item in items}
    return Plan(
        site=found.site["site"],
        today=session.today.isoformat(),
        currency=found.site.get("currency") or "",
        years=years,
        budget=budget,
        outages=outages,
        items=items,
        spares=spares,
        left=_left_over(found, (case for tag, case in worth.items() if tag not in done), years, budget),
        ends=ends,
        better_pct=choice.better_pct,
        rates=tuple((rate.name, rate.told) for rate in found.told_rates()),
        sound=len(cases) - len(worth),
        waiting=sum(case.risk.waits for case in cases),
        waiting_risk=sum(case.risk.now for case in cases if case.risk.waits),
        unstocked=len(levels) - sum(len(offer.places) for offer in offers),
    )


def _case(found: Survey, tag: str, years: int) -> _Case:
    candidates = tuple(candidates_at(found, tag))
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
    both = [
        risk(found.facts[tag], own, years=years, today=found.audit.today, weights=weights)
        for own in (load, replace(load, has_spare=True))
    ]
    return _Case(tag, candidates, *both)


def _fails(audit: Audit, tag: str, rule: str) -> bool:
    return audit.has(rule, "position") and audit.outcome(tag, rule) == Outcome.FAILED


def _failing(found: Survey, tag: str) -> tuple[str, ...]:
    """The major rules that the present device fails however it is set: no setting corrects them."""
    own = found.tried[tag].get(found.facts[tag]["model"] or "")
    failed = own.failed if own else ()
    return tuple(rule for rule in failed if _fails(found.audit, tag, rule))


def candidates_at(found: Survey, tag: str) -> Iterator[NewDevice]:
    """The devices that could go there and fail no major rule: from store where it has failed, else bought."""
    facts = found.facts[tag]
    fit = [one for one in ranked_at(found, tag) if not one.failed]
    if facts["device_status"] in OUT_OF_ORDER:
        for one in fit:
            for spare in found.spares:
                if spare.model == one.model and spare.state == READY:
                    yield _candidate(found, tag, one, spare.serial)
    for one in fit:
        if found.catalogue[one.model].lifecycle != WITHDRAWN:
            yield _candidate(found, tag, one, "")
            return


def ranked_at(found: Survey, tag: str) -> list[Tried]:
    """Fewest majors failed; of the present kind; least left open; cheapest."""
    kind = found.facts[tag]["device_kind"]

    def rank(one: Tried) -> tuple:
        item = found.catalogue[one.model]
        price = inf if item.price is None else item.price
        return one.far(alike=item.kind == kind), price, one.model

    return sorted(found.tried[tag].values(), key=rank)


def _candidate(found: Survey, tag: str, one: Tried, serial: str) -> NewDevice:
    item = found.catalogue[one.model]
    return NewDevice(
        model=one.model,
        stored=serial,
        price=0.0 if serial else item.price,
        lead_time_days=0.0 if serial else item.lead_time_days,
        failed=one.failed,
        open=one.open,
        clears=tuple(r for r in _failing(found, tag) if r not in one.failed + one.open),
        settings=one.settings,
    )


def _options(case: _Case) -> Iterator[Option]:
    """The ways that can be chosen: those whose price is known."""
    for candidate in case.candidates:
        if candidate.price is not None:
            yield Option(case.tag, candidate.price, case.risk.taken_away(), candidate.stored, _earliest(candidate))


def _earliest(candidate: NewDevice) -> int:
    return 1 + floor((candidate.lead_time_days or 0.0) / DAYS_PER_YEAR)


def _items(found: Survey, worth: Mapping[str, _Case], chosen: Iterable[Chosen]) -> tuple[Item, ...]:
    """What was chosen, each with the fields to collect before it is bought."""
    taken = {}
    for one in chosen:
        case = worth[one.option.place]
        taken[case.tag] = case, one, next(c for c in case.candidates if c.stored == one.option.takes)
    to_read = found.fitting.to_read({tag: found.tried[tag][c.model] for tag, (_, _, c) in taken.items()})
    return tuple(_item(found, *whole, to_read[tag]) for tag, whole in taken.items())


def _item(found: Survey, case: _Case, chosen: Chosen, candidate: NewDevice, to_read: tuple[str, ...]) -> Item:
    facts = found.facts[case.tag]
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


def _left_over(found: Survey, cases: Iterable[_Case], years: int, budget: float) -> tuple[Left, ...]:
    """Those that would be the better for it and are not in the plan, the most risk first."""
    left = (_left(found, case, years, budget) for case in cases)
    return tuple(sorted(left, key=lambda one: -one.risk.taken_away()[0]))


def _left(found: Survey, case: _Case, years: int, budget: float) -> Left:
    """The reason why a position that would be the better for it is not in the plan."""
    why, to_read = "the budget and the outages take more risk away elsewhere", ()
    if not case.candidates:
        nearest = next(iter(ranked_at(found, case.tag)), None)
        why = "no model is in the catalogue"
        if nearest:
            why = f"every model fails a major rule there; {nearest.model}: " + ", ".join(
                nearest.failed or ("withdrawn",)
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
