"""Motors whose circuits are published: the torque and current they have at every speed, against the band of their plates.

No public set of torque and current measured from standstill to speed was found. These are circuits of constant parts,
which the low end of the band stands for, and double cages, which lie between it and the centre.
"""

import numpy as np
import pytest
from start_cases import NAN, array

from register.calc.load_curve import Load
from register.calc.machine import Plate, admittance, fit
from register.calc.start_shapes import BAND, CENTRE, HIGH, LOW
from register.calc.stress import lowest_limit_xfla
from register.calc.supply import Supply

LEAKAGE = 1 - np.sqrt(1 - 0.0667)
# R stator, X stator, X magnetising, R rotor, X rotor in ohm at the motor's frequency; V, Hz, kW; poles are 4.
CIRCUITS = {
    # Source: records IM_50HP_460V_60Hz and IM_200HP_460V_60Hz of the open library of building models (Modelica) that
    # holds them as generic motors; leakage is the inductance of a side less the magnetising one.
    "50 hp": (0.09961, 377 * (0.031257 - 0.03039), 377 * 0.03039, 0.05837, 377 * (0.031257 - 0.03039), 460, 60, 37.3),
    "200 hp": (0.01818, 377 * (0.009605 - 0.009415), 377 * 0.009415, 0.009956, 377 * 0.00019, 460, 60, 149.2),
    # Source: 25 hp example of a textbook (Chapman, Electric Machinery Fundamentals, chapter on induction motors).
    "25 hp": (0.641, 1.106, 26.3, 0.332, 0.464, 460, 60, 18.65),
    # Source: default values of the cage machine in the Modelica Standard Library (record IM_SquirrelCageData: leakage
    # of 6.67 % at 3 ohm); its example of a start has 161.4 N·m at 1440.45 r/min (IMS_Start), 100 V and 100 A a phase.
    "24 kW": (0.03, 3 * LEAKAGE, 3 * (1 - LEAKAGE), 0.04, 3 * LEAKAGE, 100 * np.sqrt(3), 50, 24.346),
}
# Stator, outer and inner cage in ohm a phase, volts across it. Source: examples 35.23 and 35.28 (numbers of one edition)
# of a textbook of electrical technology (Theraja); printed besides: amperes and synchronous watts at standstill.
CAGES = {
    "440 V, first": (1 + 3j, 3 + 1j, 0.6 + 5j, 440, 83.43, 35_000),
    "440 V, second": (1 + 2.8j, 3 + 1j, 0.5 + 5j, 440, 86.27, 3 * 12_430),
}


def published(name):
    """Current [A] and torque [N·m] of the circuit by slip, its full-load torque and current, and its plate."""
    r_1, x_1, x_m, r_2, x_2, volts, hertz, kw = CIRCUITS[name]

    def at(slip):
        gap = 1 / (1 / (r_2 / slip + 1j * x_2) + 1 / (1j * x_m))
        current = volts / np.sqrt(3) / (r_1 + 1j * x_1 + gap)
        return current, 3 * abs(current) ** 2 * gap.real / (np.pi * hertz)

    slips = np.linspace(1e-4, 0.1, 200_001)
    power = at(slips)[1] * np.pi * hertz * (1 - slips)
    return rated(at, slips[np.argmax(power >= 1000 * kw)], volts, hertz, lambda current: abs(current) ** 2 * r_1)


def double_cage(name):
    """The same of a double cage: rated at a slip of 1.5 %, where it draws a sixth of its current at standstill.

    The book leaves out the magnetising current; here it is 35 % of the rest, across the terminals (common practice).
    """
    stator, outer, inner, volts, *_ = CAGES[name]

    def bare(slip):
        rotor = 1 / sum(1 / (cage.real / slip + 1j * cage.imag) for cage in (outer, inner))
        current = volts / (stator + rotor)
        return current, 3 * abs(current) ** 2 * rotor.real / (np.pi * 50)

    idle = -0.35j * abs(bare(0.015)[0])

    def at(slip):
        current, torque = bare(slip)
        return current + idle, torque

    loss = abs(bare(0.015)[0]) ** 2 * stator.real
    return bare, rated(at, 0.015, volts * np.sqrt(3), 50, lambda current: loss)


