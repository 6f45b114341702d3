"""Derating: limits, and the usual figures (common practice; a maker's own stand in its papers)."""

import numpy as np
import pytest

from register.calc import derating


def test_usual_figures():
    # Source: common practice, 1 % for each 100 m above 1000 m and 2 % for each kelvin above 40 °C.
    assert derating.altitude_factor(altitude_m=1500.0, derate_above_m=1000.0, derate_pct_per_100m=1.0) == pytest.approx(
        0.95
    )
    assert derating.ambient_factor(ambient_c=45.0, derate_above_c=40.0, derate_pct_per_c=2.0) == pytest.approx(0.90)


def test_nothing_is_lost_up_to_the_threshold_and_nothing_below_zero_left():
    ambient = np.array([-20.0, 40.0, 41.0, 90.0])
    factor = derating.ambient_factor(ambient_c=ambient, derate_above_c=40.0, derate_pct_per_c=5.0)
    assert factor == pytest.approx([1, 1, 0.95, 0])


def test_a_share_that_does_not_matter_need_not_be_known():
    factor = derating.altitude_factor(
        altitude_m=np.array([100.0, 2000.0, np.nan, np.nan]),
        derate_above_m=1000.0,
        derate_pct_per_100m=np.array([np.nan, np.nan, 0.0, 1.0]),
    )
    assert factor == pytest.approx([1, np.nan, 1, np.nan], nan_ok=True)


def test_both_losses_multiply():
    assert derating.derated_current_a(rated_current_a=200.0, ambient_factor=0.9, altitude_factor=0.95) == pytest.approx(
        171.0
    )


def test_a_small_motor_on_a_large_device():
    # Source: common practice: a 1 hp motor (about 1.8 A at 460 V) on a 34 A device is 19 times.
    assert derating.size_ratio(rated_current_a=34.0, fla_a=1.8) == pytest.approx(18.9, abs=0.05)
    assert derating.ct_use_pct(fla_a=15.0, ct_primary_a=150.0) == pytest.approx(10.0)
