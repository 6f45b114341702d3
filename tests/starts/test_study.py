"""The study of one start, against starts worked out apart from the program.

Source of the figures of the 650 hp fan, where nothing else is said: scipy's DOP853, rtol 1e-10, in
time, on the same circuit, load and supply; the ends of the bands with exponents of 0.5 and 1.
"""

import dataclasses
import math
from io import StringIO

import numpy as np
import pytest
from by_path import study, window
from fan import CLOSED, DIRECT, RAMP, TAG, limit
from rich.console import Console

from register.columns import FACTS
from register.errors import StartrollError
from register.reports.terminal import study as shown
from register.starts import model


@pytest.fixture(scope="module")
def studied(fan):
    """A study of the fan, each made once."""
    made = {}

    def look(changes=None, way=model.OWN):
        key = (tuple((changes or {}).items()), way)
        if key not in made:
            made[key] = study(fan, TAG, changes=changes, way=way)
        return made[key]

    return look


def said(made):
    return "\n".join(made.start.sayings)


def value(made, name):
    return made.start.figure(name).value


def test_one_and_a_half_times_full_load_does_not_turn_the_fan(studied):
    made = studied()
    assert value(made, "outcome") == "does not turn"
    lowest = made.start.figure("lowest_limit_xfla")
    assert (lowest.value, lowest.low, lowest.high) == pytest.approx((4.20, 3.30, 4.79), abs=0.006)
    assert "does not turn; lowest workable limit 4.20 × FLA (3.30 to 4.79)" in said(made)


def test_with_its_damper_shut_it_needs_less(studied):
    lowest = studied(CLOSED | limit(1.5)).start.figure("lowest_limit_xfla")
    assert (lowest.value, lowest.low, lowest.high) == pytest.approx((3.00, 2.36, 3.42), abs=0.006)


def test_its_standstill_torque_is_told_beside_what_the_load_asks(studied):
    # (1.5/6.2)² · 90 % = 5.3 % of full-load torque, by arithmetic; the breakaway was entered.
    assert "gives 5.3 % of its full-load torque; the load asks 12 %" in said(studied())


def test_how_long_it_would_stand_unnoticed(studied):
    # Source: τ·ln(2.25/(2.25 − 1.15²)) with τ of a class 10 at 7.2 times, by hand: 342.92 s; warm
    # from full load τ·ln(1.25/(2.25 − 1.15²)) = 115.4 s; the class's quickest is 4 s at 7.2 times.
    assert "class 10 overload notices after 137 to 343 s from cold, and after 115 s" in said(studied())
    # 38.44 · 12 s / 1.5² = 205 s, longer than it is followed.
    assert value(studied(), "motor_heated_s") == "over 200 s"


def test_what_a_limit_of_150_percent_may_be(studied):
    # 1.5 × 1200 A = 2.52 × 715 A, by arithmetic: below 4.20 and 3.00; 1.75 × 1200 A = 2.94 × 715 A.
    assert "1.5 × 1200 A is 2.52 × this motor's 715 A, which would not do either" in said(studied())
    assert "which would not do either" in said(studied(CLOSED | limit(1.5)))
    assert "which would take it to speed" in said(studied(CLOSED | limit(1.9)))
    wrong = said(studied(limit(1.5) | {"fla_set_a": "2100"}))
    assert "the 2100 A entered as full-load current: 4.41 × this motor's, which would take it" in wrong
    for cause in ("lifted when its ramp time is over", "kick", "the wind", "the same day"):
        assert cause in said(studied())


@pytest.mark.parametrize(
    ("changes", "seconds", "band", "peak"),
    [
        (DIRECT, 29.774, (20.326, 96.453), 5.7536),
        (DIRECT | CLOSED, 17.674, (15.373, 23.215), 5.7536),
        (RAMP, 48.453, (38.327, 115.81), 5.3733),
    ],
)
def test_times_with_their_band_and_peaks(studied, changes, seconds, band, peak):
    made = studied(changes)
    time = made.start.figure("time_s")
    assert time.value == pytest.approx(seconds, rel=0.005)
    assert time.low == pytest.approx(band[0], rel=0.01)
    # A start is given up after 200 s.
    high = "may stall" if band[1] > 200 else pytest.approx(band[1], rel=0.01)
    assert time.high == high
    assert value(made, "peak_xfla") == pytest.approx(peak, rel=0.001)
    assert value(made, "peak_a") == pytest.approx(715 * peak, rel=0.001)


