"""Starts, against formulas of mechanics and against scipy's integrator on the circuit in time."""

import os
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import pytest
from start_cases import (
    CASES,
    CLOSED,
    DOL,
    M650,
    OPEN,
    RAMP,
    RAMP_AND_LIMIT,
    S650,
    Moment,
    array,
    drawn,
    edged,
    integrated,
    limit,
    load_of,
    machine_of,
    parts,
    started,
    supply_of,
    tap,
)

from register.calc.speed_domain import march
from register.calc.speed_step import growing, passed, phi_1, phi_2, steady
from register.calc.start_course import DOES_NOT_TURN, STALLS, STARTS, UNKNOWN
from register.calc.start_methods import DRIVE, SOFT, TORQUE, Control, path
from register.calc.start_shapes import BAND
from register.calc.stress import lowest_limit_xfla, torque_margin_pct

RPM = 2 * np.pi / 60


def test_constant_torque_takes_inertia_times_speed_over_torque():
    # Source: mechanics, t = J·Δω/T; C1 is 20 kg·m² and 100 N·m to 1750 r/min.
    seconds, _ = steady(first=array(100), last=array(100), scale=array(20 * 1750 * RPM))
    assert seconds == pytest.approx(36.652, rel=1e-5)


def test_the_customary_formula_in_pounds_and_feet():
    # Source: t = Wk²·ΔN/(308·T) in lb·ft², r/min and lb·ft, as quoted in courses on motor starting;
    # 308 stands for 60·g/2π = 307.24. C2 is 1000 lb·ft² and 500 lb·ft to 1780 r/min.
    inertia, torque = 1000 * 0.042_140_110, 500 * 1.355_818
    seconds, _ = steady(first=array(torque), last=array(torque), scale=array(inertia * 1780 * RPM))
    assert seconds == pytest.approx(11.587, rel=1e-4)
    assert seconds == pytest.approx(1000 * 1780 / (308 * 500), rel=0.003)


def test_a_cell_of_straight_torque_is_an_exponential():
    # Source: the solution of dξ/dt = 1 − ξ/2: ξ = 2(1 − e^(−t/2)); its time to 1 is 2·ln 2.
    first, last, scale = array(1.0), array(0.5), array(1.0)
    seconds, mean = steady(first=first, last=last, scale=scale)
    assert seconds == pytest.approx(2 * np.log(2))
    assert mean == pytest.approx(2 - 2 * 0.5 / np.log(2) / 1, rel=1e-9)
    share, _ = passed(first=first, last=last, scale=scale, time=array(1.0))
    assert share == pytest.approx(2 * (1 - np.exp(-0.5)))


def test_a_cell_ends_where_the_torque_does():
    seconds, _ = steady(first=array(1, 0, -1), last=array(0, 1, 1), scale=array(1, 1, 1))
    assert (seconds == np.inf).all()


class Even(NamedTuple):
    """Torque that grows evenly."""

    last: np.ndarray
    growth: np.ndarray

    def at(self, time):
        return self.last + self.growth * time


def test_torque_that_grows_from_nothing_goes_with_the_square_of_time():
    # Source: dξ/dt = t has ξ = t²/2; a mean torque would give t² /2 too, but no start at 0/0.
    cell = dict(first=array(0), later=Even(array(0), array(1)), scale=array(1))
    seconds, share = growing(**cell, most=array(10))
    assert (seconds, share) == (pytest.approx(np.sqrt(2), rel=1e-6), 1)
    seconds, share = growing(**cell, most=array(1))
    assert (seconds, share) == (1, pytest.approx(0.5))


