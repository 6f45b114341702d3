"""What is left of a device's rated current where it stands, and how it fits the motor."""

from __future__ import annotations

import numpy as np


def _factor(lost_pct: np.ndarray, steps_above: np.ndarray) -> np.ndarray:
    """1 up to the threshold, then less by a share for each step, never below 0.

    Below the threshold the share does not matter, and with no share lost the place does not.
    """
    lost_pct, steps = np.asarray(lost_pct, float), np.asarray(steps_above, float)
    factor = np.maximum(1.0 - lost_pct / 100.0 * np.maximum(steps, 0.0), 0.0)
    return np.where((steps <= 0) | (lost_pct == 0), 1.0, factor)


def ambient_factor(*, ambient_c: np.ndarray, derate_above_c: np.ndarray, derate_pct_per_c: np.ndarray) -> np.ndarray:
    """Part of the device's rated current that is left at this ambient.

    Parameters
    ----------
    ambient_c : highest usual ambient at the device [°C]
    derate_above_c : ambient up to which the rated current holds [°C]
    derate_pct_per_c : current lost for each kelvin above that [%/K]

    Returns
    -------
    ambient_factor : 0 to 1

    Notes
    -----
    1 − d·max(0, T − T₀)/100: linear, as makers state it (common practice). Whether the device may
    work at all at this ambient is another question, and not answered here.

    Examples
    --------
    >>> float(ambient_factor(ambient_c=50.0, derate_above_c=40.0, derate_pct_per_c=2.0))
    0.8
    """
    return _factor(derate_pct_per_c, np.subtract(ambient_c, derate_above_c))


def altitude_factor(
    *, altitude_m: np.ndarray, derate_above_m: np.ndarray, derate_pct_per_100m: np.ndarray
) -> np.ndarray:
    """Part of the device's rated current that is left at this altitude.

    Parameters
    ----------
    altitude_m : altitude of the position [m]
    derate_above_m : altitude up to which the rated current holds [m]
    derate_pct_per_100m : current lost for each 100 m above that [%/100 m]

    Returns
    -------
    altitude_factor : 0 to 1

    Notes
    -----
    1 − d·max(0, h − h₀)/10 000: linear, as makers state it (common practice).

    Examples
    --------
    >>> float(altitude_factor(altitude_m=2000.0, derate_above_m=1000.0, derate_pct_per_100m=1.0))
    0.9
    """
    return _factor(derate_pct_per_100m, np.subtract(altitude_m, derate_above_m) / 100.0)


def derated_current_a(
    *, rated_current_a: np.ndarray, ambient_factor: np.ndarray, altitude_factor: np.ndarray
) -> np.ndarray:
    """Device rated current that is left at this ambient and altitude.

    Parameters
    ----------
    rated_current_a : rated current of the device [A]
    ambient_factor : part left at this ambient
    altitude_factor : part left at this altitude

    Returns
    -------
    derated_current_a : the product of the three [A]

    Examples
    --------
    >>> current = derated_current_a(rated_current_a=100.0, ambient_factor=0.8, altitude_factor=0.9)
    >>> round(float(current), 3)
    72.0
    """
    return np.asarray(rated_current_a, float) * np.asarray(ambient_factor, float) * np.asarray(altitude_factor, float)


def size_ratio(*, rated_current_a: np.ndarray, fla_a: np.ndarray) -> np.ndarray:
    """Device rated current over motor full-load current.

    Parameters
    ----------
    rated_current_a : rated current of the device [A]
    fla_a : full-load current on the motor's nameplate [A]

    Returns
    -------
    size_ratio : above 1 when the device is the larger

    Examples
    --------
    >>> float(size_ratio(rated_current_a=7.0, fla_a=1.75))
    4.0
    """
    return np.asarray(rated_current_a, float) / np.asarray(fla_a, float)


def ct_use_pct(*, fla_a: np.ndarray, ct_primary_a: np.ndarray) -> np.ndarray:
    """Motor full-load current, of the current transformer's primary.

    Parameters
    ----------
    fla_a : full-load current on the nameplate [A]
    ct_primary_a : primary current of the current transformers [A]

    Returns
    -------
    ct_use_pct : [%]

    Examples
    --------
    >>> float(ct_use_pct(fla_a=120.0, ct_primary_a=200.0))
    60.0
    """
    return 100.0 * np.asarray(fla_a, float) / np.asarray(ct_primary_a, float)
