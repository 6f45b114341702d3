"""Several motors on one bus, by hand in ohms."""

import numpy as np
import pytest
from start_cases import S650, drawn, supply_of

from register.calc.group import bus_loading, group_dip_pct, sequence
from register.calc.machine import Plate, admittance, fit

# fmt: off
BIG = dict(power_kw=200, motor_voltage_v=460, motor_frequency_hz=60, speed_rpm=1785, fla_a=305,
           efficiency_pct=95.4, locked_rotor_ratio=6.5, locked_rotor_torque_pct=130,
           breakdown_torque_pct=230)
# fmt: on
# fmt: off
SMALL = dict(power_kw=37, motor_voltage_v=460, motor_frequency_hz=60, speed_rpm=1775, fla_a=58,
             efficiency_pct=94, locked_rotor_ratio=6.4, locked_rotor_torque_pct=170,
             breakdown_torque_pct=250)
# fmt: on


def group_of(*plates):
    one = {n: np.array([p[n] for p in plates], float) for n in BIG}
    size = len(plates)
    machine = fit(plate=Plate(**one, poles=np.full(size, 4.0), power_factor=np.full(size, np.nan)))
    return {"machine": machine, "supply": supply_of(S650, machine)}


def by_hand(parts, motors):
    """Dip of the bus with those motors at locked rotor, as branches in ohms."""
    machine, supply = parts["machine"], parts["supply"]
    ohm = machine.v_base_v**2 / (1000 * machine.s_base_kva)
    y, _ = admittance(machine, np.ones(len(ohm)))
    source = (supply.z_s * ohm)[0]
    branches = ohm / y + supply.z_c * ohm
    parallel = 1 / sum(1 / branches[m] for m in motors)
    return 100 * (1 - abs(parallel / (source + parallel)))


def test_dip_of_a_group_is_that_of_impedances_in_parallel():
    # Source: Ohm's law.
    parts = group_of(BIG, SMALL, SMALL)
    ohms = parts["supply"].z_s * parts["machine"].v_base_v ** 2 / parts["machine"].s_base_kva
    assert ohms == pytest.approx(ohms[0]), "one source"
    assert group_dip_pct(**parts) == pytest.approx(by_hand(parts, [0, 1, 2]))
    assert group_dip_pct(**parts) > by_hand(parts, [0])


def test_a_limit_takes_the_dip_down():
    parts = group_of(BIG, SMALL)
    free, limited = group_dip_pct(**parts), group_dip_pct(**parts, limit_xfla=3.0)
    assert limited < free
    assert group_dip_pct(**parts, limit_xfla=50.0) == pytest.approx(free)
    drawn_ = parts["supply"].v_oc * np.abs(bus_loading(**parts, slip=1.0, limit_xfla=3.0) / parts["supply"].z_s)
    assert drawn_ == pytest.approx(3.0)


def test_an_unknown_motor_leaves_the_dip_unknown():
    parts = group_of(BIG, SMALL | {"fla_a": np.nan})
    assert np.isnan(group_dip_pct(**parts))
    plan = sequence(**parts, start_s=np.array([8.0, 4.0]), dip_limit_pct=15.0)
    assert np.isnan(plan.begins_s).tolist() == [False, True]


def test_the_largest_goes_first_and_small_ones_fill_the_room():
    parts = group_of(SMALL, BIG, SMALL)
    alone = by_hand(parts, [1])
    plan = sequence(**parts, start_s=np.array([3.0, 8.0, 3.0]), dip_limit_pct=alone + 0.1)
    assert plan.begins_s.tolist() == [8.0, 0.0, 8.0]
    roomy = sequence(**parts, start_s=np.array([3.0, 8.0, 3.0]), dip_limit_pct=50.0)
    assert roomy.begins_s.tolist() == [0.0, 0.0, 0.0]
    assert roomy.dip_pct.max() == pytest.approx(group_dip_pct(**parts))
    rested = sequence(**parts, start_s=np.array([3.0, 8.0, 3.0]), dip_limit_pct=alone + 0.1, pause_s=2.0)
    assert rested.begins_s.tolist() == [10.0, 0.0, 10.0]


def test_a_motor_too_large_for_the_limit_is_left_out():
    parts = group_of(SMALL, BIG)
    limit = (by_hand(parts, [0]) + by_hand(parts, [1])) / 2
    plan = sequence(**parts, start_s=np.array([3.0, 8.0]), dip_limit_pct=limit)
    assert plan.begins_s[0] == 0.0
    assert np.isnan(plan.begins_s[1])
    assert np.isnan(plan.dip_pct[1])


def test_no_moment_of_a_sequence_dips_deeper_than_allowed():
    case = drawn(40, seed=3)
    parts = {"machine": case["machine"], "supply": case["supply"]}
    start_s = np.random.default_rng(3).uniform(1, 20, 40)
    plan = sequence(**parts, start_s=start_s, dip_limit_pct=20.0)
    standing = bus_loading(**parts, slip=1.0)
    running = bus_loading(**parts, slip=case["machine"].s_fl)
    begun = np.isfinite(plan.begins_s)
    assert begun.sum() > 20
    for moment in np.unique(plan.begins_s[begun]):
        starting = begun & (plan.begins_s <= moment) & (moment < plan.begins_s + start_s)
        settled = begun & (plan.begins_s + start_s <= moment)
        total = standing[starting].sum() + running[settled].sum()
        assert 100 * (1 - 1 / abs(1 + total)) <= 20.0 + 1e-9
