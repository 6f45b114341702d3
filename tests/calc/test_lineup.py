"""The protection before a group of motors, and the fault current behind a transformer."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from register.calc.lineup import feeder_limit_a, feeder_limit_known_a, source_fault_ka, transformer_fault_ka

NAN = float("nan")
amps = st.floats(0.5, 500)
motors = st.lists(st.tuples(amps, amps), min_size=1, max_size=8)


def limit(pairs, function=feeder_limit_a):
    branch, current = zip(*pairs, strict=True) if pairs else ((), ())
    return function(feeder_share_a=np.array(branch), all_code_current_a=np.array(current))


def test_the_code_s_own_example():
    # NFPA 70, Annex D, example D8 (from memory): a 25 hp motor of 34 A behind a 110 A fuse, and two
    # wound-rotor motors of 40 A behind 60 A: 110 + 40 + 40 = 190 A at most, the next size below.
    assert limit([(110, 34), (60, 40), (60, 40)]) == 190


def test_of_equal_ones_one_counts_as_the_largest():
    # 430.62(A): 60 + 20 + 10, or 60 + 20 + 30 with the motor of least current as that one.
    assert limit([(60, 10), (60, 20), (50, 30)]) == 60 + 20 + 30


@given(motors, st.integers(0, 7), st.sampled_from([(NAN, 1.0), (1.0, NAN), (NAN, NAN)]))
def test_one_unknown_motor_leaves_it_open_and_what_is_known_a_lower_bound(pairs, at, unknown):
    whole = limit(pairs)
    holed = [unknown if n == at % len(pairs) else pair for n, pair in enumerate(pairs)]
    assert np.isnan(limit(holed))
    known = limit(holed, feeder_limit_known_a)
    assert np.isnan(known) if len(pairs) == 1 else known <= whole + 1e-9
    assert limit(pairs, feeder_limit_known_a) == whole


def test_a_bus_without_motors_has_no_limit():
    assert np.isnan(limit([])) and np.isnan(limit([], feeder_limit_known_a))


def test_a_published_point_to_point_example():
    # 1500 kVA, 480 V, 3.5 % less a tenth for tolerance: 1804 A · 100/(3.5 · 0.9) = 57.3 kA
    # (a fuse application guide's worked example; from memory).
    found = transformer_fault_ka(transformer_kva=1500.0, transformer_z_pct=3.5 * 0.9, bus_voltage_v=480.0)
    assert found == pytest.approx(57.28, abs=0.02)


def test_grid_and_transformer_are_in_series():
    # The MVA method (IEEE 141-1993, chapter 4; from memory): 1000 kVA of 5 % is 20 MVA; 80 MVA
    # upstream give 20·80/100 = 16 MVA, at 400 V 16/(√3·0.4) = 23.09 kA.
    facts = {"transformer_kva": 1000.0, "transformer_z_pct": 5.0, "bus_voltage_v": 400.0}
    assert source_fault_ka(**facts, upstream_fault_mva=80.0) == pytest.approx(23.094, abs=1e-3)
    stiff = transformer_fault_ka(**facts)
    assert source_fault_ka(**facts, upstream_fault_mva=1e9) == pytest.approx(stiff)
    assert np.isnan(source_fault_ka(**facts, upstream_fault_mva=NAN))


def test_many_as_one_by_one():
    kva, z = np.array([500.0, 1000.0, NAN]), np.array([4.0, 5.75, 6.0])
    many = transformer_fault_ka(transformer_kva=kva, transformer_z_pct=z, bus_voltage_v=480.0)
    one = [
        transformer_fault_ka(transformer_kva=k, transformer_z_pct=p, bus_voltage_v=480.0)
        for k, p in zip(kva, z, strict=True)
    ]
    np.testing.assert_array_equal(many, one)
