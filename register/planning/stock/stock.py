"""What a store has to hold: groups that one model covers, how many of it, and who has no cover."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np
from scipy.optimize import LinearConstraint, linear_sum_assignment

from register.calc.spares import demand_expected, spares_enough_pct, spares_needed
from register.planning.solver import cheapest
from register.planning.stock.holdings import READY, Bare, CatalogueItem, Fit, Fits, Group, Place, Spare, Stock
from register.planning.years.failure_rates import Rate

Catalogue = Mapping[str, CatalogueItem]
# What counts for nothing beside a price: so a model that is held already is chosen first.
HELD_ALREADY = 1e-3
TIME_LIMIT_S = 20.0


def stock(
    places: Sequence[Place],
    fits: Fits,
    spares: Sequence[Spare],
    catalogue: Catalogue,
    *,
    service_level_pct: float,
    site: str = "",
    today: str = "",
    currency: str = "",
    rates: Iterable[Rate] = (),
) -> Stock:
    """What the store should hold for these positions.

    Parameters
    ----------
    places : the positions.
    fits : for each tag, each model that was tried there.
    spares : the devices in store.
    catalogue : every model, as it can be bought.
    service_level_pct : probability with which no failure shall have to wait for a delivery.
    site, today, currency, rates : what else is told: whose store it is, how often devices fail.
    """
    ready = [s for s in spares if s.state == READY]
    costs = _costs({s.model for s in ready if s.model}, catalogue)
    able = {place.tag: _able(place, fits, costs, catalogue) for place in places}
    members = _members(places, able, _chosen(able, costs))
    wanted = [_wanted(catalogue[m], own, service_level_pct) for m, own in members.items() if own]
    groups, left = _shared_out(wanted, ready, fits)
    return Stock(
        site=site,
        today=today,
        currency=currency,
        service_level_pct=service_level_pct,
        groups=tuple(sorted(groups, key=lambda g: (-g.short, -len(g.places), g.item.model))),
        uncovered=tuple(
            p for p in places if p.criticality == "critical" and not any(_covers(fits, p.tag, s.model) for s in ready)
        ),
        bare=tuple(
            _bare(p, fits.get(p.tag, {}), catalogue)
            for p in places
            if not any(fit.covers for fit in fits.get(p.tag, {}).values())
        ),
        surplus=tuple(left),
        not_ready=tuple(s for s in spares if s.state != READY),
        all_enough_pct=_all_enough([g.enough_pct for g in groups]),
        rates=tuple((rate.name, rate.told) for rate in rates),
    )


def _covers(fits: Fits, tag: str, model: str | None) -> bool:
    fit = fits.get(tag, {}).get(model) if model else None
    return fit is not None and fit.covers


def _costs(held: set[str], catalogue: Catalogue) -> dict[str, float]:
    """What one of each model that can be had costs; an unknown price counts as the highest."""
    dearest = max((w.price for w in catalogue.values() if w.price is not None), default=1.0)
    costs = {}
    for model, item in catalogue.items():
        if model in held:
            costs[model] = HELD_ALREADY
        elif item.lifecycle != "withdrawn":
            costs[model] = max(dearest if item.price is None else item.price, HELD_ALREADY)
    return costs


def _able(place: Place, fits: Fits, costs: Mapping[str, float], catalogue: Catalogue) -> frozenset[str]:
    """The models to be held that cover a position; of the present kind, if any does."""
    able = {m for m, fit in fits.get(place.tag, {}).items() if fit.covers and m in costs}
    alike = {model for model in able if catalogue[model].kind == place.kind}
    return frozenset(alike or able)


def _chosen(able: Mapping[str, frozenset[str]], costs: Mapping[str, float]) -> list[str]:
    """The models to hold, cheapest first: one of each covers all that can be, and costs least."""
    rows = sorted({tuple(sorted(models)) for models in able.values() if models})
    names = sorted({model for row in rows for model in row})
    if not rows:
        return []
    matrix = np.array([[name in row for name in names] for row in rows], float)
    cost = np.array([costs[name] for name in names])
    found = cheapest(cost / cost.max(), LinearConstraint(matrix, lb=1.0), time_limit=TIME_LIMIT_S)
    marks = np.ones(len(names)) if found.x is None else found.x
    chosen = [name for name, mark in zip(names, marks, strict=True) if mark > 0.5]
    return sorted(chosen, key=lambda name: (costs[name], name))


def _members(
    places: Sequence[Place], able: Mapping[str, frozenset[str]], chosen: Sequence[str]
) -> dict[str, list[Place]]:
    """The positions of each model chosen: its own where it is, else those it covers cheapest."""
    members: dict[str, list[Place]] = {model: [] for model in chosen}
    for place in places:
        own = [model for model in chosen if model in able[place.tag]]
        if own:
            members[place.model if place.model in own else own[0]].append(place)
    return members


def _wanted(item: CatalogueItem, places: Sequence[Place], level_pct: float) -> Group:
    """How many of a model to hold for its positions; nothing is held yet."""
    to_read = {} if item.lead_time_days is not None else {"lead_time_days": None}
    if any(place.kind is None for place in places):
        to_read["device_kind"] = None
    lead = np.nan if item.lead_time_days is None else item.lead_time_days
    rates = np.array([place.rate.most_per_year for place in places])
    demand = float(demand_expected(units=1, failure_rate_per_year=rates, lead_time_days=lead).sum())
    needed = float(spares_needed(demand_expected=demand, service_level_pct=level_pct))
    by_demand = None if np.isnan(needed) else int(needed)
    failed = sum(place.has_failed for place in places)
    least = any(place.wants_one for place in places)
    return Group(
        item=item,
        places=tuple(sorted(places, key=lambda p: p.tag)),
        demand=None if np.isnan(demand) else demand,
        by_demand=by_demand,
        hold=max(by_demand or 0, int(least)) + failed,
        held=(),
        enough_pct=None,
        to_read=tuple(to_read),
    )


def _shared_out(groups: Sequence[Group], ready: Sequence[Spare], fits: Fits) -> tuple[list[Group], list[Spare]]:
    """The devices in store shared out, each to one group at most; and those that are left over.

    A device counts for a group when it covers all of its positions. Critical groups go first.
    """
    slots = [n for n, group in enumerate(groups) for _ in range(group.hold)]
    worth = np.zeros((len(ready), len(slots)))
    for row, spare in enumerate(ready):
        for column, n in enumerate(slots):
            group = groups[n]
            if all(_covers(fits, tag, spare.model) for tag in group.tags):
                urgent = group.failed_now > 0 or any(p.wants_one for p in group.places)
                worth[row, column] = 1.0 + 100.0 * urgent + 0.1 * (spare.model == group.item.model)
    pairs = list(zip(*linear_sum_assignment(worth, maximize=True), strict=True))
    given = {row: slots[column] for row, column in pairs if worth[row, column] > 0.0}
    held = [tuple(ready[row].serial for row, own in sorted(given.items()) if own == n) for n in range(len(groups))]
    left = [spare for row, spare in enumerate(ready) if row not in given]
    return [_with(group, own) for group, own in zip(groups, held, strict=True)], left


def _with(group: Group, held: tuple[str, ...]) -> Group:
    """The group with what is held for it, and how surely that is enough."""
    free = len(held) - group.failed_now
    enough = None
    if group.demand is not None:
        found = spares_enough_pct(demand_expected=group.demand, held=max(free, 0))
        enough = float(found) if free >= 0 else 0.0
    return replace(group, held=held, enough_pct=enough)


def _all_enough(each_pct: Sequence[float | None]) -> float | None:
    """Probability that no group runs out; None where one of them is unknown."""
    if not each_pct or any(pct is None for pct in each_pct):
        return None
    return 100.0 * float(np.prod(np.array(each_pct, float) / 100.0))


def _bare(place: Place, tried: Mapping[str, Fit], catalogue: Catalogue) -> Bare:
    """The model that fails least there; of those one of the same kind with the least to read."""

    def far(item: tuple[str, Fit]) -> tuple:
        model, fit = item
        return fit.far(alike=catalogue[model].kind == place.kind), model

    name, fit = min(tried.items(), key=far, default=(None, Fit()))
    return Bare(place.tag, place.criticality, name, fit.failed, fit.open)
