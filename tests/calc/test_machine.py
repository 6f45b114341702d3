"""The motor's circuit, against a textbook, another library's machine, and the plates themselves."""

import numpy as np
import pytest

from register.calc import machine
from register.calc.machine import Curve, Machine, Plate, admittance, fit, from_curves
from register.calc.start_shapes import BAND, CENTRE, HIGH, LOW
from register.facts.standard_tables import load_tables

TABLES = load_tables()
# Speeds of usual motors and power factors by size: common practice.
SPEEDS = {2: 3540.0, 4: 1765.0, 6: 1175.0}

# The fan motor of 650 hp: its nameplate, with a breakdown torque assumed.
# fmt: off
FAN = dict(
    power_kw=650 * 0.7457, motor_voltage_v=460.0, motor_frequency_hz=60.0, poles=4.0,
    speed_rpm=1788.0, fla_a=715.0, efficiency_pct=95.8, power_factor=np.nan,
    locked_rotor_ratio=6.2, locked_rotor_torque_pct=90.0, breakdown_torque_pct=200.0,
)
# fmt: on


@pytest.fixture(autouse=True)
def nothing_found_before(monkeypatch):
    """Each circuit is found anew, also of a motor that was asked for before."""

    class Forgetful(machine._Found):
        def lacks(self, keys, ends):
            self.places, self.machines = {}, {}
            return super().lacks(keys, ends)

    monkeypatch.setattr(machine, "_FOUND", Forgetful())


def of(**changes):
    return fit(plate=Plate(**(FAN | changes)))


def of_shape(end, **changes):
    return fit(plate=Plate(**(FAN | changes)), shape=end)


def textbook(volts, hz, poles, r_1, x_1, x_m, r_2, x_2):
    """A circuit of constant ohms as a machine, per unit of 1 A."""
    ohm = volts / np.sqrt(3.0)
    one = np.ones(1)
    omega = 4 * np.pi * hz / poles
    kva = np.sqrt(3.0) * volts / 1000.0
    return Machine(
        g=0 * one,
        r_s=one * r_1 / ohm,
        x_s=one * x_1 / ohm,
        x_m=one * x_m / ohm,
        r_1=one * r_2 / ohm,
        x_1=one * x_2 / ohm,
        r_l=one * r_2 / ohm,
        x_l=one * x_2 / ohm,
        x_slr=one * x_1 / ohm,
        s_fl=0.01 * one,
        t_fl=one,
        rho=one,
        p=one,
        m=2 * one,
        d=0 * one,
        n=one,
        locked_rotor=6 * one,
        ok=one > 0,
        floor_met=one > 0,
        s_base_kva=kva * one,
        v_base_v=volts * one,
        i_base_a=one,
        omega_s=omega * one,
        t_base_nm=1000 * kva / omega * one,
    )


def plates_of_design_b():
    """Nameplates of 1 to 500 hp, two to six poles, that the standard's values just meet."""
    rows = []
    locked, breakdown = TABLES["locked-rotor-torque"].columns, TABLES["breakdown-torque"].columns
    stall = TABLES["locked-rotor-current"].columns
    premium = TABLES["premium-efficiency"].columns
    for i, hp in enumerate(premium["power_hp"]):
        for poles, speed in SPEEDS.items():
            (at,) = np.flatnonzero(locked["power_hp"] == hp)
            (size,) = np.flatnonzero(stall["power_hp"] == hp)
            torques = locked[f"{poles}_pole"][at], breakdown[f"{poles}_pole"][at]
            eta = premium[f"enclosed_{poles}_pole"][i]
            if np.isnan([*torques, eta]).any():
                continue
            # Power factor rises with size and falls with poles: common practice.
            pf = 0.75 + 0.05 * np.log10(hp) + 0.02 - 0.01 * (poles - 2)
            slow = (1 - 0.02 * hp**-0.3) / (SPEEDS[poles] / (7200 / poles))
            fla = hp * 745.7 / (np.sqrt(3) * 460 * eta / 100 * pf)
            rows.append(
                (hp * 0.7457, 460.0, 60.0, poles, speed * slow, fla, eta, pf, stall["at_460_v"][size] / fla, *torques)
            )
    assert len(rows) == 71
    return Plate(*np.array(rows).T)


