"""Blanks of a nameplate: what fills them, how sure that is, and what is said where nothing does."""

import numpy as np
import pytest

from register.calc.complete_nameplate import ESSENTIAL, complete, settled
from register.calc.machine import Curve, Plate, fit
from register.columns import COLUMNS
from register.facts.standard_tables import load_tables

TABLES = load_tables()
NAN = np.nan
# fmt: off
WHOLE = dict(
    power_kw=75.0, motor_voltage_v=400.0, motor_frequency_hz=50.0, poles=4.0, speed_rpm=1485.0,
    fla_a=132.0, efficiency_pct=95.0, power_factor=0.86, locked_rotor_ratio=7.0,
    locked_rotor_torque_pct=220.0, breakdown_torque_pct=280.0,
)
# fmt: on
# A motor of 50 hp, 460 V, as a nameplate gives it without the figures of a data sheet.
US = WHOLE | dict(
    power_kw=37.3,
    motor_voltage_v=460.0,
    motor_frequency_hz=60.0,
    speed_rpm=1775.0,
    fla_a=58.0,
    efficiency_pct=94.5,
    power_factor=NAN,
    locked_rotor_ratio=NAN,
    locked_rotor_torque_pct=NAN,
    breakdown_torque_pct=NAN,
)
TORQUES = ("locked_rotor_torque_pct", "breakdown_torque_pct")


def of(base, *, phases=3.0, practice="us", design=None, code=None, curves=None, lower=False, **more):
    return complete(
        plate=Plate(**(base | more)),
        phases=phases,
        practice=practice,
        design_letter=design,
        code_letter=code,
        tables=TABLES,
        curves=curves,
        lower_end=lower,
    )


def studied(base, **more):
    completed = of(base, **more)
    return settled(completed=completed, machine=fit(plate=completed.plate))


def values(completed, *names):
    return [float(getattr(completed.plate, name)[0]) for name in names]


def test_a_whole_plate_stays_as_entered():
    completed = studied(WHOLE)
    assert completed.certainty[0] == "B" and completed.why[0] is None
    assert values(completed, *WHOLE) == list(WHOLE.values())
    assert all(source[0] is None for source in completed.taken.values())


@pytest.mark.parametrize(
    ("hp", "rpm", "poles", "locked", "breakdown"),
    # Source: NEMA MG 1, 12.38 and 12.39 (from memory); 20.10 for the last two (from memory).
    [
        (50, 1775, 4, 140, 200),
        (1, 1750, 4, 275, 300),
        (200, 3560, 2, 100, 200),
        (30, 1175, 6, 135, 200),
        (45, 1775, 4, 140, 200),
        (110, 1780, 4, 110, 200),
        (20.1, 1765, 4, 150, 200),
        (650, 1788, 4, 60, 175),
        (300, 885, 8, 60, 175),
    ],
)
def test_torques_of_design_b(hp, rpm, poles, locked, breakdown):
    completed = of(US, power_kw=hp * 0.7457, speed_rpm=rpm, fla_a=1.2 * hp, poles=NAN)
    assert values(completed, "poles", *TORQUES) == [poles, locked, breakdown]
    assert completed.certainty[0] == "C"
    assert completed.taken["locked_rotor_torque_pct"][0].startswith("NEMA MG 1")


@pytest.mark.parametrize(
    ("design", "kw", "torques"),
    # Source: NEMA MG 10, Table 2-1 (C, D); IEC 60034-12, design N (from memory).
    [
        ("C", 37.3, [200, 190]),
        ("D", 37.3, [275, 275]),
        ("N", 37.3, [130, 190]),
        ("H", 75.0, [110, 180]),
        ("N", 200.0, [90, 170]),
        ("N", 0.25, [200, 200]),
    ],
)
def test_torques_of_other_designs(design, kw, torques):
    completed = of(US, design=design, power_kw=kw, locked_rotor_ratio=6.5)
    assert values(completed, *TORQUES) == torques
    assert completed.certainty[0] == "C"


def test_without_a_design_letter_the_practice_decides():
    assert values(of(US, practice="iec"), *TORQUES) == [130, 190]
    lost = of(US, practice=None)
    assert lost.certainty[0] == "X"
    assert "locked_rotor_torque_pct, design_letter" in lost.read[0]


def test_the_code_letter_gives_the_locked_rotor_current():
    # Source: NFPA 70, Table 430.7(B): letter G from 5.6 to 6.3 kVA/hp.
    hp = 37.3 / 0.745699872
    for lower, kva_per_hp in ((False, 6.3), (True, 5.6)):
        ratio = kva_per_hp * hp * 1000 / (np.sqrt(3) * 460) / 58
        assert values(of(US, code="G", lower=lower), "locked_rotor_ratio") == pytest.approx([ratio])
    # The last band has no upper end.
    assert np.isfinite(of(US, code="V").plate.locked_rotor_ratio[0])
    # 4433 A of 650 hp at 460 V is 5.434 kVA/hp, letter F; its upper end is 5.6.
    large = of(US, code="F", power_kw=650 * 0.745699872, fla_a=715.0)
    assert values(large, "locked_rotor_ratio") == pytest.approx([4433 * 5.6 / 5.434 / 715], rel=1e-4)


def test_without_a_code_letter_the_standards_largest_current():
    # Source: NEMA MG 1, 12.35: 50 hp takes 725 A at 230 V, inversely with voltage.
    assert values(of(US), "locked_rotor_ratio") == pytest.approx([725 / 2 / 58], rel=2e-3)
    at_400 = of(US, motor_voltage_v=400.0, fla_a=66.7)
    assert values(at_400, "locked_rotor_ratio") == pytest.approx([725 * 230 / 400 / 66.7], rel=2e-3)
    # Source: IEC 60034-12, from memory: 11 kVA for each kW from 25 to 63 kW.
    kva = 11 * 37.3 * 1000 / (np.sqrt(3) * 460) / 58
    assert values(of(US, design="N"), "locked_rotor_ratio") == pytest.approx([kva])
    # Design A has no largest current.
    assert of(US, design="A").read[0] == "locked_rotor_ratio, code_letter"


