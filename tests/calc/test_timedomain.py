"""One motor in time: against the march's references, mechanics and scipy."""

import numpy as np
import pytest
from start_cases import CASES, CLOSED, DOL, M650, S650, Moment, array, limit, parts, started, tap

from register.calc.time_domain import Stand, after_dip, start, stop


def stand(case="C5", **changes):
    return Stand(**parts(CASES[case]) | changes)


# Source: scipy, DOP853 with rtol 1e-10, of circuits and laws written out separately: seconds and ∫i²dt of the line.
@pytest.mark.parametrize(
    ("case", "seconds", "squares"),
    [
        ("C5", 29.7736, 750.448),
        ("C6", 17.6744, 485.645),
        ("C7", 48.4525, 829.116),
        ("C11", 50.9183, 641.731),
        ("C12", 48.0557, 322.761),
        ("C13", 1.6009, 48.179),
        ("C14", 9.4678, 123.578),
        ("C15", 10.2745, 109.785),
    ],
)
def test_starts_in_time(case, seconds, squares):
    course = start(stand=stand(case))
    assert course.time[-1] == pytest.approx(seconds, rel=2e-4)
    assert course.i2[-1] == pytest.approx(squares, rel=2e-4)


@pytest.mark.parametrize("case", ["C5", "C7", "C6", "C11", "C14", "C15"])
def test_the_march_passes_through_the_same_points(case):
    course, _ = started(CASES[case])
    slow = start(stand=stand(case))
    for name in ("time", "v_bus", "v_term", "torque", "current"):
        expected = getattr(slow, name)
        found = np.interp(slow.speed, course.speed[:, 0], getattr(course, name)[:, 0])
        # Where a value jumps a hair of speed makes a large difference; standing it has no speed to go by.
        assert np.quantile(np.abs(found - expected)[slow.speed > 0.02], 0.9) < 0.005 * expected.max(), name


def test_a_limit_below_breakaway_stands_still():
    course = start(stand=stand("C16"))
    assert course.speed.max() == 0.0
    assert course.time[-1] == 200.0


def test_a_kick_alone_does_not_start_what_the_limit_cannot_carry_on():
    # Source: the study's time-domain prototype: a kick of 60 % for 0.8 s reaches 1 to 2 % of speed;
    # at 200 % the fan falls back to standstill, at 220 % it goes on turning.
    kick = dict(kick_ratio=0.6, kick_s=0.8)
    for xfla, turns in ((2.0, False), (2.2, True)):
        course = start(stand=stand("C6", control=limit(xfla)), **kick)
        after = np.interp(0.8, course.time, course.speed)
        assert 0.01 < after < 0.02
        assert (course.speed[-1] > 0.0) == turns
    assert course.current[course.time < 0.8].max() < 4.0


def test_coasting_against_constant_torque_is_straight():
    # Source: mechanics, t = J·ω/T.
    given = parts((M650, S650, (0.5, 0.5, 0, 0), DOL, 152.0))
    course = stop(stand=Stand(**given), stop_ramp_s=0.0)
    seconds = given["inertia_pu"] * course.speed[0] / (0.5 * given["machine"].t_fl)
    standing = course.time[np.flatnonzero(course.speed <= 0.0)[0]]
    assert standing == pytest.approx(seconds[0], rel=0.005)
    assert course.i2[-1] == 0.0


def test_the_motor_runs_where_torque_and_load_are_equal():
    # Source: the nameplate: at full-load torque and rated voltage it turns at rated speed.
    stiff = S650 | dict(
        bus_voltage_v=460, upstream_fault_mva=np.inf, transformer_kva=np.inf, cable_r_ohm_per_km=0, cable_x_ohm_per_km=0
    )
    full = Stand(**parts((M650, stiff, (1.0, 1.0, 0, 0), DOL, 152.0)))
    assert full.running_speed() == pytest.approx(1788 / 1800, abs=1e-5)
    assert Stand(**parts((M650, stiff, (3.0, 3.0, 0, 0), DOL, 152.0))).running_speed() == 0.0


def test_a_soft_stop_takes_longer_than_coasting_and_costs_heat():
    # Source: an independent prototype: 74.4 s coasting to 2 % of speed; ramping takes longer (common practice).
    def to_two_pct(course):
        return course.time[np.flatnonzero(course.speed < 0.02)[0]]

    soft, coast = (stop(stand=stand(), stop_ramp_s=seconds) for seconds in (20.0, 0.0))
    assert soft.i2[-1] > 20
    assert to_two_pct(soft) > to_two_pct(coast) + 5
    assert to_two_pct(coast) == pytest.approx(74.4, rel=0.01)