def test_what_a_direct_start_strains(studied):
    made = studied(DIRECT)
    # 0.9149 of 480 V; ∫i² of 750.448 over 6.2² · 12 s, by scipy as above.
    assert value(made, "dip_pct") == pytest.approx(100 - 91.49, abs=0.01)
    assert value(made, "terminal_pct") == pytest.approx(92.80, abs=0.15)
    assert value(made, "motor_heat_pct") == pytest.approx(100 * 750.448 / (6.2**2 * 12), rel=0.005)
    assert value(made, "above_4_xfla_s") == pytest.approx(28.023, rel=0.005)
    assert value(made, "energy_kwh") == pytest.approx(5.263, rel=0.005)
    # 750.45 FLA²s of 36 · 12 s · (800/715)², long-time at 800 A.
    assert value(made, "main_breaker_pct") == pytest.approx(100 * 750.45 / 432 / (800 / 715) ** 2, rel=0.005)
    assert not made.start.figure("motor_heat_pct").within


def test_a_limit_of_three_and_a_half_may_stall_and_trips_the_overload(studied):
    made = studied(limit(3.5))
    assert value(made, "outcome") == "may stall"
    assert made.start.figure("outcome").within is None
    assert value(made, "overload") == "trips"
    # Source: closed form at a constant 3.5 × the setting: 44.22 s.
    assert value(made, "overload_trips_s") == pytest.approx(44.22, rel=0.005)
    # Source: scipy, as above: the low end comes up in 72.95 s, the centre stays at 56.5 % of speed.
    assert "it does come up, in 73 s: it may stall" in said(made)
    assert value(made, "stall_speed_pct") == pytest.approx(56.54, abs=0.05)


def test_a_limit_of_three_stalls_half_way(studied):
    made = studied(limit(3.0))
    assert value(made, "outcome") == "stalls"
    assert value(made, "stall_speed_pct") == pytest.approx(46.63, abs=0.05)


@pytest.mark.parametrize(("changes", "squares"), [(RAMP, 829.116), (CLOSED | limit(4.0), None)])
def test_duty_of_a_device_as_large_as_the_motor(studied, changes, squares):
    duty = studied(changes | {"rated_current_a": "715"}).start.figure("duty_s")
    if squares:
        assert duty.value == pytest.approx(squares / 16, rel=0.005)
    else:
        # At a constant 4 × of the device it is the time of the start itself.
        assert duty.value == pytest.approx(value(studied(changes), "time_s"), rel=0.02)
    assert (duty.bound, duty.within) == (20, False)


def test_a_start_that_ends_hot_or_tripped_does_not_simply_start(studied):
    assert value(studied(RAMP), "outcome") == "trips on the way"
    assert value(studied(DIRECT), "outcome") == "starts too hot"
    assert "of the heat that the motor withstands" in said(studied(DIRECT))


def test_a_softer_start_can_heat_a_motor_more(studied):
    # ∫i² of 829.116 over 6.2² · 12 s, against 750.448 across the line.
    assert "heats the motor more than a start across the line: 179 % against 163 %" in said(studied(RAMP))


def test_a_ramp_of_voltage_is_no_limit_of_current(studied):
    # The highest current is that of the ramp's end, 30 s, at 60 % of speed.
    # Source: scipy on the circuits written out separately, as above: highest when the ramp is over, at 30 s.
    slow = said(studied(RAMP | {"load_torque_pct": "20"}))
    assert "A ramp of voltage is no limit of current: it comes to" in slow
    assert "no limit of current" not in said(studied(limit(3.5)))


def test_a_limit_next_to_none_spares_the_line_nothing(studied):
    assert "hardly draws less than a start across the line" in said(studied(limit(5.5)))


def test_by_the_way_round_it_is_the_direct_start_without_the_device(studied):
    made, direct = studied(way=model.FAILOVER), studied(DIRECT)
    for name in ("time_s", "peak_xfla", "dip_pct", "motor_heat_pct", "lowest_limit_xfla"):
        assert made.start.figure(name) == direct.start.figure(name)
    assert not made.start.has("overload") and not made.start.has("duty_s")
    assert "device" not in made.how


def test_the_course_ends_where_the_figures_say(studied):
    made = studied(RAMP)
    course, curves = made.start.course, made.start.curves
    assert course.time_s[-1] == pytest.approx(value(made, "time_s"))
    # The figure leaves out that current falls faster than voltage, which the course has.
    assert course.current_xfla.max() == pytest.approx(value(made, "peak_xfla"), rel=0.02)
    assert course.bus_pct.min() == pytest.approx(100 - value(made, "dip_pct"), rel=0.01)
    assert (np.diff(course.time_s) >= 0).all() and (np.diff(course.speed_pct) >= 0).all()
    assert (course.load_pct[0], curves.load_pct[0]) == pytest.approx((12, 12))
    # 90 % of full-load torque at rated speed, which is where these curves end.
    assert (curves.load_pct[-1], curves.speed_pct[-1]) == pytest.approx((90, 178800 / 1800))
    assert all(np.isfinite(getattr(course, f.name)).all() for f in dataclasses.fields(course))