@pytest.mark.parametrize("first", [0.0, 1e-6, 0.01, 1.0])
@pytest.mark.parametrize("last", [-50.0, -1.0, 0.0, 1e-3, 5.0, 80.0])
@pytest.mark.parametrize("growth", [1e-3, 0.1, 10.0])
def test_a_cell_of_growing_torque_solves_its_equation(first, last, growth):
    # Source: the solution of dξ/dt = first + growth·t + (last − first)·ξ, by scipy's quadrature of
    # its convolution; from far under to far over what a motor meets.
    from scipy.integrate import quad

    seconds, share = growing(
        first=array(first), later=Even(array(last), array(growth)), scale=array(1), most=array(1e6)
    )
    slope = last - first
    end = float(seconds[0])
    moments = [end - 40 / abs(slope), end - 4 / abs(slope), end - 0.4 / abs(slope)] if slope else []
    passed_by, _ = quad(
        lambda t: (first + growth * t) * np.exp(slope * (end - t)),
        0,
        end,
        limit=200,
        points=[m for m in moments if m > 0],
    )
    assert passed_by == pytest.approx(1, rel=2e-5)
    assert share == 1


def test_the_functions_phi_join_their_series():
    z = array(-1e-4, -1e-6, -1e-8, 0, 1e-8, 1e-6, 1e-4)
    assert phi_1(z) == pytest.approx(1 + z / 2 + z**2 / 6, rel=1e-6)
    assert phi_2(z) == pytest.approx(1 / 2 + z / 6 + z**2 / 24, rel=1e-6)


# Source: scipy, DOP853 with rtol 1e-10, of circuit and laws written out separately (start_cases.Moment): seconds, and
# ∫i²dt of the line in FLA²·s, of centre, high and low.
KNOWN = {
    "C5": ((29.7736, 96.4529, 20.3255), (750.448, 2322.651, 462.791)),
    "C6": ((17.6744, 23.2148, 15.3731), (485.645, 659.009, 371.407)),
    "C7": ((48.4525, 115.8101, 38.3270), (829.116, 2401.558, 538.014)),
    "C11": ((50.9183, 118.0788, 41.0325), (641.731, 2218.168, 357.477)),
    "C12": ((48.0557, 54.4937, 44.9983), (322.761, 511.581, 214.543)),
    "C13": ((1.6009, 1.9362, 1.3060), (48.179, 66.676, 35.680)),
    "C14": ((9.4678, 25.0483, 6.9398), (123.578, 369.414, 79.456)),
    "C15": ((10.2745, 10.2745, 10.2745), (109.785, 137.160, 84.996)),
}


@pytest.mark.parametrize("case", KNOWN)
@pytest.mark.parametrize("shape", BAND)
def test_times_and_squares(case, shape):
    course, _ = started(CASES[case], shape, t_max_s=400.0)
    seconds, squares = (values[shape] for values in KNOWN[case])
    assert course.status == STARTS
    assert course.start_s == pytest.approx(seconds, rel=0.002)
    assert course.di2.sum() == pytest.approx(squares, rel=0.002)


def test_the_first_moment_has_no_band():
    # Source: the same circuit at standstill, worked out apart before there were three shapes: 5.7536 × FLA.
    for shape in BAND:
        course, _ = started(CASES["C5"], shape)
        assert course.peak == pytest.approx(5.7536, rel=1e-3)
        assert course.least_bus == pytest.approx(0.9149, rel=1e-3)
    assert started(CASES["C13"])[0].peak == pytest.approx(6.33, rel=1e-4)


def test_a_peak_is_never_below_that_of_a_motor_without_saturation():
    # A motor that loses torque at reduced voltage is slower when a tap or ramp hands over, never faster.
    for case in ("C5", "C7", "C11", "C12", "C14", "C15"):
        for shape in BAND:
            given = parts(CASES[case], shape)
            straight = replace(given["machine"], n=array(1.0))
            plain = march(**given | {"machine": straight}, stop_slip=2 * straight.s_fl)
            course, _ = started(CASES[case], shape)
            assert course.peak >= plain.current.max() * (1 - 2e-3)
            assert course.least_bus <= plain.v_bus.min() + 2e-4
            assert course.peak >= course.current.max()


