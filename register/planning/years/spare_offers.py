"""The spares that a plan may buy: for the positions where a failure waits for a delivery, grouped as the store is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import floor

import numpy as np

from register.calc.spares import DAYS_PER_YEAR, spares_enough_pct
from register.planning.stock.holdings import Group
from register.planning.stock.stock import stock
from register.planning.stock.survey import Survey, place_of
from register.planning.years.choice import Chosen
from register.planning.years.plan import SpareItem
from register.planning.years.risk import Risk
from register.planning.years.spare_choice import Bought, Levels, Offer, taken_away

SERVICE_LEVEL_PCT = 99.0  # how many of one model are weighed at most: as many as cover so much


def levels_of(waiting: Mapping[str, tuple[Risk, Risk]]) -> dict[str, Levels]:
    """The risk at each position with no spare (the first) and with one (the second), replaced and not."""
    return {
        tag: Levels(bare.before, stocked.before, bare.after, stocked.after) for tag, (bare, stocked) in waiting.items()
    }


def offers_of(found: Survey, levels: Mapping[str, Levels]) -> tuple[Offer, ...]:
    """A spare for each group of positions that one model covers; of what price and delivery are known."""
    made = stock(
        [place_of(found, tag) for tag in levels], found.tried, (), found.catalogue, service_level_pct=SERVICE_LEVEL_PCT
    )
    return tuple(offer for group in made.groups for offer in _offer(group))


def _offer(group: Group) -> Iterator[Offer]:
    item = group.item
    if item.price is None or item.lead_time_days is None or group.demand is None:
        return
    # Failures that find the n-th on the shelf: those that come while n - 1 others are on order.
    held = np.arange(max(1, group.by_demand or 0))
    enough = spares_enough_pct(demand_expected=np.asarray(group.demand), held=held) / 100.0
    shares = tuple(np.diff(enough, prepend=0.0).tolist())
    yield Offer(item.model, item.price, shares, group.tags, 1 + floor(item.lead_time_days / DAYS_PER_YEAR))


def spare_items(
    found: Survey, chosen: tuple[Chosen, ...], bought: tuple[Bought, ...], levels: Mapping[str, Levels]
) -> tuple[SpareItem, ...]:
    """The spares bought, each with what it takes away beside the replacements and the spares before it."""
    made = []
    for count, one in enumerate(bought, 1):
        before, after = (taken_away(chosen, bought[:n], levels) for n in (count - 1, count))
        item = found.catalogue[one.offer.model]
        made.append(
            SpareItem(
                model=item.model,
                kind=item.kind,
                year=one.year,
                price=one.offer.price,
                lead_time_days=item.lead_time_days,
                nth=one.nth,
                tags=one.offer.places,
                found_pct=100.0 * sum(one.offer.shares[: one.nth]),
                taken_away=after - before,
            )
        )
    return tuple(made)