def test_inputs_say_where_they_came_from(studied):
    origins = {i.column: i.origin for i in studied(limit(3.5)).inputs}
    assert origins["current_limit_xfla"] == "tried"
    assert origins["fla_a"].startswith("entered")
    assert origins["overload_set_a"].startswith("computed from device_overload_set_a")
    assert origins["power_factor"].startswith("assumed: ")
    assert [i.column for i in studied(limit(3.5)).tried] == ["current_limit_xfla"]


def test_what_is_tried_without_effect_is_told(studied):
    assert studied(RAMP | limit(3.5)).idle == ("current_limit_xfla",)
    assert studied(RAMP).idle == ()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"load_curve": "?", "load_kind": "?"}, "load_kind"),
        ({"current_limit_xfla": "?"}, "current_limit_xfla"),
        ({"power_kw": "?"}, "power_kw"),
    ],
)
def test_what_is_missing_is_named_and_nothing_is_made_up(fan, changes, words):
    made = study(fan, TAG, changes=changes)
    assert made.start is None and made.why_not == "too little is known"
    assert words in made.to_read


def test_without_stand_ins_what_stood_in_is_to_be_read(fan):
    assert [i.column for i in study(fan, TAG).assumed] == ["power_factor"]
    made = study(fan, TAG, measured_only=True)
    assert (made.start, made.to_read, made.assumed) == (None, ("power_factor",), ())
    assert study(fan, TAG, measured_only=True, changes={"power_factor": "0.888"}).start


def test_a_nameplate_that_contradicts_itself_is_said_to(fan):
    made = study(fan, TAG, changes={"poles": "2"})
    assert "contradict one another" in made.why_not
    assert {"speed_rpm", "poles"} <= set(made.to_read)


def test_a_motor_of_one_phase_is_not_studied(fan):
    made = study(fan, TAG, changes={"phases": "1"})
    assert (made.start, made.to_read, made.certainty) == (None, ("phases",), "X")


@pytest.mark.parametrize("kind", ["wound rotor", "synchronous", "permanent magnet", "reluctance", "direct current"])
def test_a_motor_without_a_cage_is_not_studied(fan, kind):
    # Common practice: what starts these is not the circuit of a cage motor.
    made = study(fan, TAG, changes={"motor_type": kind})
    assert (made.start, made.to_read, made.certainty) == (None, ("motor_type",), "X")
    assert made.why_not.startswith(kind)
    assert window(fan, TAG, changes={"motor_type": kind}).why_not == made.why_not
    assert study(fan, TAG, changes={"motor_type": "cage"}).start is not None


def test_no_way_round_is_no_study(fan):
    made = study(fan, TAG, changes={"bypass_arrangement": "none"}, way=model.FAILOVER)
    assert (made.start, made.to_read) == (None, ())
    assert "no bypass" in made.why_not


def test_everything_wrong_with_what_is_tried_is_told_at_once(fan):
    with pytest.raises(StartrollError) as raised:
        study(fan, TAG, changes={"current_limit_xfla": "40", "fla_amps": "3", "price": "1"})
    assert len(raised.value.problems) == 3
    assert "fla_a" in str(raised.value)


def test_figures_are_those_of_the_facts(demo):
    """The study of one start and the facts of all come from the same march."""
    from by_path import starts

    found = [s for s in starts(demo.path) if s.outcome]
    some = found[:: max(len(found) // 8, 1)]
    for start in some:
        made = study(demo.path, start.tag)
        assert value(made, "outcome") == start.outcome
        assert value(made, "peak_xfla") == pytest.approx(start.peak_xfla, rel=1e-9)
        if start.outcome == "starts":
            assert value(made, "time_s") == pytest.approx(start.time_s, rel=1e-9)
        if made.start.has("lowest_limit_xfla") and start.lowest_limit_xfla is not None:
            assert value(made, "lowest_limit_xfla") == start.lowest_limit_xfla


def test_every_figure_names_itself_once_and_is_a_number_or_a_word(studied):
    for made in (studied(), studied(DIRECT), studied(RAMP), studied(limit(3.0))):
        names = [figure.name for figure in made.start.figures]
        assert len(names) == len(set(names))
        for figure in made.start.figures:
            for number in (figure.value, figure.low, figure.high, figure.bound):
                assert not (isinstance(number, float) and not math.isfinite(number)), figure
    assert FACTS["start_outcome"].choices == ("starts", "may stall", "stalls", "does not turn")


def test_a_start_over_a_bound_is_never_said_to_have_nothing_that_stands_out(fan):
    able = DIRECT | CLOSED | {"hot_stall_s": "60", "device_trip_class": "40", "duty_code": "AC-53b: 6-60 : 700"}
    for dip_limit, words in (("20", "Nothing stands out."), ("2", "Not within its bound: deepest dip of the bus.")):
        out = Console(width=100, file=StringIO())
        out.print(shown.study(study(fan, TAG, changes=able | {"dip_limit_pct": dip_limit}), 100))
        assert words in out.file.getvalue()