@pytest.mark.parametrize(
    ("slip", "amperes", "newton_metres"),
    # Source: 25 hp, 460 V, 60 Hz, 4-pole example of a textbook (Chapman, Electric Machinery
    # Fundamentals, chapter on induction motors; printed 18.88 A and 62.8 N·m), constants from
    # memory. Standstill: the same circuit worked out by hand.
    [(0.022, 18.892, 62.807), (1.0, 144.528, 106.562)],
)
def test_a_textbook_motor(slip, amperes, newton_metres):
    motor = textbook(460.0, 60.0, 4, 0.641, 1.106, 26.3, 0.332, 0.464)
    y, torque = admittance(motor, np.array([slip]))
    assert abs(y[0]) == pytest.approx(amperes, rel=1e-4)
    assert torque[0] * motor.t_base_nm[0] == pytest.approx(newton_metres, rel=1e-4)


@pytest.mark.parametrize("slip", [1.0, 0.198, 0.022, -0.05])
def test_another_librarys_machine_at_steady_speed(slip):
    # Source: the induction machine of motulator, a simulator of electric drives; its equations of
    # motion are linear, so that their steady state is the solution of two equations.
    library = pytest.importorskip("motulator.drive.model", reason="compare extra")
    from motulator.drive.utils import InductionMachinePars

    r_1, x_1, x_m, r_2, x_2, omega = 0.641, 1.106, 26.3, 0.332, 0.464, 2 * np.pi * 60
    gamma = (x_1 + x_m) / x_m
    theirs = library.InductionMachine(
        InductionMachinePars(
            n_p=2, R_s=r_1, R_r=gamma**2 * r_2, L_s=(x_1 + x_m) / omega, L_ell=(gamma * x_1 + gamma**2 * x_2) / omega
        )
    )

    def slopes(stator, rotor, volts):
        theirs.state.psi_ss, theirs.state.psi_rs = stator, rotor
        theirs.inp.u_ss, theirs.inp.w_M = volts, (1 - slip) * omega / 2
        theirs.set_outputs(0.0)
        return np.array(theirs.rhs())

    matrix = np.column_stack([slopes(1, 0, 0), slopes(0, 1, 0)])
    peak = 460.0 * np.sqrt(2 / 3)
    stator, rotor = np.linalg.solve(1j * omega * np.eye(2) - matrix, slopes(0, 0, peak))
    slopes(stator, rotor, peak)

    motor = textbook(460.0, 60.0, 4, r_1, x_1, x_m, r_2, x_2)
    y, torque = admittance(motor, np.array([slip]))
    assert y[0] * np.sqrt(2) == pytest.approx(theirs.out.i_ss, rel=1e-9)
    assert torque[0] * motor.t_base_nm[0] == pytest.approx(theirs.out.tau_M, rel=1e-9)


def test_the_fan_motors_circuit():
    # Source: an independent implementation of the same method, to five figures: what plate and standstill fix.
    motor = of()
    expected = dict(g=0.018955, r_s=0.013072, x_slr=0.078975, t_fl=0.85656)
    for name, value in expected.items():
        assert getattr(motor, name)[0] == pytest.approx(value, rel=1e-3), name
    # 152 kg·m² of motor and fan: seconds to synchronous speed at 1 pu torque.
    assert 152 * motor.omega_s**2 / (1000 * motor.s_base_kva) == pytest.approx(9.4803, rel=1e-4)


