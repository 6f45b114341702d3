"""What a start does to motor, relay, device and breaker, against the standards' own times."""

from dataclasses import replace

import numpy as np
import pytest
from start_cases import CASES, array, started

from register.calc import stress
from register.calc.code_tables import code_letter_high_kva_per_hp, code_letter_low_kva_per_hp
from register.calc.nameplate import locked_rotor_kva_per_hp
from register.calc.start_course import STALLS, STARTS, March
from register.facts.standard_tables import load_tables

TABLES = load_tables()
CLASSES = TABLES["trip-classes"]


def relay(course, trip_class="10", **more):
    return stress.overload(march=course, trip_class=np.array([trip_class], object), trip_classes_table=CLASSES, **more)


def held(xfla, seconds=5000.0):
    """A course of constant current."""
    course = March.empty(3, 1)
    time = array(0, seconds / 2, seconds)[:, None]
    current = np.full((3, 1), float(xfla))
    squares = np.vstack([[0.0], np.diff(time, axis=0)[:, 0][:, None] * current[1:] ** 2])
    return replace(
        course,
        time=time,
        current=current,
        motor_current=current,
        di2=squares,
        motor_di2=squares,
        status=np.array([STARTS]),
        reached=array(0.98),
    )


@pytest.mark.parametrize(
    ("xfla", "warm", "seconds"),
    # Source: closed form of the relay's first-order model, τ = 10 s/ln(7.2²/(7.2² − 1.15²)).
    [(6, 0, 14.483), (3, 0, 61.500), (1.5, 0, 342.92), (7.2, 1, 2.4625)],
)
def test_trip_times_of_class_10(xfla, warm, seconds):
    assert relay(held(xfla), warm=warm).trips_s == pytest.approx(seconds, rel=1e-4)


@pytest.mark.parametrize("trip_class", ["5", "10A", "10", "20", "30", "40"])
def test_a_class_trips_at_its_own_time(trip_class):
    # Source: IEC 60947-4-1: the classes' times at 7.2 times the setting, from cold.
    row = CLASSES.of("trip_class", trip_class)
    found = relay(held(7.2), trip_class)
    assert found.trips_s == pytest.approx(CLASSES.at(row, "longest_s"))
    assert found.may_trip_s == pytest.approx(CLASSES.at(row, "shortest_s"))


@pytest.mark.parametrize(("trip_class", "seconds"), [("10A", 120), ("10", 240), ("20", 480), ("30", 720)])
def test_limits_of_the_standard_from_the_warm_state(trip_class, seconds):
    # Source: IEC 60947-4-1, times at 1.5 times the setting after equilibrium at it (from memory);
    # no trip in 2 h at 1.05 times, trip within 2 h at 1.2 times.
    assert relay(held(1.5), trip_class, warm=1.0).trips_s < seconds
    assert np.isnan(relay(held(1.05, 7200.0), trip_class).trips_s)
    assert relay(held(1.2, 7200.0), trip_class, warm=1.05**2).trips_s < 7200


def test_a_class_stated_at_six_times_is_slower_than_one_at_seven():
    # Source: NEMA states its classes at 6 times (from memory): class 10 is 10 s there.
    assert relay(held(6), multiple=6.0).trips_s == pytest.approx(10.0)


# Source: scipy, DOP853 with rtol 1e-10, the relay's heat as a third state beside the start.
@pytest.mark.parametrize(
    ("case", "trip_class", "heat"),
    [("C5", "20", 0.7174), ("C6", "10", 0.9252), ("C7", "20", 0.7895), ("C12", "10", 0.6068)],
)
def test_heat_of_a_relay_that_holds(case, trip_class, heat):
    assert relay(started(CASES[case])[0], trip_class).heat == pytest.approx(heat, rel=0.002)


@pytest.mark.parametrize(
    ("case", "trip_class", "seconds"),
    [("C8", "10", 44.22), ("C9", "10", 61.50), ("C9", "20", 123.00), ("C10", "10", 92.01), ("C16", "10", 342.92)],
)
def test_when_a_relay_trips(case, trip_class, seconds):
    found = relay(started(CASES[case])[0], trip_class)
    assert found.state == stress.TRIPS
    assert found.trips_s == pytest.approx(seconds, rel=0.002)


def test_three_states_of_a_relay():
    # The quickest relay of class 10 trips after 4 s at 7.2 times, the slowest after 10 s.
    for seconds, state in ((3.9, stress.HOLDS), (6, stress.MAY_TRIP), (10.1, stress.TRIPS)):
        assert relay(held(7.2, seconds)).state == state
    unknown = relay(held(7.2), trip_class=None)
    assert unknown.state == stress.UNKNOWN
    assert np.isnan(unknown.heat)
    assert np.isnan(unknown.trips_s)


def test_a_relay_in_the_delta_sees_the_motor():
    # Source: winding current is line current over √3 in delta; in star, on the line's third, √3 of
    # the line's multiple: 3 times its square.
    course, _ = started(CASES["C12"])
    star = course.time[1:, 0] < 40.0
    ratio = course.motor_di2[1:, 0][star].sum() / course.di2[1:, 0][star].sum()
    assert ratio == pytest.approx(3.0)
    assert relay(course, in_motor=True).heat > relay(course).heat


