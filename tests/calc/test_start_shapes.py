"""The motor between standstill and speed: check values, what a plate fixes, the band, and what each part is for."""

import numpy as np
import pytest
from start_cases import NAN, array, plates

from register.calc import circuit, start_shapes
from register.calc.load_curve import Load
from register.calc.machine import _FOUND, Plate, admittance, fit
from register.calc.reduced_voltage import bent_of
from register.calc.start_shapes import BAND, CENTRE, HIGH, LOW
from register.calc.stress import lowest_limit_xfla
from register.calc.supply import Supply

# Synthetic plates: kW, V, Hz, poles, r/min, FLA, η %, LRC, LRT %, BDT %. Source of plates and of all values: an
# independent implementation of the model, to the six digits that it printed.
PLATES = {
    "S1": (2.2, 400, 50, 4, 1430, 4.7, 86.7, 6.5, 240, 280),
    "S2": (15.0, 400, 50, 4, 1465, 28.2, 92.1, 6.9, 220, 270),
    "S3": (45.0, 460, 60, 4, 1780, 69.0, 95.0, 6.4, 150, 230),
    "S4": (110.0, 400, 50, 2, 2978, 187.0, 95.2, 7.2, 180, 310),
    "S5": (150.0, 460, 60, 4, 1785, 226.0, 96.2, 6.42, 100, 200),
    "S6": (315.0, 400, 50, 6, 990, 560.0, 96.0, 6.6, 140, 250),
    "S7": (7.5, 460, 60, 6, 1140, 12.6, 90.0, 6.0, 275, 278),
}
# fmt: off
# rho, m, X, X_m, R_1, R_l, then current ×FLA and torque × full load at 0.2, 0.5, 0.8 and 0.9 of synchronous speed.
VALUES = {
    ("S1", CENTRE): (0.4, 2, 0.110125, 1.81804, 0.0541478, 0.0437144, 6.31144, 2.43585, 5.57706, 2.32353, 4.00252, 2.73226, 2.21995, 2.26624),
    ("S2", CENTRE): (0.4, 2, 0.106240, 2.30295, 0.0253341, 0.0386443, 6.73498, 2.18619, 6.02979, 1.99115, 4.78829, 2.21316, 3.55699, 2.69995),
    ("S3", CENTRE): (0.4, 2, 0.119941, 2.93603, 0.0115066, 0.0319769, 6.2599, 1.45413, 5.61826, 1.23595, 4.65619, 1.2007, 4.10066, 1.73024),
    ("S4", CENTRE): (0.4, 2, 0.084087, 2.98477, 0.0077057, 0.0311103, 7.13023, 1.76994, 6.77883, 1.64224, 6.12138, 1.70847, 5.56159, 2.34929),
    ("S5", CENTRE): (0.4, 4.4207, 0.141315, 3.51978, 0.0083665, 0.0213150, 6.41243, 1.0163, 6.16843, 1.00796, 4.85947, 0.911668, 4.07207, 1.20809),
    ("S6", CENTRE): (0.4, 2, 0.112027, 2.59406, 0.0105542, 0.0279465, 6.47186, 1.36713, 5.87799, 1.19734, 4.96268, 1.22815, 4.41378, 1.82682),
    ("S7", CENTRE): (0.4, 2, 0.105818, 2.27376, 0.0543977, 0.0643814, 5.85077, 2.7691, 5.27548, 2.65491, 3.82569, 2.8042, 2.1177, 2.10329),
    ("S1", HIGH): (0.25, 4, 0.116617, 1.84659, 0.0536383, 0.0436622, 6.47736, 1.99922, 6.16456, 2.01825, 4.42538, 2.63232, 2.34871, 2.34122),
    ("S2", HIGH): (0.25, 4, 0.110689, 2.34178, 0.0251933, 0.0386063, 6.89464, 1.8098, 6.63467, 1.75459, 5.26846, 2.04792, 3.81082, 2.6905),
    ("S3", HIGH): (0.25, 4, 0.122627, 2.97974, 0.0114709, 0.0319525, 6.40152, 1.21484, 6.18691, 1.1212, 5.10953, 1.11858, 4.33847, 1.63602),
    ("S4", HIGH): (0.25, 4, 0.085100, 3.00078, 0.0076980, 0.0311029, 7.21131, 1.45153, 7.11893, 1.36676, 6.48431, 1.49404, 5.82367, 2.14735),
    ("S5", HIGH): (0.25, 5.5928, 0.142590, 3.55211, 0.0083540, 0.0213064, 6.4223, 0.812986, 6.31398, 0.783853, 5.13822, 0.783639, 4.24063, 1.10378),
    ("S6", HIGH): (0.25, 4, 0.114292, 2.62106, 0.0105256, 0.0279298, 6.6001, 1.13535, 6.40259, 1.06039, 5.39911, 1.12216, 4.65285, 1.7134),
    ("S7", HIGH): (0.25, 4, 0.109962, 2.30870, 0.0541142, 0.0643177, 5.98883, 2.26825, 5.76787, 2.27338, 4.29499, 2.74803, 2.26793, 2.20797),
    ("S1", LOW): (1, 2, 0.122672, 1.87500, 0.0531635, 0.0436119, 6.13771, 2.66555, 5.00464, 2.79128, 3.09813, 2.65534, 1.85879, 1.92261),
    ("S2", LOW): (1, 2, 0.111416, 2.34832, 0.0251703, 0.0386000, 6.62823, 2.37675, 5.67536, 2.47609, 4.04756, 2.68792, 2.88276, 2.5196),
    ("S3", LOW): (1, 2, 0.121258, 2.95725, 0.0114891, 0.0319650, 6.22139, 1.57133, 5.49959, 1.56318, 4.38694, 1.78026, 3.70497, 2.15585),
    ("S4", LOW): (1, 2, 0.084729, 2.99489, 0.0077008, 0.0311056, 7.08467, 1.89203, 6.62711, 2.01327, 5.72455, 2.44783, 4.96084, 2.93126),
    ("S5", LOW): (1, 2, 0.138489, 3.45061, 0.0083939, 0.0213339, 6.20943, 1.04422, 5.33309, 0.99509, 4.16934, 1.11944, 3.65372, 1.48694),
    ("S6", LOW): (1, 2, 0.113073, 2.60643, 0.0105410, 0.0279388, 6.43982, 1.48312, 5.77405, 1.53083, 4.70493, 1.84891, 4.01265, 2.3066),
    ("S7", LOW): (0.7, 2, 0.149721, 2.75375, 0.0513915, 0.0636519, 5.66229, 2.77923, 4.56533, 2.42727, 2.95067, 2.15309, 1.84311, 1.73232),
}
# fmt: on
SPEEDS = np.array([0.2, 0.5, 0.8, 0.9])
# Lowest limits of S1 to S6 on a stiff source: centre, high, low.
FAN = (0.05, 0.1, 0.0, 0.9)
LINEAR = (0.1, 0.2, 0.8, 0.0)
LIMITS = {
    FAN: (
        (2.248, 2.719, 3.426, 3.733, 4.103, 3.613),
        (2.647, 3.163, 3.913, 4.233, 4.707, 4.134),
        (1.724, 2.102, 2.680, 2.937, 3.219, 2.825),
    ),
    LINEAR: (
        (2.669, 3.153, 3.860, 4.137, 4.650, 4.084),
        (3.162, 3.685, 4.424, 4.706, 5.356, 4.689),
        (2.167, 2.575, 3.158, 3.388, 3.824, 3.344),
    ),
}