@pytest.mark.parametrize("shape", BAND)
def test_every_plate_of_design_b_is_met(shape):
    # Source: torques and locked-rotor currents of NEMA MG 1 12.38, 12.39 and 12.35, efficiencies of
    # Table 12-12 (which of them are from memory stands in the tables).
    plate = plates_of_design_b()
    motor = fit(plate=plate, shape=shape)
    assert motor.ok.all()
    slips = motor.s_fl ** np.linspace(1, 0, 4001)[:, None]
    y, torque = admittance(motor, slips)
    asked = plate.power_kw * 1000 / (plate.speed_rpm * np.pi / 30)
    assert torque[0] * motor.t_base_nm == pytest.approx(asked, rel=1e-9)
    assert y[0].real * motor.s_base_kva == pytest.approx(plate.power_kw / plate.efficiency_pct * 100, rel=1e-9)
    assert abs(y[0]) == pytest.approx(1.0, rel=1e-9)
    assert abs(y[-1]) == pytest.approx(plate.locked_rotor_ratio, rel=1e-9)
    assert 100 * torque[-1] / motor.t_fl == pytest.approx(plate.locked_rotor_torque_pct, rel=1e-9)
    most = np.maximum(plate.breakdown_torque_pct, 102 * plate.locked_rotor_torque_pct / 100)
    assert 100 * torque.max(0) / motor.t_fl == pytest.approx(most, rel=6e-4)


def test_power_in_is_losses_and_power_across_the_gap():
    motor = fit(plate=plates_of_design_b())
    slips = np.array([1.0, 0.5, 0.1, 0.02])[:, None] * np.ones(71)
    y, torque = admittance(motor, slips)
    copper = np.abs(y - motor.g) ** 2 * motor.r_s
    assert y.real == pytest.approx(motor.g + copper + torque, rel=1e-9)
    # Of what crosses the gap, slip's share heats the rotor; the rest turns.
    at_full_load = admittance(motor, motor.s_fl)[1]
    assert at_full_load * (1 - motor.s_fl) * motor.s_base_kva == pytest.approx(plates_of_design_b().power_kw, rel=1e-9)


def test_a_motor_turned_at_synchronous_speed_only_magnetises():
    motor = of()
    y, torque = admittance(motor, np.zeros(1))
    assert torque[0] == 0.0
    idle = motor.g + 1 / (motor.r_s + 1j * (motor.x_s + motor.x_m))
    assert y == pytest.approx(idle, rel=1e-12)
    near, _ = admittance(motor, np.array([1e-9]))
    assert near == pytest.approx(y, rel=1e-6)
    assert admittance(motor, np.array([-0.01]))[1][0] < 0, "faster than the field it brakes"


def test_more_on_the_plate_is_more_in_the_circuit():
    slips = np.linspace(0.15, 1, 60)[:, None]
    pulls = of(locked_rotor_torque_pct=np.array([70.0, 90.0, 110.0]))
    assert (np.diff(admittance(pulls, slips)[1], axis=1) > 0).all()
    draws = of(locked_rotor_ratio=np.array([5.5, 6.2, 7.0]))
    assert (np.diff(abs(admittance(draws, slips)[0]), axis=1) > 0).all()
    peaks = of(breakdown_torque_pct=np.array([180.0, 200.0, 260.0]), locked_rotor_torque_pct=150.0)
    assert (np.diff(admittance(peaks, slips[:1])[1], axis=1) > 0).all()
    # What decides a current limit is torque per ampere squared: least at the high end, most at the low.
    worth = [(lambda y, pull: pull / abs(y) ** 2)(*admittance(of_shape(end), slips[4:-1])) for end in BAND]
    assert (worth[HIGH] < worth[CENTRE]).all() and (worth[CENTRE] < worth[LOW]).all()


def test_all_motors_at_once_equal_one_by_one():
    plate = plates_of_design_b()
    together = fit(plate=plate)
    slips = np.linspace(0, 1, 9)[:, None]
    y, torque = admittance(together, slips * np.ones(71))
    for i in range(71):
        alone = fit(plate=Plate(*(getattr(plate, f)[i] for f in FAN)))
        assert alone.x_s[0] == pytest.approx(together.x_s[i], rel=1e-12)
        one, pull = admittance(alone, slips)
        assert one[:, 0] == pytest.approx(y[:, i], rel=1e-9)
        assert pull[:, 0] == pytest.approx(torque[:, i], rel=1e-9)
    some = together.take(np.array([3, 5]))
    assert admittance(some, slips)[1] == pytest.approx(torque[:, [3, 5]])


