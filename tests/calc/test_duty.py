"""Starts an hour, of devices and of motors, against what is published."""

import numpy as np
import pint
import pytest

from register.calc import duty
from register.facts.standard_tables import load_tables

STARTS = {"starts_per_hour_table": load_tables()["starts-per-hour"]}


@pytest.mark.parametrize(
    ("code", "starts"),
    [
        # Source: a public manual that decodes "AC-53a 3.5-15 : 50-10" field by field, 10 starts.
        ("78 A: AC-53a 3.5-15 : 50-10", 10),
        ("AC-53a: 3.5-15: 50-10", 10),
        ("AC-53a 3,5-15:50-10", 10),
        ("ac53A 3.5 - 15 : 50 % - 10", 10),
        ("AC 53a: 4-20:99-1", 1),
        # Source: arithmetic on the code's own words, start time plus off-time (IEC 60947-4-2).
        ("AC-53b: 3.5-15 : 345", 10),
        ("AC-53b 3.0-10:350", 10),
        ("AC-53b 4-20 s : 340 s", 10),
        ("16 A AC-53b: 4–6: 1434", 2.5),
    ],
)
def test_rating_codes_are_read_leniently(code, starts):
    assert duty.duty_code_starts_per_hour(duty_code=code) == pytest.approx(starts)


@pytest.mark.parametrize(
    "code",
    [
        None,
        "",
        "AC-3",
        "AC-53a",
        "AC-53b: 3.5-15",
        "AC-53a 3.5-15 : 50",
        "AC-53b 3.5-15 : 50-10",
        "heavy duty",
        "AC-53b 3.5-0 : 0",
    ],
)
def test_what_is_no_whole_rating_code_says_nothing(code):
    assert np.isnan(duty.duty_code_starts_per_hour(duty_code=code))


def test_the_published_example_of_starts_an_hour():
    # Source: NEMA MG 10, example to Table 2-3: 25 hp, 4 poles, load Wk² 50 lb·ft² → 2.44.
    wk2 = pint.UnitRegistry().Quantity(50, "pound * foot ** 2").to("kg * m ** 2").magnitude
    starts = duty.standard_starts_allowed_per_hour(power_hp=25.0, poles=4.0, load_inertia_kgm2=wk2, **STARTS)
    assert starts == pytest.approx(2.44, abs=0.005)


def test_pounds_and_feet_are_those_of_another_library():
    # Source: pint's unit registry.
    unit = pint.UnitRegistry().Quantity(1, "pound * foot ** 2").to("kg * m ** 2").magnitude
    assert pytest.approx(unit, rel=1e-6) == duty.KGM2_PER_LBFT2


@pytest.mark.parametrize(
    ("hp", "poles", "most", "rest"),
    # Source: NEMA MG 10, Table 2-3, columns A and C.
    [(1, 2, 15, 75), (10, 4, 12.5, 46), (20, 6, 10.9, 48), (100, 4, 5.2, 110), (250, 2, 1.8, 1000)],
)
def test_a_light_load_leaves_the_tables_most_starts(hp, poles, most, rest):
    starts = duty.standard_starts_allowed_per_hour(power_hp=hp, poles=poles, load_inertia_kgm2=1e-5, **STARTS)
    assert starts == most
    assert duty.motor_rest_needed_s(power_hp=hp, poles=poles, **STARTS) == rest


def test_more_inertia_never_allows_more_starts():
    inertia = np.geomspace(1e-3, 1e3, 50)
    starts = duty.standard_starts_allowed_per_hour(power_hp=50.0, poles=4.0, load_inertia_kgm2=inertia, **STARTS)
    assert (np.diff(starts) <= 0).all() and starts[0] == 6.8
    # At the table's own inertia one start an hour is left.
    assert np.interp(232 * duty.KGM2_PER_LBFT2, inertia, starts) == pytest.approx(1, abs=0.05)


def test_a_size_between_two_rows_rests_as_the_larger_one():
    # 33 hp is judged as 40 hp (common practice: the harder row).
    rests = duty.motor_rest_needed_s(
        power_hp=np.array([33.0, 40.0, 30.0]),
        poles=np.full(3, 4.0),
        starts_per_hour_table=STARTS["starts_per_hour_table"],
    )
    assert rests[0] == rests[1] > rests[2]


def test_outside_the_table_nothing_is_promised():
    starts = duty.standard_starts_allowed_per_hour(
        power_hp=np.array([0.5, 300.0, 25.0]), poles=np.array([4.0, 4.0, 8.0]), load_inertia_kgm2=1.0, **STARTS
    )
    assert np.isnan(starts).all()


def test_contacts_last_as_many_years_as_their_operations_hold():
    # Source: arithmetic. A million makes and breaks at 20 starts an hour, 8000 hours a year, are
    # 6.25 years; a contactor that never starts never wears.
    life = duty.contactor_life_a(
        electrical_life_ops=np.array([1e6, 1e6, np.nan]),
        starts_per_hour=np.array([20.0, 0.0, 20.0]),
        run_hours_per_year=8000.0,
    )
    assert life[0] == 6.25 and np.isinf(life[1]) and np.isnan(life[2])