def plate(*names):
    kw, volts, hertz, poles, rpm, fla, eta, *locked = np.array([PLATES[name] for name in names]).T
    return Plate(kw, volts, hertz, poles, rpm, fla, eta, np.full(len(names), NAN), *locked)


def stiff(size):
    return Supply(np.zeros(size) + 0j, np.zeros(size) + 0j, np.ones(size))


def load(parts, size):
    return Load(*(np.full(size, part) for part in parts), np.full(size, 0.1))


def values_of(shape):
    """What VALUES holds, of all plates in that shape."""
    motor = fit(plate=plate(*PLATES), shape=shape)
    y, torque = admittance(motor, (1 - SPEEDS)[:, None] * np.ones(len(PLATES)))
    points = np.stack([abs(y), torque / motor.t_fl], axis=1).reshape(2 * len(SPEEDS), -1)
    assert motor.ok.all()
    return np.vstack([motor.rho, motor.m, motor.x_1, motor.x_m, motor.r_1, motor.r_l, points]).T


def check_values():
    for shape in BAND:
        found = values_of(shape)
        for name, row in zip(PLATES, found, strict=True):
            # The floor of S5's high end was one step short there: three digits.
            near = 1e-3 if (name, shape) == ("S5", HIGH) else 2e-5
            assert row == pytest.approx(VALUES[name, shape], rel=near), (name, shape)


