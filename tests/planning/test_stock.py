"""What a store should hold: groups by what covers whom, counts by Poisson, no device used twice."""

from dataclasses import dataclass
from itertools import combinations

import numpy as np
import pytest
from scipy import stats

from register.planning.stock.holdings import READY, STALE, CatalogueItem, Fit, Place, Spare
from register.planning.stock.stock import stock

GOOD, BAD = Fit(), Fit(failed=("sizing/current-covers-motor",))
OPEN = Fit(open=("sizing/voltage-covers-system",))


@dataclass(frozen=True)
class Known:
    """A rate of failure, as far as the store asks for it."""

    most_per_year: float


RATE = Known(0.02)


def place(tag, criticality="essential", standby="none", model=None, kind="drive", **more):
    return Place(tag, criticality, standby, kind, model, RATE, **more)


def ware(model, price=1000.0, lead=365.25, lifecycle="current", kind="drive"):
    return CatalogueItem(model, kind, price, lead, lifecycle)


def ready(*models):
    return [Spare(f"S{n}", model, READY) for n, model in enumerate(models, 1)]


def asked(places, fits, spares=(), wares=None, level=95.0):
    wares = wares or {m: ware(m) for own in fits.values() for m in own}
    return stock(places, fits, list(spares), wares, service_level_pct=level)


def test_as_many_are_held_as_poisson_asks():
    places = [place(f"P-{n}") for n in range(40)]
    made = asked(places, {p.tag: {"A": GOOD} for p in places}, ready("A"))
    (group,) = made.groups
    # Source: 40 devices × 0.02 a year × one year = 0.8; scipy.stats.poisson.
    assert group.demand == pytest.approx(0.8)
    assert group.hold == group.by_demand == stats.poisson.ppf(0.95, 0.8) == 2
    assert (group.held, group.short) == (("S1",), 1)
    assert group.enough_pct == pytest.approx(100 * stats.poisson.cdf(1, 0.8))


def test_the_groups_cost_least():
    # A dear model covers all, two cheap ones half each; against every choice there is.
    tags = [f"P-{n}" for n in range(8)]
    random = np.random.default_rng(7)
    prices = {m: float(random.integers(100, 900)) for m in "ABCDEF"}
    fits = {t: {m: GOOD if random.random() < 0.5 else BAD for m in "ABCDEF"} for t in tags}
    fits = {t: own | {"A": GOOD} for t, own in fits.items()}
    made = asked([place(t, "critical") for t in tags], fits, wares={m: ware(m, price) for m, price in prices.items()})
    cost = sum(g.item.price for g in made.groups)
    best = min(
        sum(prices[m] for m in some)
        for size in range(1, 7)
        for some in combinations("ABCDEF", size)
        if all(any(fits[t][m].covers for m in some) for t in tags)
    )
    assert cost == best
    assert sorted(t for g in made.groups for t in g.tags) == tags


def test_what_lies_in_store_comes_before_what_is_cheap():
    made = asked(
        [place("P-1", "critical")],
        {"P-1": {"A": GOOD, "B": GOOD}},
        ready("B"),
        {"A": ware("A", 10.0), "B": ware("B", 5000.0)},
    )
    (group,) = made.groups
    assert (group.item.model, group.held, group.short) == ("B", ("S1",), 0)
    assert made.uncovered == ()


def test_like_is_held_for_like_where_it_covers():
    wares = {"A": ware("A", 900.0, kind="soft starter"), "B": ware("B", 10.0)}
    places = [place("P-1", kind="soft starter"), place("P-2", kind="soft starter")]
    made = asked(places, {"P-1": {"A": GOOD, "B": GOOD}, "P-2": {"A": BAD, "B": GOOD}}, (), wares)
    assert {g.item.model: g.tags for g in made.groups} == {"A": ("P-1",), "B": ("P-2",)}


def test_one_is_held_for_a_critical_load_however_rarely_it_fails():
    fits = {"P-1": {"A": GOOD}}
    assert [g.hold for g in asked([place("P-1", "critical")], fits).groups] == [1]
    # Source: rule lifecycle/critical-has-spare; an unknown standby is none.
    assert [g.hold for g in asked([place("P-1", "critical", None)], fits).groups] == [1]
    assert [g.hold for g in asked([place("P-1", "critical", "installed")], fits).groups] == [0]
    assert [g.hold for g in asked([place("P-1")], fits).groups] == [0]