@pytest.mark.parametrize("name", [n for n in FAN if n != "power_factor"])
@pytest.mark.filterwarnings("error")
def test_what_is_unknown_gives_no_circuit(name):
    for blank in (np.nan, 0.0, np.inf, -1.0):
        motors = of(**{name: np.array([FAN[name], blank])})
        assert motors.ok.tolist() == [True, False], blank


def test_shapes_at_once_equal_one_by_one():
    plate = Plate(**(FAN | {"speed_rpm": np.array([1788.0, 1782.0])}))
    together = fit(plate=plate, shape=BAND)
    for end in BAND:
        alone = fit(plate=plate, shape=end)
        for name in ("x_s", "x_m", "r_1", "r_l", "rho", "p", "m", "d", "n", "ok"):
            assert getattr(together, name)[2 * end : 2 * end + 2] == pytest.approx(getattr(alone, name), rel=1e-12)


def test_a_motor_is_the_same_to_the_bit_beside_others_like_it():
    plate = plates_of_design_b()
    order = np.random.default_rng(3).integers(0, 71, 300)
    alone = fit(plate=plate, shape=BAND).take(np.concatenate([71 * end + order for end in range(len(BAND))]))
    among = fit(plate=plate.take(order), shape=BAND)
    for name in ("x_s", "x_m", "r_1", "r_l", "rho", "p", "m", "d", "n", "ok", "t_fl", "s_base_kva"):
        assert getattr(among, name).tobytes() == getattr(alone, name).tobytes(), name


def test_a_motor_found_before_is_the_same_to_the_bit(monkeypatch):
    plate = plates_of_design_b()
    whole = [fit(plate=plate, shape=end) for end in BAND]
    monkeypatch.setattr(machine, "_FOUND", machine._Found())
    for some in (np.arange(5), np.arange(60)[::-1], np.arange(71)):
        again = fit(plate=plate.take(some), shape=BAND)
        for f in ("x_s", "x_m", "r_1", "r_l", "rho", "p", "m", "d", "n", "ok", "floor_met", "t_fl", "s_base_kva"):
            assert getattr(again, f).tobytes() == np.concatenate([getattr(w, f)[some] for w in whole]).tobytes(), f


def test_no_motors_is_no_trouble():
    assert fit(plate=Plate(*(np.empty(0) for _ in FAN))).ok.shape == (0,)


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"speed_rpm": 1800.0}, "no slip"),
        ({"speed_rpm": 1805.0}, "faster than the field"),
        ({"fla_a": 630.0}, "a power factor above 1"),
        ({"efficiency_pct": 99.4}, "less loss than the slip alone"),
        ({"locked_rotor_ratio": 0.8, "locked_rotor_torque_pct": 150.0}, "more torque than current"),
        ({"breakdown_torque_pct": 500.0}, "more current on the way than at standstill"),
        ({"breakdown_torque_pct": 1500.0}, "no leakage left"),
    ],
)
def test_a_plate_that_no_motor_has_is_refused(changes, why):
    assert not of(**changes).ok[0], why


def test_the_power_factor_stands_in_for_the_efficiency():
    # 650 hp at 460 V and 715 A with an efficiency of 95.8 % is a power factor of 0.88815.
    plain, other = of(), of(power_factor=0.88815, efficiency_pct=np.nan)
    assert admittance(plain, plain.s_fl)[0].real == pytest.approx(0.88815, rel=1e-5)
    assert other.x_s == pytest.approx(plain.x_s, rel=1e-4)
    assert of(power_factor=0.70).x_s == plain.x_s
    assert not of(power_factor=np.nan, efficiency_pct=np.nan).ok[0]