def test_a_higher_setting_sees_less():
    course, _ = started(CASES["C8"])
    assert relay(course, set_xfla=1.25).heat < relay(course).heat


@pytest.mark.parametrize(
    ("case", "multiple", "seconds"),
    # Source: as above.
    [("C5", 4.0, 28.023), ("C7", 4.0, 29.420), ("C9", 3.0, 0.0), ("C9", 2.9, 200.0)],
)
def test_time_above_a_multiple(case, multiple, seconds):
    found = stress.above_s(march=started(CASES[case])[0], multiple=multiple)
    assert found == pytest.approx(seconds, rel=0.005)


def test_heat_of_the_motor():
    # Source: ∫i²dt of scipy over LRC²·12 s. A softer start heats this motor more.
    expected = {"C5": 750.448, "C6": 485.645, "C7": 829.116}
    for case, heat in ((case, squares / (6.2**2 * 12)) for case, squares in expected.items()):
        found = stress.motor_heat(march=started(CASES[case])[0], locked_rotor_ratio=6.2, hot_stall_s=12.0)
        assert found == pytest.approx(heat, abs=0.006)


@pytest.mark.parametrize(("case", "seconds"), [("C7", 829.116 / 16), ("C12", 322.761 / 16)])
def test_equivalent_time_of_a_device(case, seconds):
    # Source: as above; both are more than the 20 s of a duty AC-53a 4-20.
    found = stress.device_equivalent_s(march=started(CASES[case])[0], multiple=4.0, rated_xfla=1.0)
    assert found == pytest.approx(seconds, rel=0.005)
    larger = stress.device_equivalent_s(march=started(CASES[case])[0], multiple=4.0, rated_xfla=1.5)
    assert larger == pytest.approx(found / 2.25)


@pytest.mark.parametrize(("case", "squares"), [("C5", 750.45), ("C6", 485.65)])
def test_long_time_element_of_a_breaker(case, squares):
    # Source: as above; 800 A of 715 A, 12 s at 6 times: 432 s at the setting's square to the trip.
    squares = squares / (800 / 715) ** 2
    share = stress.long_time_share(march=started(CASES[case])[0], set_xfla=800 / 715, delay_s=12.0)
    assert share == pytest.approx(squares / 432, rel=0.005)


@pytest.mark.parametrize(("case", "kwh"), [("C5", 5.263), ("C13", 0.00956)])
def test_energy(case, kwh):
    course, machine = started(CASES[case])
    found = stress.energy_kwh(march=course, machine=machine)
    assert found == pytest.approx(kwh, rel=0.005)


def test_dip_and_peak():
    course, _ = started(CASES["C5"])
    assert stress.dip_pct(march=course) == pytest.approx(100 * (1 - 0.9149), abs=0.01)
    assert stress.peak_xfla(march=course) == pytest.approx(5.7536, rel=1e-4)


def test_torque_margin():
    # Source: the definition: the least of what the course itself leaves, once ramps are over.
    course, machine = started(CASES["C6"])
    margin = stress.torque_margin_pct(march=course, machine=machine)
    net = (course.torque - course.load)[:, 0] / machine.t_fl
    assert margin == pytest.approx(100 * net.min(), rel=0.02)
    assert margin > 0
    assert stress.torque_margin_pct(march=started(CASES["C9"])[0], machine=machine) < 0


def test_code_letter_of_the_large_fan():
    # Source: NEMA MG 1, 10.37.2: √3·460 V·4433 A over 650 hp is 5.434 kVA/hp, letter F.
    found = locked_rotor_kva_per_hp(
        locked_rotor_a=array(715 * 6.2), motor_voltage_v=array(460), power_hp=array(650), phases=array(3)
    )
    assert found == pytest.approx(5.434, rel=0.001)
    letters = {"code_letter": np.array(["F"], object), "code_letters_table": TABLES["code-letters"]}
    assert code_letter_low_kva_per_hp(**letters) <= found < code_letter_high_kva_per_hp(**letters)


def test_a_start_that_is_unknown_has_unknown_stress():
    dark = March.empty(5, 1)
    about = {"march": dark}
    assert np.isnan(stress.motor_heat(**about, locked_rotor_ratio=6.0, hot_stall_s=12.0))
    assert np.isnan(stress.above_s(**about, multiple=3.0))
    assert np.isnan(stress.long_time_share(**about, set_xfla=1.1, delay_s=12.0))
    assert np.isnan(stress.dip_pct(**about))
    assert relay(dark).state == stress.UNKNOWN


def test_a_relay_too_warm_already_trips_at_once():
    found = relay(held(0.5), warm=1.2**2)
    assert (found.state, found.trips_s) == (stress.TRIPS, 0.0)


def test_a_stalled_motor_is_watched_until_it_trips():
    course = replace(held(2.0, 10.0), status=np.array([STALLS]))
    assert relay(course).trips_s == pytest.approx(relay(held(2.0)).trips_s)
    assert np.isnan(relay(held(2.0, 10.0)).trips_s)
