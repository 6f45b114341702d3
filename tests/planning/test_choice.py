"""What is replaced when: never past a budget, never worse than a list, and the best there is."""

import os
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from register.planning import solver
from register.planning.years.choice import Option, choose


def some_options(seed, places, years, dear=20_000):
    random = np.random.default_rng(seed)
    options = []
    for place in range(places):
        for _ in range(random.integers(1, 3)):
            yearly = random.uniform(0, 10, years)
            options.append(
                Option(
                    f"P-{place}",
                    price=float(np.round(random.uniform(0, dear), 2)),
                    taken_away=tuple(np.cumsum(yearly[::-1])[::-1]),
                    takes=f"S{random.integers(3)}" if random.random() < 0.3 else "",
                    earliest=int(random.integers(1, 3)),
                )
            )
    return options


def hold(chosen, budget, outages, years):
    """Every limit, in whole cents."""
    places = [c.option.place for c in chosen]
    taken = [c.option.takes for c in chosen if c.option.takes]
    assert len(set(places)) == len(places)
    assert len(set(taken)) == len(taken)
    for year in range(1, years + 1):
        own = [c.option for c in chosen if c.year == year]
        assert sum(round(100 * o.price) for o in own) <= round(100 * budget)
        assert outages is None or sum(o.outages for o in own) <= outages
        assert all(o.earliest <= year for o in own)


def by_the_list(options, years, budget, outages):
    """The greedy choice, written anew: each year the most risk away for the money."""
    places, spares, total = set(), set(), 0.0
    for year in range(1, years + 1):
        money, times = round(100 * budget), np.inf if outages is None else outages
        for o in sorted(options, key=lambda o: -o.taken_away[year - 1] / (o.price + 1e-9)):
            free = o.place not in places and o.takes not in spares
            if free and year >= o.earliest and round(100 * o.price) <= money and times >= 1:
                places.add(o.place)
                spares |= {o.takes} - {""}
                money, times = money - round(100 * o.price), times - 1
                total += o.taken_away[year - 1]
    return total


def best_of_all(options, years, budget, outages):
    """Every choice there is, tried."""
    best = 0.0
    for plan in product(range(years + 1), repeat=len(options)):
        done = [(o, year) for o, year in zip(options, plan, strict=True) if year]
        try:
            hold([type("C", (), {"option": o, "year": y}) for o, y in done], budget, outages, years)
        except AssertionError:
            continue
        best = max(best, sum(o.taken_away[y - 1] for o, y in done))
    return best


@pytest.mark.parametrize("seed", range(20 if "STARTROLL_EXAMPLES" in os.environ else 8))
def test_it_is_the_best_of_all_choices(seed):
    options = some_options(seed, places=4, years=2)[:6]
    for budget, outages in ((8_000, 1), (20_000, 2), (30_000, None)):
        made = choose(options, years=2, budget=budget, outages=outages)
        assert made.taken_away == pytest.approx(best_of_all(options, 2, budget, outages), rel=2e-6, abs=1e-9)
        assert made.better_pct == pytest.approx(0.0, abs=1e-3)


@given(
    seed=st.integers(0, 10**6),
    places=st.integers(1, 25),
    years=st.integers(1, 5),
    budget=st.floats(0, 60_000),
    outages=st.none() | st.integers(0, 4),
)
@settings(max_examples=60, deadline=None)
def test_it_keeps_every_limit_and_is_never_worse_than_a_list(seed, places, years, budget, outages):
    options = some_options(seed, places, years)
    made = choose(options, years=years, budget=budget, outages=outages)
    hold(made.chosen, budget, outages, years)
    # Source: the greedy choice is one of those allowed, so the best is at least as good.
    assert made.taken_away >= by_the_list(options, years, budget, outages) * (1 - 1e-6)


def test_a_cent_too_much_is_too_much():
    halves = [Option("P-1", 20_000.0, (5.0,)), Option("P-2", 20_000.01, (5.0,))]
    made = choose(halves, years=1, budget=40_000.0)
    assert [c.option.place for c in made.chosen] == ["P-1"]
    assert len(choose(halves, years=1, budget=40_000.01).chosen) == 2


def test_where_nothing_is_gained_nothing_is_done():
    assert choose([], years=3, budget=1e6).chosen == ()
    worthless = [Option("P-1", 10.0, (0.0, -1.0))]
    assert choose(worthless, years=2, budget=1e6).chosen == ()
    assert choose([Option("P-1", 10.0, (1.0,))], years=1, budget=9.99).chosen == ()


def test_of_equals_the_cheaper_and_the_earlier():
    dear, cheap = Option("P-1", 900.0, (4.0, 4.0)), Option("P-1", 300.0, (4.0, 4.0))
    made = choose([dear, cheap], years=2, budget=1000.0)
    assert [(c.option, c.year) for c in made.chosen] == [(cheap, 1)]


def test_a_spare_goes_to_one_place_only():
    both = [Option(f"P-{n}", 0.0, (n + 1.0, 1.0), takes="S1") for n in range(3)]
    made = choose(both, years=2, budget=0.0)
    assert [c.option.place for c in made.chosen] == ["P-2"]


def test_what_the_solver_prints_goes_nowhere(monkeypatch, capfd):
    def talks(*_, **__):
        os.write(1, b"HighsMipSolverData: tmpSolver.run()\n")
        return "solved"

    monkeypatch.setattr(solver, "milp", talks)
    assert solver.cheapest([1.0], None) == "solved"
    print("after")
    assert capfd.readouterr().out == "after\n"
