"""Line 1 of a plan, of the store, of a plant's starts, and one position on one screen."""

import io
from types import SimpleNamespace as Made

import pytest
from rich.console import Console

from register.planning.years.plan import YearEnd
from register.reports.terminal import plan, plant_starts, stock
from register.reports.terminal.summary import summary
from register.starts.model import PlantStart


def _end(year, spent, risk, unplanned=100.0):
    return YearEnd(year, spent, 1, 0, risk, unplanned, 9, 9, (), (), ())


def test_where_a_plan_stops_paying():
    # Per 1 000: 10 in the first year, 5 in the second, half of one in the third, which is under a tenth of ten.
    ends = [_end(0, 0, 100), _end(1, 1000, 90), _end(2, 1000, 85), _end(3, 1000, 84.5), _end(4, 1000, 84.5)]
    assert plan.stops_paying(ends) == 2
    assert plan.stops_paying(ends[:3]) is None
    # What the plant loses by age alone is no fault of the plan.
    ageing = [_end(0, 0, 100), _end(1, 1000, 100, 110), _end(2, 1000, 105, 125)]
    assert plan.stops_paying(ageing) is None


def test_the_first_line_of_a_plan_has_money_risk_and_where_to_stop():
    ends = [_end(0, 0, 100), _end(1, 1000, 90), _end(2, 1000, 85), _end(3, 1000, 84.5)]
    items = [Made(year=1, price=600.0), Made(year=1, price=400.0), Made(year=2, price=1000.0)]
    made = Made(items=items, spares=[], ends=ends, currency="USD")
    assert plan.headline(made) == (
        "Replace 2 starters in year 1, 1 000 USD. Risk falls from 100 to 84.5 weighted h by year 3;"
        " after year 2 money buys little."
    )
    bought = Made(items=items[:1], spares=[Made(year=1, price=400.0)] * 2, ends=ends, currency="USD")
    assert plan.headline(bought).startswith("Replace 1 starter and buy 2 spares in year 1, 1 000 USD. Risk falls")
    only = Made(items=[], spares=[Made(year=1, price=400.0)], ends=ends, currency="USD")
    assert plan.headline(only).startswith("Buy 1 spare in year 1, 1 000 USD. Risk falls")
    assert plan.headline(Made(items=[], spares=[], ends=ends, currency="USD")).startswith("Nothing is replaced")


def _group(short, price, lifecycle="current"):
    return Made(short=short, item=Made(lifecycle=lifecycle, price=price))


def test_the_first_line_of_a_store_says_what_to_buy_and_what_it_costs():
    made = Made(
        groups=[_group(2, 500.0), _group(1, None), _group(1, 900.0, "withdrawn"), _group(0, 100.0)],
        service_level_pct=95,
        currency="USD",
    )
    text = stock.headline(made)
    assert text.startswith("Buy 3 starters, 1 000 USD and those without a price, so that with 95 %")
    assert text.endswith("1 more can no longer be bought.")
    assert stock.headline(Made(groups=[_group(0, 1.0)], service_level_pct=95, currency="")).startswith("Nothing to buy")


def _start(tag, outcome, overload="holds"):
    return PlantStart(tag, "", "", "", "B", False, outcome, 1.0, 1.0, 1.0, 5.0, 0.5, 20.0, overload, 2.0, None, ("x",))


@pytest.fixture
def starts():
    return [
        _start("P-5", "starts"),
        _start("P-4", "starts", "may trip"),
        _start("P-3", "starts too hot"),
        _start("P-2", "does not turn", "trips"),
        _start("P-1", None),
    ]


def test_a_start_that_overheats_or_trips_is_counted_as_failing_and_stands_first(starts):
    assert (
        plant_starts.headline(starts).plain == "2 of 4 starts fail; 1 more may trip or stall; 1 cannot be studied yet."
    )
    out = io.StringIO()
    Console(file=out, width=80).print(plant_starts.starts(starts, most=None))
    lines = out.getvalue()
    places = [lines.index(f"\n{tag}") for tag in ("P-2", "P-3", "P-4", "P-5", "P-1")]
    assert places == sorted(places) and "1 does not turn" in lines


def test_one_position_on_one_screen_has_horsepower_first_and_says_what_nobody_entered():
    known = {
        "tag": "P-1",
        "tables": {
            "position": {"description": "Wash pump", "area": None, "load_kind": "centrifugal pump"},
            "motor": {"power_kw": 3.7285, "fla_a": 6.5},
            "site": {"practice": "us"},
        },
        "records": [
            {"record_kind": "bump test", "done_on": "2020-01-05"},
            {"record_kind": "bump test", "done_on": "2024-01-05"},
        ],
    }
    out = io.StringIO()
    Console(file=out, width=80).print(summary(known))
    text = out.getvalue()
    assert "Motor       5 hp, 6.5 A" in text and "kW" not in text
    assert "Settings    not entered" in text and "bump test 2024-01-05" in text and "2020" not in text
    assert len(text.splitlines()) < 24