def check_reduced_voltage():
    # Source: as above, S1 at standstill with n = 1.10: current and torque at 80, 65 and 50 % of voltage.
    motor = fit(plate=plate("S1"))
    bent, drawn_ = bent_of(motor), array(6.5)
    for volts, current, torque in ((0.8, 5.0853, 1.4690), (0.65, 4.0469, 0.93029), (0.5, 3.0324, 0.52233)):
        factor = bent.factor(volts, drawn_, bent.exponent(drawn_))
        assert volts * factor * 6.5 == pytest.approx(current, rel=5e-5)
        assert (volts * factor) ** 2 * 2.4 == pytest.approx(torque, rel=5e-5)


def check_order():
    # One quarter drawn in (its peak jumps to standstill), then raised until the least torque is the floor.
    given = (90.0745, 460, 50, 6, 985.4441, 131.9451, 97.0174, NAN, 6.7501, 62.2209, 160)
    motor = fit(plate=Plate(*map(array, given)), shape=HIGH)
    assert motor.rho == pytest.approx(0.2875)
    torque = admittance(motor, np.linspace(1, 0.2, 4001)[:, None])[1] / motor.t_fl
    assert motor.m > 3.5
    assert torque.min() == pytest.approx(0.85 * 0.9 * 0.622209, rel=2e-3)


def test_check_values():
    check_values()


def test_reduced_voltage():
    check_reduced_voltage()


def test_the_ends_are_drawn_in_before_the_floor():
    check_order()


@pytest.mark.parametrize("parts", LIMITS)
@pytest.mark.parametrize("shape", BAND)
def test_lowest_limits(parts, shape):
    motor = fit(plate=plate(*list(PLATES)[:6]), shape=shape)
    found = lowest_limit_xfla(machine=motor, load=load(parts, 6), supply=stiff(6), stop_slip=2 * motor.s_fl)
    # Source: as above, from 241 even speeds, to three decimals.
    assert found == pytest.approx(LIMITS[parts][shape], abs=1.2e-3)


def mutated(index, end, by):
    def change(patch):
        values = [list(row) for row in start_shapes.VALUES]
        values[end][index] += by
        patch.setattr(start_shapes, "VALUES", tuple(map(tuple, values)))

    return change


def without_the_end_of_the_rotor(patch):
    patch.setattr(circuit, "rotor_bends", _no_near(circuit.rotor_bends))
    patch.setattr("register.calc.machine.rotor_bends", circuit.rotor_bends)


def _no_near(bends):
    return lambda *given: bends(*given)._replace(near=0.0 * bends(*given).near)


def without_a_floor(patch):
    patch.setattr("register.calc.machine.pull_up_floor", lambda plate, design_letter: np.full(len(plate.fla_a), NAN))


def without_drawing_in(patch):
    patch.setattr(start_shapes, "MOST_LEAKAGE", np.inf)