def test_a_changeover_draws_the_most_just_after_it():
    # Source: as KNOWN: the transition comes after 30 s.
    course, _ = started(CASES["C11"])
    assert course.time[course.current[:, 0].argmax(), 0] == pytest.approx(30.0)


def test_a_limit_too_low_stalls_half_way():
    # Source: as above; the speed at which torque and load are equal.
    course, _ = started(CASES["C9"])
    assert course.status == STALLS
    assert course.stall_speed == pytest.approx(0.4663, abs=5e-4)
    assert course.reached == pytest.approx(0.4663, abs=5e-4)
    assert np.isnan(course.start_s)


def test_a_fan_held_to_one_and_a_half_times_full_load_does_not_turn():
    """A fan of 650 hp that is said to have started on 150 %: of what, if it did?"""
    # Source: standstill torque goes with the square of current: (1.5/6.2)²·90 % = 5.27 % of full
    # load against 12 % to break away. C16 gives the same as −0.0577 of the motor's base.
    case = CASES["C16"]
    course, machine = started(case)
    assert course.status == DOES_NOT_TURN
    assert course.reached == course.stall_speed == 0.0
    pull = course.torque[0] / machine.t_fl
    assert pull == pytest.approx((1.5 / 6.2) ** 2 * 0.90, rel=0.001)
    assert course.torque[0] - course.load[0] == pytest.approx(-0.0577, rel=0.002)
    assert torque_margin_pct(march=course, machine=machine) < 0


@pytest.mark.parametrize("ramp_s", [0.0, 5.0, 30.0])
@pytest.mark.parametrize(("share", "turns"), [(0.97, False), (0.9998, False), (1.001, True)])
def test_what_a_limit_holds_below_breakaway_stands_through_any_ramp(ramp_s, share, turns):
    # Source: torque at standstill goes with the square of current: 90 % at 6.2 FLA is the 12 % that
    # breakaway asks at 6.2·√(12/90) = 2.264 FLA. That the load asks less beyond is no help.
    lowest = 6.2 * np.sqrt(0.12 / 0.90)
    control = Control.of(method=SOFT, initial=0.2, ramp_s=ramp_s, limit_xfla=share * lowest)
    course, _ = started((M650, S650, OPEN, control, 152.0))
    assert (course.reached > 0.0) == turns
    assert (course.status == DOES_NOT_TURN) != turns


@pytest.mark.parametrize(
    ("load", "shapes"),
    # Source: the reference implementation of the three shapes, to three figures: centre, high, low.
    [(OPEN, (4.20, 4.79, 3.30)), (CLOSED, (3.00, 3.42, 2.36))],
)
@pytest.mark.parametrize("shape", BAND)
def test_the_lowest_workable_limit_of_that_fan(load, shapes, shape):
    given = parts((M650, S650, load, DOL, 152.0), shape)
    about = {n: given[n] for n in ("machine", "load", "supply")}
    stop_slip = 2 * given["machine"].s_fl
    lowest = lowest_limit_xfla(**about, stop_slip=stop_slip)
    assert lowest == pytest.approx(shapes[shape], abs=0.006)
    for share, status in ((0.998, False), (1.002, True)):
        course = march(**given | {"control": limit(lowest * share)}, stop_slip=stop_slip, t_max_s=5000.0)
        assert (course.status == STARTS) == status


def test_no_limit_is_low_enough_for_a_load_beyond_the_motor():
    given = parts((M650, S650, (2.5, 2.5, 0, 0), DOL, 152.0))
    about = {n: given[n] for n in ("machine", "load", "supply")}
    assert lowest_limit_xfla(**about, stop_slip=2 * given["machine"].s_fl) == np.inf