def test_current_efficiency_and_power_factor_fill_one_another():
    use = 37.3e3 / (np.sqrt(3) * 460 * 58)
    assert values(of(US), "power_factor") == pytest.approx([use / 0.945])
    other = of(US, efficiency_pct=NAN, power_factor=0.85)
    assert values(other, "efficiency_pct") == pytest.approx([100 * use / 0.85])
    current = of(US, fla_a=NAN, power_factor=0.85)
    assert values(current, "fla_a") == pytest.approx([58 * use / 0.945 / 0.85])
    assert {c.certainty[0] for c in (of(US), other, current)} == {"C"}


@pytest.mark.parametrize(("hp", "rpm"), [(1, 1740), (5, 3500), (50, 1775), (200, 1185), (500, 1788)])
def test_power_voltage_and_speed_alone_make_a_poor_study(hp, rpm):
    completed = studied(US, power_kw=hp * 0.7457, speed_rpm=float(rpm), poles=NAN, fla_a=NAN, efficiency_pct=NAN)
    assert completed.certainty[0] == "D"
    # Source: NFPA 70, Table 430.250.
    amperes = {1: 2.1, 5: 7.6, 50: 65, 200: 240, 500: 590}[hp]
    assert values(completed, "fla_a") == pytest.approx([amperes], rel=1e-3)
    assert completed.taken["fla_a"][0] == "NFPA 70, Table 430.250, inversely with voltage"
    assert completed.taken["efficiency_pct"][0] == "NEMA MG 1, Table 12-11"


def test_the_tables_always_lead_to_a_motor():
    rows = TABLES["locked-rotor-current"].columns["power_hp"]
    for rpm in (3520.0, 1765.0, 1175.0, 880.0):
        completed = studied(US, power_kw=rows * 0.7457, speed_rpm=rpm, poles=NAN, fla_a=NAN, efficiency_pct=NAN)
        assert set(completed.certainty) == {"D"}, completed.why


def test_a_makers_curve_is_the_surest():
    curve = Curve(np.array([0.0, 80, 90, 100]), np.array([150.0, 240, 260, 0]), np.array([6.6, 5.0, 4.0, 0.3]))
    completed = of(US, curves=[curve])
    assert completed.certainty[0] == "A"
    assert values(completed, "locked_rotor_ratio", *TORQUES) == [6.6, 150, 260]
    two = of(US, speed_rpm=np.array([1775.0, 1775.0]), curves=[None, curve])
    assert two.certainty.tolist() == ["C", "A"]


@pytest.mark.parametrize("name", ESSENTIAL)
def test_what_is_missing_is_named_and_nothing_else(name):
    completed = studied(US, **{name: NAN})
    assert (completed.certainty[0], completed.read[0]) == ("X", name)
    assert completed.why[0] == "too little is known"


@pytest.mark.parametrize(
    ("changes", "reason", "look_at"),
    [
        ({"speed_rpm": 1500.0}, "not below synchronous speed", "speed_rpm"),
        ({"fla_a": 112.0, "power_factor": NAN}, "power factor", "fla_a"),
        ({"efficiency_pct": 97.0, "speed_rpm": 1440.0}, "slip alone", "efficiency_pct"),
        ({"breakdown_torque_pct": 590.0}, "these torques together", "breakdown_torque_pct"),
        ({"phases": 1.0}, "one phase", "phases"),
    ],
)
def test_a_plate_that_cannot_be_is_told_so(changes, reason, look_at):
    completed = studied(WHOLE, **changes)
    assert completed.certainty[0] == "X"
    assert reason in completed.why[0] and look_at in completed.read[0]


def test_every_field_to_read_is_a_field():
    blank = {name: np.full(1, NAN) for name in WHOLE}
    for completed in (
        studied(blank),
        studied(WHOLE, speed_rpm=1500.0),
        studied(US, practice=None),
        studied(US, phases=NAN),
    ):
        assert set(completed.read[0].split(", ")) <= set(COLUMNS)


@pytest.mark.filterwarnings("error")
def test_all_plates_at_once_equal_one_by_one():
    rng, n = np.random.default_rng(2), 60
    columns = {name: np.full(n, value) for name, value in (WHOLE | {"power_kw": 37.3}).items()}
    columns = {k: np.where(rng.random(n) < 0.3, NAN, v) for k, v in columns.items()}
    words = {
        "practice": np.array(["us", "iec", None], object)[rng.integers(3, size=n)],
        "design": np.array(["A", "B", "C", "D", "N", None], object)[rng.integers(6, size=n)],
        "code": np.array(["G", "V", None], object)[rng.integers(3, size=n)],
    }
    phases = np.array([1.0, 3.0, 3.0, 3.0, NAN])[rng.integers(5, size=n)]
    together = studied({}, **columns, **words, phases=phases)
    assert len(set(together.certainty)) >= 3
    for i in range(n):
        alone = studied({}, **{k: v[i] for k, v in (columns | words).items()}, phases=phases[i])
        for field in ("certainty", "why", "read"):
            assert getattr(alone, field)[0] == getattr(together, field)[i]
        for name in WHOLE:
            one, many = getattr(alone.plate, name)[0], getattr(together.plate, name)[i]
            assert np.isclose(one, many, rtol=1e-12, equal_nan=True), name
