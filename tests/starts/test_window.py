"""The start window: its ends are those of the studies at and beside them."""

import pytest
from by_path import study, window
from fan import CLOSED, TAG, limit

from register.starts.window import HELP, PASSED, STEP

# A motor, an overload and a main breaker that withstand more than the fan's own.
ABLE = CLOSED | {
    "hot_stall_s": "60",
    "device_trip_class": "40",
    "main_breaker_pickup_a": "2000",
    "dip_limit_pct": "8",
    "duty_code": "AC-53b: 6-60 : 700",
}


@pytest.fixture(scope="module")
def able(fan):
    return window(fan, TAG, changes=ABLE)


def outside(made):
    return {f.name for f in made.start.figures if f.within is False}


def test_the_lowest_limit_opens_the_window_and_the_supply_ends_it(fan, able):
    # Source: as in test_study; across the line the fan draws 5.7536 × FLA.
    assert able.steps[0].limit_xfla == pytest.approx(2.40)
    assert able.steps[-1].limit_xfla == pytest.approx(5.80)
    # The low end of the band: 2.36 with its damper shut, 3.30 with it open.
    wide = window(fan, TAG)
    assert wide.steps[0].limit_xfla == pytest.approx(3.30)


def test_the_workable_stretch_passes_nothing_and_beside_it_something_is(fan, able):
    low, high = able.workable
    for at in (low, high):
        assert outside(study(fan, TAG, changes=ABLE | limit(at))) == set()
    below = study(fan, TAG, changes=ABLE | limit(low - STEP))
    assert outside(below) or below.start.figure("time_s").high == "may stall"
    assert "dip_pct" in outside(study(fan, TAG, changes=ABLE | limit(high + STEP)))
    assert (able.below, able.above) == (("overload",), ("dip",))


def test_a_step_is_the_study_with_that_limit(fan, able):
    step = next(s for s in able.steps if s.limit_xfla == pytest.approx(3.5))
    assert step.outcome == "starts"
    made = study(fan, TAG, changes=ABLE | limit(3.5))
    assert step.dip_pct == pytest.approx(made.start.figure("dip_pct").value)
    assert step.duty_s == pytest.approx(made.start.figure("duty_s").value, rel=1e-6)
    assert step.motor_heat_pct == pytest.approx(made.start.figure("motor_heat_pct").value, rel=1e-6)


def test_more_current_starts_sooner_and_dips_deeper(able):
    times = [s.time_s for s in able.steps if s.time_s is not None]
    dips = [s.dip_pct for s in able.steps]
    assert times == sorted(times, reverse=True)
    assert dips == sorted(dips)


def test_nothing_workable_is_said_with_what_would_help(fan):
    made = window(fan, TAG)
    assert made.workable is None
    assert made.sayings[0] == "No current limit is within all bounds."
    heat = next(s for s in made.sayings if "more heat than it withstands at every limit" in s)
    assert "unload the start" in heat
    assert set(PASSED) == set(HELP)


def test_what_is_unknown_passes_nothing_and_is_named(fan):
    made = window(fan, TAG, changes=ABLE | {"device_trip_class": "?", "duty_code": "?"})
    assert dict(made.unjudged) == {"overload": ("device_trip_class",), "duty": ("duty_code",)}
    assert not any({"overload", "duty"} & set(step.crossed) for step in made.steps)


def test_the_range_of_a_device_bounds_it(fan):
    made = window(fan, TAG, changes=ABLE | {"current_limit_min_xfla": "1.5", "current_limit_max_xfla": "5"})
    assert made.workable[1] == pytest.approx(5.0)
    assert made.above == ("device",)


def test_a_load_that_full_voltage_does_not_start_has_no_window(fan):
    made = window(fan, TAG, changes={"load_torque_pct": "240"})
    assert made.steps == () and "full voltage does not" in made.why_not
    assert made.sayings


def test_a_window_needs_no_setting_of_the_device(fan):
    made = window(fan, TAG, changes=ABLE | {"device_kind": "across-the-line", "start_mode": "?"})
    assert made.steps and "its device is across-the-line" in made.how
    assert "duty" not in dict(made.bounds)
    lacking = window(fan, TAG, changes={"load_curve": "?", "load_kind": "?"})
    assert lacking.steps == () and "load_curve" in lacking.to_read