def test_a_motor_whose_breakdown_is_at_standstill():
    # Design D: 275 % at standstill and no peak above it (NEMA MG 10, Table 2-1).
    motor = of(
        power_kw=18.65,
        fla_a=30.0,
        speed_rpm=1660.0,
        efficiency_pct=88.0,
        locked_rotor_torque_pct=275.0,
        breakdown_torque_pct=275.0,
    )
    assert motor.ok[0]
    torque = admittance(motor, np.linspace(motor.s_fl[0], 1, 500)[:, None])[1] / motor.t_fl
    assert torque[-1, 0] == pytest.approx(2.75, rel=1e-9)
    assert torque.max() < 2.75 * 1.021


CURVE = Curve(
    speed_pct=np.array([0.0, 50.0, 90.0, 99.0]),
    torque_pct=np.array([100.0, 80.0, 210.0, 120.0]),
    current_xfla=np.array([6.0, 5.5, 4.0, 1.2]),
)


def test_a_makers_curve_goes_before_the_circuit():
    motors = of(speed_rpm=np.array([1788.0, 1788.0]))
    with_curve = from_curves(machine=motors, curves=[None, CURVE])
    slips = np.array([1.0, 0.5, 0.3, 0.1, 0.01, 0.0])[:, None] * np.ones(2)
    (plain, pull), (y, torque) = admittance(motors, slips), admittance(with_curve, slips)
    assert (y[:, 0] == plain[:, 0]).all() and (torque[:, 0] == pull[:, 0]).all()
    assert 100 * torque[:, 1] / motors.t_fl[1] == pytest.approx([100, 80, 145, 210, 120, 0])
    assert abs(y[:5, 1]) == pytest.approx([6, 5.5, 4.75, 4, 1.2])
    assert np.angle(y[:, 1]) == pytest.approx(np.angle(plain[:, 1]))
    only = with_curve.take(np.array([1]))
    assert admittance(only, slips[:, :1])[1][:, 0] == pytest.approx(torque[:, 1])


def test_a_makers_power_factor_is_the_angle():
    curve = Curve(CURVE.speed_pct, CURVE.torque_pct, CURVE.current_xfla, power_factor=np.array([0.2, 0.3, 0.6, 0.9]))
    y, _ = admittance(from_curves(machine=of(), curves=[curve]), np.array([[1.0], [0.5], [0.1]]))
    assert y[:, 0].real / abs(y[:, 0]) == pytest.approx([0.2, 0.3, 0.6])
    assert (y.imag < 0).all()


def test_any_circuit_that_is_found_meets_its_plate():
    rng, n = np.random.default_rng(4), 1500
    within = {"slip": (0.002, 0.1), "efficiency": (70, 97), "factor": (0.6, 0.95)}
    within |= {"current": (4, 9), "stall": (30, 300), "top": (120, 350)}
    drawn = {name: rng.uniform(*ends, n) for name, ends in within.items()}
    fla = 75e3 / (np.sqrt(3) * 400 * drawn["efficiency"] / 100 * drawn["factor"])
    motor = fit(
        plate=Plate(
            75.0,
            400.0,
            50.0,
            4.0,
            1500 * (1 - drawn["slip"]),
            fla,
            drawn["efficiency"],
            drawn["factor"],
            drawn["current"],
            drawn["stall"],
            drawn["top"],
        )
    )
    assert 0.5 < motor.ok.mean() < 0.9, "some of these are no motors: more slip than loss"
    y, torque = admittance(motor, motor.s_fl ** np.linspace(1, 0, 1001)[:, None])
    y, torque = y[:, motor.ok], (torque / motor.t_fl)[:, motor.ok]
    current, stall, top = (drawn[name][motor.ok] for name in ("current", "stall", "top"))
    assert abs(y[-1]) == pytest.approx(current, rel=1e-9)
    assert torque[-1] == pytest.approx(stall / 100, rel=1e-9)
    assert torque[0] == pytest.approx(1.0, rel=1e-9)
    away = torque.max(0) / np.maximum(top, 1.02 * stall) * 100 - 1
    assert abs(away[top > stall]).max() < 1e-3
    assert abs(away).max() < 5e-3, "a peak close to standstill lies between two of the slips"
    assert (abs(y).max(0) < 1.1 * current).all()