def test_what_has_failed_already_is_wanted_besides():
    made = asked([place("P-1", "critical", has_failed=True)], {"P-1": {"A": GOOD}}, ready("A"))
    (group,) = made.groups
    assert (group.hold, group.short, group.failed_now) == (2, 1, 1)
    # The one that is held goes where it is wanted now, and none is left for the next failure.
    assert group.enough_pct == pytest.approx(100 * np.exp(-0.02))


def test_a_device_counts_once():
    # B covers both groups; it is held once, so one of the two is short.
    fits = {"P-1": {"A": GOOD, "B": GOOD}, "P-2": {"C": GOOD, "B": GOOD}}
    places = [place("P-1", "critical", model="A"), place("P-2", "critical", model="C")]
    made = asked(places, {**fits, "P-3": {"A": GOOD}, "P-4": {"C": GOOD}}, ready("B"), {m: ware(m) for m in "ABC"})
    held = [serial for group in made.groups for serial in group.held]
    assert len(held) == len(set(held)) <= 1
    made = asked(
        [*places, place("P-3", "critical"), place("P-4", "critical")],
        {**fits, "P-3": {"A": GOOD}, "P-4": {"C": GOOD}},
        ready("A", "C", "B"),
    )
    held = [serial for group in made.groups for serial in group.held]
    assert sorted(held) == ["S1", "S2"]
    assert [s.serial for s in made.surplus] == ["S3"]


def test_what_is_past_its_shelf_life_does_not_count():
    made = asked([place("P-1", "critical")], {"P-1": {"A": GOOD}}, [Spare("S1", "A", STALE)])
    assert [g.short for g in made.groups] == [1]
    assert [p.tag for p in made.uncovered] == ["P-1"]
    assert [s.serial for s in made.not_ready] == ["S1"]


def test_what_can_not_be_told_covers_nothing():
    made = asked([place("P-1", "critical")], {"P-1": {"A": OPEN, "B": BAD}}, ready("A", "B"))
    assert made.groups == ()
    (bare,) = made.bare
    assert (bare.nearest, bare.failed, bare.open) == ("A", (), OPEN.open)
    assert [p.tag for p in made.uncovered] == ["P-1"]
    assert len(made.surplus) == 2


def test_what_is_not_known_leaves_the_count_open():
    places = [place("P-1"), place("P-2", "critical")]
    fits = {p.tag: {"A": GOOD} for p in places}
    (group,) = asked(places, fits, ready("A"), {"A": ware("A", lead=None)}).groups
    assert (group.demand, group.by_demand, group.hold, group.enough_pct) == (None, None, 1, None)
    assert group.to_read == ("lead_time_days",)
    (group,) = asked([place("P-1", kind=None)], {"P-1": {"A": GOOD}}).groups
    assert (group.by_demand, group.to_read) == (0, ("device_kind",))


def test_what_can_not_be_bought_is_held_only_while_it_lies_there():
    fits = {"P-1": {"A": GOOD}}
    gone = {"A": ware("A", lifecycle="withdrawn")}
    assert asked([place("P-1")], fits, wares=gone).groups == ()
    (group,) = asked([place("P-1")], fits, ready("A"), gone).groups
    assert group.item.model == "A"


def test_the_chance_that_nobody_waits_is_that_of_all_groups():
    places = [place(f"P-{n}") for n in range(20)]
    fits = {p.tag: {"A" if n % 2 else "B": GOOD} for n, p in enumerate(places)}
    made = asked(places, fits)
    # Source: independent Poisson failures, none held: exp(-20 × 0.02).
    assert all(g.hold == 1 for g in made.groups)
    assert made.all_enough_pct == pytest.approx(100 * np.exp(-0.4))


def test_an_empty_plant_needs_nothing():
    made = asked([], {}, ready("A"), {"A": ware("A")})
    assert (made.groups, made.uncovered, made.all_enough_pct) == ((), (), None)
    assert len(made.surplus) == 1
