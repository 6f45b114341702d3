"""Which current a device and a relay carry, against hand calculations."""

import numpy as np
import pytest
from start_cases import CASES, CLOSED, M650, S650, array, started, tap

from register.calc import stress
from register.calc.overload import locked_rotor_trip_s
from register.calc.seen_current import device_share, own_overload_share, sees_motor
from register.calc.start_methods import DRIVE, Control
from register.facts.standard_tables import load_tables

CLASSES = load_tables()["trip-classes"]
TAU_10 = 10.0 / np.log(7.2**2 / (7.2**2 - 1.15**2))  # IEC 60947-4-1: class 10 trips after 10 s at 7.2 times


def word(text):
    return np.array([text], object)


def trip_s(connection, set_a):
    return locked_rotor_trip_s(
        practice=word("iec"),
        overload_trip_class=word("10"),
        overload_set_a=array(set_a),
        overload_current_a=array(100.0),
        locked_rotor_ratio=array(6.0),
        overload_place=word("device"),
        device_kind=word("soft starter"),
        device_connection=word(connection),
        trip_classes_table=CLASSES,
    )


def test_inside_the_delta_flows_one_over_root_three():
    # By hand: of 163 A of line current 94 A flow in a winding; heat goes with the square, a third.
    share = device_share(device_kind=word("soft starter"), device_connection=word("inside delta"))
    assert 163 * share == pytest.approx(94.1, abs=0.05)
    assert share**2 == pytest.approx(1 / 3)
    course, _ = started(CASES["C6"])
    line, inside = (
        stress.device_equivalent_s(march=course, multiple=4.0, rated_xfla=1.0 / part) for part in (1.0, share)
    )
    assert inside == pytest.approx(line / 3)


def test_an_unknown_connection_says_nothing():
    assert np.isnan(device_share(device_kind=word("soft starter"), device_connection=word(None)))
    assert device_share(device_kind=word("drive"), device_connection=word(None)) == 1.0
    placed = {"device_kind": word("soft starter"), "device_connection": word("inside delta")}
    assert own_overload_share(overload_place=word("relay"), **placed) == 1.0


def test_an_overload_inside_the_delta_set_to_line_current_is_three_times_slower_to_see_a_stall():
    # By hand: the winding carries 6/√3 = 3.46 times the setting: τ·ln(12/(12 − 1.3225)), against 36.
    line, inside = trip_s("in line", 100.0), trip_s("inside delta", 100.0)
    assert line == pytest.approx(TAU_10 * np.log(36 / (36 - 1.15**2)))
    assert inside == pytest.approx(TAU_10 * np.log(12 / (12 - 1.15**2)))
    assert inside / line == pytest.approx(3.12, abs=0.02)
    assert trip_s("inside delta", 100.0 / np.sqrt(3)) == pytest.approx(line)


def test_a_star_delta_relay_in_a_phase_sees_root_three_of_the_lines_multiple_in_star():
    # By hand: set to 0.58 FLA it carries in star the line's current, a third of the direct one: √3/3 of its setting's.
    course, _ = started((M650, S650, CLOSED, tap(1 / np.sqrt(3), 40.0), 152.0))
    star = course.time[:, 0] < 39.0
    of_setting = course.current[star, 0] / (1 / np.sqrt(3))
    assert course.motor_current[star, 0] == pytest.approx(of_setting)
    placed = {"overload_place": word("relay"), "device_kind": word("star-delta"), "relay_side": word(None)}
    assert sees_motor(**placed, relay_leg=word("phase")) == 1.0
    assert sees_motor(**placed, relay_leg=word("line")) == 0.0
    assert np.isnan(sees_motor(**placed, relay_leg=word(None)))


def test_an_autotransformers_relay_sees_tap_or_tap_squared():
    course, _ = started((M650, S650, CLOSED, tap(0.65, 30.0), 152.0))
    # By hand, at standstill: the motor draws 0.65 of its direct current and the line 0.65 of that.
    assert course.current[0] / course.motor_current[0] == pytest.approx(0.65)
    placed = {"overload_place": word("relay"), "device_kind": word("autotransformer"), "relay_leg": word(None)}
    for side, seen in (("motor", 1.0), ("line", 0.0)):
        assert sees_motor(**placed, relay_side=word(side)) == seen


def test_a_drives_overload_notices_a_motor_that_is_stuck():
    # By hand: it holds 1.5 × FLA in the motor: τ·ln(2.25/(2.25 − 1.3225)); the line shows next to nothing.
    control = Control.of(method=DRIVE, ramp_s=20.0, torque_to=2.0, limit_xfla=1.5)
    course, _ = started((M650, S650, (4.0, 4.0, 0.0, 0.0), control, 152.0))
    relay = {"march": course, "trip_class": word("10"), "trip_classes_table": CLASSES}
    assert np.isnan(stress.overload(**relay).trips_s)
    placed = {"overload_place": word("device"), "device_kind": word("drive")}
    assert sees_motor(**placed, relay_leg=word(None), relay_side=word(None)) == 1.0
    held = course.motor_current[-1]
    found = stress.overload(**relay, in_motor=np.array([True])).trips_s
    assert found == pytest.approx(TAU_10 * np.log(held**2 / (held**2 - 1.15**2)), rel=1e-6)


def test_a_main_breaker_carries_its_bus_besides():
    # By hand: 300 s at 2 × FLA and 1 beside are 9·300 s against 4·300 s, of 36·12 s·(setting 1.0)².
    course, _ = started((M650, S650, CLOSED, Control.of(method=2, limit_xfla=2.0), 152.0), t_max_s=300.0)
    alone, beside = (
        stress.long_time_share(march=course, set_xfla=1.0, delay_s=12.0, beside_xfla=load) for load in (0.0, 1.0)
    )
    assert alone == pytest.approx(4 * 300 / 432, rel=1e-6)
    assert beside == pytest.approx(9 * 300 / 432, rel=1e-6)
