"""The wiring of calculations by their signatures."""

import numpy as np
import pytest

from register import columns
from register.errors import RuleError
from register.facts import derived
from register.facts.standard_tables import load_tables


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


def test_every_derived_column_has_its_calculation_and_only_one():
    names = [name for c in derived.ALL for name in derived.results(c)]
    assert sorted(names) == sorted(column.name for column in columns.DERIVED)


def test_missing_tables_are_named_all_at_once():
    with pytest.raises(RuleError) as raised:
        derived.derive({}, {})
    causes = [problem.cause for problem in raised.value.problems]
    assert "there is no table full-load-current" in causes and len(causes) > 5


def test_one_row_with_a_hole_leaves_the_others_alone():
    known = {
        "power_kw": [75.0, np.nan],
        "motor_voltage_v": 400.0,
        "fla_a": 132.0,
        "phases": 3.0,
        "efficiency_pct": 95.0,
        "power_factor": 0.86,
        "motor_frequency_hz": 50.0,
        "poles": 4.0,
        "speed_rpm": 1485.0,
        "locked_rotor_ratio": 7.0,
    }
    behind = frozenset().union(*(derived.entered_behind(c.name) for c in columns.DERIVED))
    blanks = {n: np.nan if columns.column(n).is_number else None for n in behind}
    kinds = {n: float if columns.column(n).is_number else object for n in behind}
    base = {n: np.full(2, v, kinds[n]) for n, v in (blanks | known).items()}
    made = derived.derive(base, load_tables())
    assert made["slip_pct"] == pytest.approx([1.0, 1.0])
    assert np.isfinite(made["power_hp"][0]) and np.isnan(made["power_hp"][1])
    assert np.isnan(made["fla_mismatch_pct"][1])