def test_a_plate_that_no_motor_has_gives_no_limit():
    # Three times the torque on half the current: locked rotor on less than full load.
    plate = M650 | dict(locked_rotor_ratio=0.5, locked_rotor_torque_pct=300)
    given = parts((plate, S650, OPEN, DOL, 152.0))
    about = {n: given[n] for n in ("machine", "load", "supply")}
    assert np.isnan(lowest_limit_xfla(**about, stop_slip=array(0.02)))


# Every so many of them are integrated in time, which takes long; all of them with STARTROLL_EXAMPLES.
EVERY = 1 if "STARTROLL_EXAMPLES" in os.environ else 3


@pytest.fixture(scope="module")
def random_starts():
    case = drawn(350, seed=11)
    return case, march(**case)


@pytest.fixture(scope="module")
def near_a_stall():
    """Starts within 5 % of a stall, a third of them all, in each of the shapes."""
    return [edged(60, 50 + shape, shape) for shape in BAND]


def agree(case, course, *, median=5e-4, reached=0.004):
    """Verdicts of those fitted; verdicts, times, squares and speeds agree with scipy's."""
    fitted = np.flatnonzero(case["machine"].ok)[::EVERY]
    reference = np.array([integrated(case, i) for i in fitted])
    assert (course.status[fitted] == reference[:, 0]).all(), "verdicts"
    up = reference[:, 0] == STARTS
    seconds = np.abs(course.start_s[fitted] / reference[:, 1] - 1)[up]
    assert np.quantile(seconds, 0.99) < 0.003
    assert seconds.max() < 0.01
    assert np.median(seconds) < median
    squares = np.abs(course.motor_di2[:, fitted].sum(axis=0) / reference[:, 2] - 1)
    assert np.quantile(squares, 0.99) < 0.005
    assert squares.max() < 0.01
    assert course.reached[fitted] == pytest.approx(reference[:, 3], abs=reached)
    return reference[:, 0]


def test_random_starts_agree_with_an_integrator_in_time(random_starts):
    # Source: scipy, DOP853 with rtol 1e-9, on a circuit and laws written out separately.
    verdicts = agree(*random_starts)
    assert len(verdicts) >= 335 // EVERY, "with the 165 of the next test 500"
    assert np.sum(verdicts == STARTS) > 200 // EVERY
    assert np.sum(verdicts == DOES_NOT_TURN) > 20 // EVERY