@pytest.mark.parametrize("by_torque", [False, True])
def test_stops_agree_with_an_integrator(by_torque):
    # Source: scipy, LSODA with rtol 1e-9, of the circuit and the laws written out once more.
    from scipy.integrate import solve_ivp

    given = parts(CASES["C14"])
    motor = Stand(**given)
    moment = Moment(given, 0)
    speed = motor.running_speed()
    begun = moment.load_torque(speed)

    def rates(time, state):
        y, pull = moment.circuit(min(max(state[0], 0.0), 1 - 1e-9))
        if by_torque:
            current = min(moment.ratio_current(y, 1.0), np.sqrt(begun * max(1 - time / 8, 0) / pull) * abs(y))
        else:
            current = moment.ratio_current(y, max(1 - time / 8, 1e-6))
        net = (current / abs(y)) ** 2 * pull - moment.load_torque(max(state[0], 0.0))
        net = max(net, 0) if state[0] <= 0 else net
        return [net / moment.inertia, current**2]

    exact = solve_ivp(rates, (0, 8), [speed, 0], method="LSODA", rtol=1e-9, max_step=0.01)
    course = stop(stand=motor, stop_ramp_s=8.0, by_torque=by_torque)
    at_end = np.searchsorted(course.time, 8.0)
    assert course.speed[at_end] == pytest.approx(exact.y[0, -1], abs=1e-4)
    assert course.i2[at_end] == pytest.approx(exact.y[1, -1], rel=1e-3)


def test_a_stop_by_torque_is_gentler_at_first_than_one_by_voltage():
    # Source: common practice: on falling voltage an induction motor holds its speed and then drops.
    courses = [stop(stand=stand("C6"), stop_ramp_s=20.0, by_torque=way) for way in (True, False)]
    early = [np.interp(8.0, course.time, course.speed) for course in courses]
    assert early[0] < early[1]


def test_after_a_dip_the_motor_comes_back_or_stalls():
    short = after_dip(stand=stand(), left_ratio=0.0, dip_s=1.0)
    long = after_dip(stand=stand(), left_ratio=0.0, dip_s=20.0)
    assert short.speed.min() > long.speed.min()
    assert short.speed[-1] == long.speed[-1] == pytest.approx(stand().up_to_speed)
    assert short.time[-1] - 1.0 < long.time[-1] - 20.0 < 29.774
    weak = after_dip(stand=stand(control=limit(3.0)), left_ratio=0.0, dip_s=60.0, restarts=True)
    assert weak.speed[-1] < 0.62, "what cannot start cannot come back from too low a speed"


def test_a_dropped_motor_slows_down_as_it_coasts():
    coast = stop(stand=stand(), stop_ramp_s=0.0)
    dipped = after_dip(stand=stand(), left_ratio=0.0, dip_s=10.0)
    expected = np.interp(10.0, coast.time, coast.speed)
    assert dipped.speed.min() == pytest.approx(expected, abs=1e-4)
    assert dipped.v_bus[dipped.time < 10.0].max() == 0.0


def test_a_shallow_dip_is_ridden_through():
    course = after_dip(stand=stand(), left_ratio=0.9, dip_s=0.5)
    assert course.time[-1] == pytest.approx(0.5)
    assert course.speed.min() > stand().up_to_speed


def test_the_line_behind_a_tap_carries_the_tap_of_the_motors_current():
    course = start(stand=stand("C5", control=tap(0.65, 30.0)))
    march, _ = started(CASES["C11"])
    assert course.current[0] == pytest.approx(march.current[0, 0], rel=1e-6)
    assert course.v_bus[0] == pytest.approx(march.v_bus[0, 0], rel=1e-6)


def test_a_lighter_load_starts_sooner():
    heavy, light = (parts((M650, S650, load, DOL, 152.0)) for load in ((0.5, 0.5, 0, 0), CLOSED))
    seconds = [start(stand=Stand(**given)).time[-1] for given in (heavy, light)]
    assert seconds[1] < seconds[0]
    frictionless = Stand(**heavy | {"inertia_pu": array(1e-3)})
    assert start(stand=frictionless).time[-1] < 0.01
