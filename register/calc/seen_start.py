"""A start that was seen, and whether it still proves anything."""

from __future__ import annotations

import numpy as np

from register.calc.word_match import known, said


def start_seen(
    *,
    load_test_result: np.ndarray,
    load_test_on: np.ndarray,
    measured_start_s: np.ndarray,
    measured_start_on: np.ndarray,
    motor_installed_on: np.ndarray,
    device_installed_on: np.ndarray,
    settings_since_on: np.ndarray,
) -> np.ndarray:
    """Yes where the motor was seen to start its load with motor, device and settings as they are.

    Parameters
    ----------
    load_test_result : result of the latest test under load
    load_test_on : day of it
    measured_start_s : time to full speed of a start that was measured [s]
    measured_start_on : day of it
    motor_installed_on : day the motor was put at this position
    device_installed_on : day the device was put at this position
    settings_since_on : day since which the start is set as it is

    Returns
    -------
    start_seen : yes, or None: a start that nobody wrote down proves nothing, in either way

    Examples
    --------
    >>> seen = {"load_test_result": "passed", "load_test_on": "2025-03-10", "measured_start_s": float("nan"),
    ...         "measured_start_on": None, "motor_installed_on": "2020-01-01", "settings_since_on": "2025-03-04"}
    >>> str(start_seen(**seen, device_installed_on="2025-03-04"))
    'yes'
    """
    dates = [np.asarray(d, object) for d in (motor_installed_on, device_installed_on, settings_since_on)]
    tested = said(load_test_result, "passed") & _since(load_test_on, dates)
    measured = np.isfinite(np.asarray(measured_start_s, float)) & _since(measured_start_on, dates)
    return np.where(tested | measured, "yes", None)


def _since(day: np.ndarray, dates: list[np.ndarray]) -> np.ndarray:
    """Whether the day is known, all dates are, and none is later."""
    days, *others = np.broadcast_arrays(np.asarray(day, object), *dates)
    found = known(days)
    for other in others:
        found = found & known(other)
        found = found & (np.where(found, days, "") >= np.where(found, other, ""))
    return np.asarray(found, bool)
