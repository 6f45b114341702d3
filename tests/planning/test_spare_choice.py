"""Replacements and spares together: the best of all choices, tried one by one and reckoned anew."""

from itertools import product
from math import exp, factorial

import numpy as np
import pytest

from register.planning.years.choice import Option
from register.planning.years.spare_choice import Levels, Offer, choose_both, taken_away

YEARS = 2


def a_case(seed):
    """Positions with rates and hours, two of them sharing a spare; `rarer` is what a replacement makes of the rate."""
    random = np.random.default_rng(seed)
    places = [
        dict(
            tag=f"P-{n}",
            rates=np.sort(random.uniform(0.01, 0.4, YEARS)),
            rarer=random.uniform(0.2, 1.0),
            wait_h=random.uniform(200, 2000),
            # A withdrawn type is fitted in: what replaces it waits less long.
            new_wait_h=random.uniform(200, 3000),
            repair_h=random.uniform(2, 40),
            price=float(random.integers(1, 9) * 1000),
        )
        for n in range(3)
    ]
    demand = float(random.uniform(0.05, 1.6))
    groups = [dict(model="M-A", tags=("P-0", "P-1"), price=float(random.integers(1, 9) * 1000), demand=demand)]
    groups.append(dict(model="M-B", tags=("P-2",), price=float(random.integers(1, 9) * 1000), demand=demand / 3))
    return places, groups


def poisson(demand, count):
    return exp(-demand) * demand**count / factorial(count)


def as_asked(places, groups):
    options, levels = [], {}
    for p in places:
        own = Levels(
            tuple(p["rates"] * p["wait_h"]),
            tuple(p["rates"] * p["repair_h"]),
            tuple(np.full(YEARS, p["rates"][0] * p["rarer"] * p["new_wait_h"])),
            tuple(np.full(YEARS, p["rates"][0] * p["rarer"] * p["repair_h"])),
        )
        yearly = np.array(own.bare) - np.array(own.new_bare)
        options.append(Option(p["tag"], p["price"], tuple(np.cumsum(yearly[::-1])[::-1])))
        levels[p["tag"]] = own
    offers = [
        Offer(g["model"], g["price"], tuple(poisson(g["demand"], n) for n in range(2)), g["tags"]) for g in groups
    ]
    return options, offers, levels


def risk_left(places, groups, swapped, held):
    """The risk of all years, reckoned from rates and hours: `swapped` a year or 0 each, `held` years of each spare."""
    total = 0.0
    for year in range(1, YEARS + 1):
        for p, when in zip(places, swapped, strict=True):
            done = 0 < when <= year
            rate = p["rates"][0] * p["rarer"] if done else p["rates"][year - 1]
            wait = p["new_wait_h"] if done else p["wait_h"]
            group, spares = next((g, h) for g, h in zip(groups, held, strict=True) if p["tag"] in g["tags"])
            count = sum(0 < one <= year for one in spares)
            # Fewer than `count` others are on order when it fails. Source: Poisson arrivals see time averages.
            finds = sum(poisson(group["demand"], n) for n in range(count))
            total += rate * (finds * p["repair_h"] + (1 - finds) * wait)
    return total


def least_risk(places, groups, budget, outages):
    """Every choice there is, tried."""
    spares = [(a, b) for a, b in product(range(YEARS + 1), repeat=2) if not b or 0 < a <= b]
    best = np.inf
    for swapped in product(range(YEARS + 1), repeat=len(places)):
        for held in product(spares, repeat=len(groups)):
            spent, times = np.zeros(YEARS + 1), np.zeros(YEARS + 1)
            for p, when in zip(places, swapped, strict=True):
                spent[when] += p["price"]
                times[when] += 1
            for g, own in zip(groups, held, strict=True):
                for when in own:
                    spent[when] += g["price"]
            if (spent[1:] <= budget).all() and (outages is None or (times[1:] <= outages).all()):
                best = min(best, risk_left(places, groups, swapped, held))
    return best


@pytest.mark.parametrize("seed", range(12))
def test_it_leaves_the_least_risk_of_all_choices(seed):
    places, groups = a_case(seed)
    options, offers, levels = as_asked(places, groups)
    nothing = risk_left(places, groups, (0,) * 3, ((0, 0),) * 2)
    for budget, outages in ((5_000, 1), (9_000, None), (14_000, 0)):
        made = choose_both(options, offers, levels, years=YEARS, budget=budget, outages=outages)
        swapped = [next((c.year for c in made.chosen if c.option.place == p["tag"]), 0) for p in places]
        held = [[next((b.year for b in made.bought if (b.offer, b.nth) == (o, n)), 0) for n in (1, 2)] for o in offers]
        left = risk_left(places, groups, swapped, held)
        assert left == pytest.approx(least_risk(places, groups, budget, outages), rel=1e-5)
        assert nothing - left == pytest.approx(taken_away(made.chosen, made.bought, levels), rel=1e-9, abs=1e-9)
        assert made.better_pct == pytest.approx(0.0, abs=1e-2)
        for year in range(1, YEARS + 1):
            spent = sum(c.option.price for c in made.chosen if c.year == year)
            assert spent + sum(b.offer.price for b in made.bought if b.year == year) <= budget
        assert outages != 0 or not made.chosen  # a spare needs no outage


def test_where_no_spare_is_worth_buying_none_is():
    options, offers, levels = as_asked(*a_case(1))
    flat = {tag: Levels(one.bare, one.bare, one.new_bare, one.new_bare) for tag, one in levels.items()}
    assert choose_both(options, offers, flat, years=YEARS, budget=50_000).bought == ()
    assert choose_both([], [], {}, years=YEARS, budget=50_000).chosen == ()