def rated(at, slip, volts, hertz, copper):
    """The circuit with full load at that slip."""
    current, torque = at(slip)
    kw = torque * np.pi * hertz * (1 - slip) / 1000
    whole = np.exp(np.linspace(np.log(1e-3), 0, 20_001))
    # A circuit without losses in iron and air is a better motor than any: 1.5 % of them are put on its plate.
    loss = 0.015 * 1000 * kw
    eta = 100 * 1000 * kw / (3 * copper(current) + torque * np.pi * hertz + loss)
    factor = current.real / abs(current)
    fla = 1000 * kw / (np.sqrt(3) * volts * eta / 100 * factor)
    stall, pull = at(1.0)
    plate = (kw, volts, hertz, 4, 30 * hertz * (1 - slip), fla, eta, NAN, abs(stall) / fla)
    return at, torque, fla, Plate(*map(array, (*plate, 100 * pull / torque, 100 * at(whole)[1].max() / torque)))


def needed_by(at, torque, fla, slip_fl):
    """Lowest limit for a fan, from the published circuit itself [×FLA]."""
    speed = np.linspace(0, 1 - 2 * slip_fl, 241)
    current, pull = at(1 - speed)
    y = speed / (1 - slip_fl)
    load = torque * (0.05 + 0.9 * y**2 + 0.05 * np.maximum(0, 1 - y / 0.1))
    return (np.sqrt(load / pull) * abs(current)).max() / fla


def limits(plate):
    """Lowest limit for a fan by the plate, in each of the shapes [×FLA], and the motors."""
    load = Load(*map(array, (0.05, 0.1, 0.0, 0.9)), array(0.1))
    stiff = Supply(array(0) + 0j, array(0) + 0j, array(1))
    motors = [fit(plate=plate, shape=shape, design_letter=np.array(["D"], object)) for shape in BAND]
    assert all(motor.ok.all() for motor in motors)
    about = {"load": load, "supply": stiff}
    return [float(lowest_limit_xfla(machine=m, **about, stop_slip=2 * m.s_fl)[0]) for m in motors], motors


@pytest.mark.parametrize("name", CIRCUITS)
def test_the_band_of_its_plate_holds_a_published_circuit(name):
    at, torque, fla, plate = published(name)
    found, motors = limits(plate)
    true = needed_by(at, torque, fla, float(motors[LOW].s_fl[0]))
    # Constant parts are the low end: the centre asks about a third more, on the safe side.
    assert found[LOW] == pytest.approx(true, rel=0.006)
    assert 1.25 < found[CENTRE] / true < 1.35 and found[CENTRE] < found[HIGH]
    y, _ = admittance(motors[LOW], 0.5 * np.ones(1))
    assert abs(y[0]) == pytest.approx(abs(at(0.5)[0]) / fla, rel=0.1)


def test_the_librarys_own_rated_point():
    at, torque, _, plate = published("24 kW")
    assert torque == pytest.approx(161.4, rel=0.005)
    assert plate.speed_rpm[0] == pytest.approx(1440.45, rel=0.001)
    assert abs(at(1 - plate.speed_rpm[0] / 1500)[0]) == pytest.approx(100, rel=0.01)


@pytest.mark.parametrize("name", CAGES)
def test_the_band_of_its_plate_holds_a_double_cage(name):
    *_, amperes, watts = CAGES[name]
    bare, (at, torque, fla, plate) = double_cage(name)
    current, pull = bare(1.0)
    assert abs(current) == pytest.approx(amperes, rel=0.004)
    assert pull * np.pi * 50 == pytest.approx(watts, rel=0.004)
    found, motors = limits(plate)
    true = needed_by(at, torque, fla, 0.015)
    # It needs 9 to 10 % more than the low end says, and the centre asks 16 to 18 % more than it does.
    assert 1.08 < true / found[LOW] < 1.11 and 1.15 < found[CENTRE] / true < 1.19
    for slip in (0.8, 0.5, 0.2, 0.1):
        drawn, pulled = at(slip)
        shapes = [admittance(motor, np.array([slip])) for motor in motors]
        currents = [abs(y[0]) * fla for y, _ in shapes]
        torques = [t[0] / m.t_fl[0] * torque for (_, t), m in zip(shapes, motors, strict=True)]
        # Their torque lies in the band, their current up to 4 % below it.
        assert 0.96 * min(currents) < abs(drawn) < max(currents)
        assert min(torques) < pulled < max(torques)
