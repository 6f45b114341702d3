"""The physics of a sheet: a column in the wrong unit, or sorted by itself, is named.

Nameplates: full-load currents of NFPA 70-2023 table 430.250, 460 V column; the powers are its rows.
"""

import random

from register.intake.crosscheck import suspects

HP = [5, 7.5, 10, 15, 20, 25, 30, 40, 50, 60, 75, 100, 125, 150, 200]
FLA = [7.6, 11, 14, 21, 27, 34, 40, 52, 65, 77, 96, 124, 156, 180, 240]
KW = [0.7457 * hp for hp in HP]
VOLTS = [460.0] * len(HP)


def names(**columns):
    return [name for name, _ in suspects(columns)]


def test_the_codes_own_table_agrees():
    assert names(power_kw=KW, motor_voltage_v=VOLTS, fla_a=FLA) == []


def test_iec_catalogue_values_agree():
    # 4-pole IE3 motors at 400 V, typical catalogue currents, from memory.
    kw = [0.75, 1.5, 2.2, 4, 5.5, 7.5, 11, 15, 22, 30, 45, 75, 110]
    amps = [1.8, 3.4, 4.7, 8.2, 10.8, 14.6, 21, 28, 41, 55, 80, 132, 191]
    assert names(power_kw=kw, motor_voltage_v=[400.0] * 13, fla_a=amps) == []


def test_horsepower_read_as_kw_is_named():
    found = list(suspects({"power_kw": HP, "motor_voltage_v": VOLTS, "fla_a": FLA}))
    assert found[0][0] == "power_kw"
    assert "horsepower, read as kW" in found[0][1]


def test_kw_read_as_horsepower_is_named():
    wrong = [0.7457 * kw for kw in KW]
    found = list(suspects({"power_kw": wrong, "motor_voltage_v": VOLTS, "fla_a": FLA}))
    assert "kW, read as horsepower" in found[0][1]


def test_phase_voltage_is_named():
    assert names(power_kw=KW, motor_voltage_v=[266.0] * 15, fla_a=FLA) == ["motor_voltage_v"]


def test_a_column_sorted_by_itself_is_named():
    rows = list(zip(KW * 3, FLA * 3, strict=True))
    random.Random(4).shuffle(rows)
    power, amps = map(list, zip(*rows, strict=True))
    volts = [460.0] * len(rows)
    assert names(power_kw=power, motor_voltage_v=volts, fla_a=amps) == []
    assert names(power_kw=power, motor_voltage_v=volts, fla_a=sorted(amps)) == ["fla_a"]
    assert names(power_kw=sorted(power), motor_voltage_v=volts, fla_a=amps) == ["power_kw"]


def test_pole_pairs_and_synchronous_speeds_are_named():
    # Synchronous speed 120·f/p (IEC 60034-1): 1780 r/min at 60 Hz is a four-pole motor.
    speed, poles = [1780, 3550, 1185, 885] * 3, [4, 2, 6, 8] * 3
    assert names(speed_rpm=speed, poles=poles) == []
    assert names(speed_rpm=speed, poles=[p // 2 for p in poles]) == ["poles"]
    assert names(speed_rpm=[1800, 3600, 1200, 900] * 3) == ["speed_rpm"]


def test_too_few_rows_prove_nothing():
    assert names(power_kw=HP[:5], motor_voltage_v=VOLTS[:5], fla_a=FLA[:5]) == []
