"""The wiring of calculations by their signatures."""

import numpy as np
import pytest

from register.errors import RuleError
from register.facts import derived


def test_a_calculation_comes_after_what_it_needs():
    names = [c.__name__ for c in derived.order()]
    assert names.index("synchronous_speed_rpm") < names.index("slip_pct")
    assert names.index("power_hp") < names.index("locked_rotor_kva_per_hp")


def test_what_stands_behind_a_derived_column_is_entered():
    behind = derived.entered_behind("locked_rotor_kva_per_hp")
    assert behind == {"fla_a", "locked_rotor_ratio", "motor_voltage_v", "power_kw", "phases"}


def test_a_parameter_that_is_no_column_is_named_with_the_nearest():
    def slip_pct(*, speed_rmp):
        return speed_rmp

    with pytest.raises(RuleError, match="speed_rpm"):
        derived.order((slip_pct,))


def test_a_circle_is_named():
    def power_hp(*, slip_pct):
        return slip_pct

    def slip_pct(*, power_hp):
        return power_hp

    with pytest.raises(RuleError, match="one another"):
        derived.order((power_hp, slip_pct))


def test_one_row_with_a_hole_leaves_the_others_alone():
    base = {
        "power_kw": np.array([75.0, np.nan]),
        "motor_voltage_v": np.array([400.0, 400.0]),
        "fla_a": np.array([132.0, 132.0]),
        "phases": np.array([3.0, 3.0]),
        "efficiency_pct": np.array([95.0, 95.0]),
        "power_factor": np.array([0.86, 0.86]),
        "motor_frequency_hz": np.array([50.0, 50.0]),
        "poles": np.array([4.0, 4.0]),
        "speed_rpm": np.array([1485.0, 1485.0]),
        "locked_rotor_ratio": np.array([7.0, 7.0]),
    }
    made = derived.derive(base, {})
    assert made["slip_pct"] == pytest.approx([1.0, 1.0])
    assert np.isfinite(made["power_hp"][0]) and np.isnan(made["power_hp"][1])
    assert np.isnan(made["fla_mismatch_pct"][1])