def floor_first(patch):
    drawn_in = start_shapes._Fitted.drawn_in

    def other(self, end, centre, x, ok):
        kept = start_shapes.of
        floor = start_shapes.pull_up_floor(plate=self.plate, design_letter=None) * start_shapes.HIGH_FLOOR
        raised, _, _ = self.raised(kept(end, len(ok)), self.fitted(kept(end, len(ok)))[0], ok, floor)
        patch.setattr(start_shapes, "of", lambda which, size: raised if which == end else kept(which, size))
        found = drawn_in(self, end, centre, x, ok)
        patch.setattr(start_shapes, "of", kept)
        return found

    patch.setattr(start_shapes._Fitted, "drawn_in", other)


@pytest.mark.parametrize(
    ("change", "check"),
    [
        (mutated(0, CENTRE, 0.004), check_values),
        (mutated(1, CENTRE, 0.01), check_values),
        (mutated(2, CENTRE, 0.02), check_values),
        (mutated(3, HIGH, 0.002), check_values),
        (mutated(4, CENTRE, 0.002), check_reduced_voltage),
        (without_the_end_of_the_rotor, check_values),
        (without_a_floor, check_values),
        (without_drawing_in, check_values),
        (floor_first, check_order),
    ],
    ids=["rho", "p", "m", "d", "n", "the end of the rotor", "floor", "drawing in", "order"],
)
def test_each_part_of_the_model_is_held_by_a_check(change, check, monkeypatch):
    check()
    with monkeypatch.context() as patch:
        # Nothing that was found with the model as it is.
        patch.setattr("register.calc.machine._FOUND", type(_FOUND)())
        change(patch)
        with pytest.raises(AssertionError):
            check()


def test_designs_promise_their_own_least_torque():
    # Source: NEMA MG 1, 12.40 (from memory): A and B 90 % of LRT, full-load torque, 70 % of LRT; C 70 %; D none.
    given = plate("S5", "S6", "S2", "S5", "S5", "S5")
    given.motor_voltage_v[5] = 4000.0
    letters = np.array(["B", None, "A", "C", "D", None], object)
    floor = start_shapes.pull_up_floor(plate=given, design_letter=letters)
    assert floor == pytest.approx([0.9, 100 / 140, 0.7, 0.7, NAN, NAN], nan_ok=True)


def test_no_fit_of_random_plates_misses_what_the_plate_states():
    given = plates(2000, 77)
    for shape in BAND:
        motor = fit(plate=given, shape=shape)
        assert motor.ok.mean() > 0.95
        slips = motor.s_fl ** np.linspace(1, 0, 801)[:, None]
        y, torque = admittance(motor, slips)
        ok = motor.ok
        assert abs(y[-1])[ok] == pytest.approx(given.locked_rotor_ratio[ok], rel=1e-9)
        stall = 100 * (torque[-1] / motor.t_fl)[ok]
        assert stall == pytest.approx(given.locked_rotor_torque_pct[ok], rel=1e-9)
        most = np.maximum(given.breakdown_torque_pct, 1.02 * given.locked_rotor_torque_pct)
        assert 100 * (torque.max(axis=0) / motor.t_fl)[ok] == pytest.approx(most[ok], rel=1e-3)


# Source: the same independent implementation: pull-up torque of LRT at the centre before any floor.
@pytest.mark.parametrize(
    ("name", "share"),
    [("S1", 0.9637), ("S2", 0.881), ("S3", 0.749), ("S4", 0.8829), ("S5", 0.662), ("S6", 0.8017), ("S7", 0.9583)],
)
def test_pull_up_before_the_floor(name, share):
    given = plate(name)
    motor = fit(plate=given, design_letter=np.array(["D"], object))
    torque = admittance(motor, np.linspace(1, 0, 8001)[:, None])[1][:, 0]
    between = torque[: torque.argmax() + 1]
    assert between.min() / torque[0] == pytest.approx(share, abs=3e-3)