def test_starts_at_the_edge_of_a_stall_agree_with_an_integrator_in_time(near_a_stall):
    # Source: as above.
    # What creeps has got somewhere else after 200 s: the speed is compared loosely.
    verdicts = np.concatenate([agree(case, march(**case), median=2e-3, reached=0.05) for case in near_a_stall])
    methods = np.concatenate([case["control"].method[case["machine"].ok][::EVERY] for case in near_a_stall])
    assert len(verdicts) >= 165 // EVERY
    assert (np.bincount(methods) > 10 // EVERY).all(), "each way of starting"
    assert np.sum(verdicts == STALLS) > 20 // EVERY
    assert np.sum(verdicts == STARTS) > 20 // EVERY


def test_without_closer_speeds_a_start_at_the_edge_of_a_stall_is_wrong(near_a_stall, monkeypatch):
    # What the finer march is for: a limit a hundredth above the lowest.
    case = near_a_stall[0]
    about = {n: case[n] for n in ("machine", "load", "supply", "stop_slip")}
    with np.errstate(all="ignore"):
        case = case | {"control": limit(1.01 * lowest_limit_xfla(**about))}
    fine = march(**case).start_s
    monkeypatch.setattr("register.calc.speed_domain.TOO_LONG", np.inf)
    coarse = march(**case).start_s
    assert np.nanmax(np.abs(coarse / fine - 1)) > 0.01


def test_all_starts_at_once_equal_one_by_one(random_starts):
    case, together = random_starts
    for i in range(0, 350, 8):
        one = {n: v[[i]] if isinstance(v, np.ndarray) else v.take([i]) for n, v in case.items()}
        alone = march(**one)
        for name in ("time", "current", "di2", "v_bus", "status", "start_s", "stall_speed"):
            expected = getattr(together, name)[..., [i]]
            assert getattr(alone, name) == pytest.approx(expected, rel=1e-12, nan_ok=True)


def test_rows_keep_to_the_order_of_time_and_to_the_limit(random_starts):
    case, course = random_starts
    ok = case["machine"].ok
    assert (np.diff(course.time[:, ok], axis=0) >= 0).all()
    assert (np.diff(course.speed[:, ok], axis=0) >= -1e-12).all()
    assert (course.di2[:, ok] >= 0).all()
    limited = ok & np.isin(case["control"].method, (SOFT, TORQUE))
    assert (course.current <= case["control"].limit_xfla)[:, limited].all()
    assert ((course.v_bus > 0) & (course.v_bus <= 1 + 1e-9))[:, ok].all()


def test_work_becomes_motion(random_starts):
    # Source: conservation of energy; the kinetic one is ∫(T − T_load)·dω over speed.
    case, course = random_starts
    gained = np.diff(course.speed**2, axis=0) / 2 * case["inertia_pu"]
    net, speed = course.torque - course.load, course.speed
    work = (net[1:] * speed[1:] + net[:-1] * speed[:-1]) / 2 * np.diff(course.time, axis=0)
    up = (course.status == STARTS) & (case["control"].method == 0)
    assert work.sum(axis=0)[up] == pytest.approx(gained.sum(axis=0)[up], rel=0.03)
    assert (course.energy > gained.sum(axis=0))[case["machine"].ok].all()


def test_standstill_torque_goes_with_the_square_of_tap_and_of_current():
    # Source: textbook: a third in star, 42.25 % at 65 %, 64 % at 80 %; T = (I/I_DOL)²·T_DOL.
    stiff = S650 | dict(
        upstream_fault_mva=np.inf, transformer_kva=np.inf, cable_r_ohm_per_km=0, cable_x_ohm_per_km=0, bus_voltage_v=460
    )
    given = parts((M650, stiff, OPEN, DOL, 152.0))
    direct, _ = started((M650, stiff, OPEN, DOL, 152.0))
    assert direct.current[0] == pytest.approx(6.2)
    for ratio in (1 / np.sqrt(3), 0.65, 0.80):
        course, _ = started((M650, stiff, OPEN, tap(ratio, 30.0), 152.0))
        # Saturation that goes takes V^0.1 more of the current, and V^0.2 of the torque; peaks leave it out.
        assert course.torque[0] / direct.torque[0] == pytest.approx(ratio**2.2)
        assert course.current[0] / direct.current[0] == pytest.approx(ratio**2.1)
        assert course.motor_current[0] / direct.current[0] == pytest.approx(ratio**1.1)
        straight = march(**given | {"control": tap(ratio, 1e3)}, stop_slip=2 * given["machine"].s_fl)
        assert straight.peak / direct.peak == pytest.approx(ratio**2)
    course, _ = started((M650, stiff, OPEN, limit(3.1), 152.0))
    assert course.torque[0] / direct.torque[0] == pytest.approx((3.1 / 6.2) ** 2)


def test_the_voltage_behind_a_starter_solves_its_loop():
    # Source: bisection of the loop itself: one current, active power in equal to active power out.
    case = parts(CASES["C14"]) | {"stop_slip": array(0.02)}
    moment = Moment(case, 0)
    for speed in (0.0, 0.5, 0.9, 0.97):
        y, _ = moment.circuit(speed)
        for ratio in (0.3, 0.6, 0.9, 1.0):
            current = moment.ratio_current(y, ratio)
            bent, _ = moment.at_current(y, current)
            behind = moment.behind(bent, ratio)
            assert behind * abs(bent / (1 + moment.z_c * bent)) == pytest.approx(current, rel=1e-9)
    along = path(**{n: case[n] for n in ("machine", "load", "supply")}, speed=np.array([[0.5]]))
    y, _ = moment.circuit(0.5)
    assert (along.full * along.drawn)[0] == pytest.approx(moment.ratio_current(y, 1.0), rel=1e-6)


def test_what_is_unknown_leaves_the_start_unknown():
    given = parts((M650, S650, (np.nan, 0.12, 0, 0.87), DOL, 152.0))
    course = march(**given, stop_slip=2 * given["machine"].s_fl)
    assert course.status == UNKNOWN
    assert np.isnan(course.current).all()
    assert np.isnan(course.start_s)
    dark, _ = started((M650 | dict(fla_a=np.nan), S650, OPEN, RAMP_AND_LIMIT, 152.0))
    assert dark.status == UNKNOWN


def test_unknown_neighbours_change_nothing():
    machine = machine_of(M650)
    load, supply = load_of(OPEN), supply_of(S650, machine)
    two = np.array([0, 0])
    given = dict(
        machine=machine.take(two),
        load=load.take(two),
        supply=supply.take(two),
        control=RAMP.take(two),
        inertia_pu=array(np.nan, 9.48032),
        stop_slip=2 * machine.s_fl.take(two),
    )
    course = march(**given)
    assert list(course.status) == [UNKNOWN, STARTS]
    assert course.start_s[1] == pytest.approx(KNOWN["C7"][0][0], rel=0.005)


def test_random_starts_on_drives_agree_with_an_integrator_in_time():
    # Source: as above; a drive's own law, written out separately.
    case = drawn(40, seed=12)
    n, settings = len(case["inertia_pu"]), np.random.default_rng(12).uniform((1, 0.8, 0.8), (30, 1.8, 2), (40, 3)).T
    ramp_s, torque_to, limit_xfla = settings
    case["control"] = Control.of(method=np.full(n, DRIVE), ramp_s=ramp_s, torque_to=torque_to, limit_xfla=limit_xfla)
    verdicts = agree(case, march(**case))
    assert np.sum(verdicts == STARTS) > 20 // EVERY
    assert np.sum(verdicts != STARTS) >= 3 // EVERY


def drive(**settings):
    return Control.of(method=DRIVE, **settings)


def test_a_drive_follows_its_ramp_within_its_torque():
    course, _ = started((M650, S650, OPEN, drive(ramp_s=40.0, torque_to=1.5), 152.0))
    assert course.status == STARTS
    assert course.start_s == pytest.approx(40.0)
    assert course.current.max() < 1.3


def test_a_drive_at_its_torque_limit_takes_longer():
    # Source: mechanics: at constant spare torque t = J·Δω/(T − T_load).
    constant = (0.5, 0.5, 0, 0)
    course, machine = started((M650, S650, constant, drive(ramp_s=1.0, torque_to=1.1), 152.0))
    inertia = parts(CASES["C5"])["inertia_pu"]
    expected = inertia * (1 - 2 * machine.s_fl) / (0.6 * machine.t_fl)
    assert course.start_s == pytest.approx(expected)
    held, _ = started((M650, S650, constant, drive(ramp_s=1.0, limit_xfla=1.1), 152.0))
    assert held.motor_current.max() == pytest.approx(1.1)
    assert held.start_s > 1.0


@pytest.mark.parametrize(("torque_to", "status"), [(0.8, STALLS), (0.1, DOES_NOT_TURN)])
def test_a_drive_with_too_little_torque(torque_to, status):
    course, machine = started((M650, S650, OPEN, drive(ramp_s=20.0, torque_to=torque_to), 152.0))
    assert course.status == status
    if status == STALLS:
        load = machine.t_fl * (0.03 + 0.87 * (course.stall_speed / (1 - machine.s_fl)) ** 2)
        assert load == pytest.approx(0.8 * machine.t_fl, rel=0.03)
