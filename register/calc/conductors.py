"""What the motor cable, and the disconnecting means before it, have to carry."""

from __future__ import annotations

import numpy as np

from register.calc.word_match import known, said

SHARE_OF_A_LEAD = {"us": 0.72, "iec": 0.58}  # of the line's current, six leads to a delta; 0.58 x 125 % is 72 %
CONTINUOUS = 1.25


def conductor_needed_a(
    *,
    practice: np.ndarray,
    device_kind: np.ndarray,
    device_connection: np.ndarray,
    code_current_a: np.ndarray,
    fla_a: np.ndarray,
    motors_on_device: np.ndarray,
    other_motors_a: np.ndarray,
) -> np.ndarray:
    """Ampacity that practice asks of each conductor to the motors, in continuous duty.

    Parameters
    ----------
    practice : body of practice
    device_kind : way of starting
    device_connection : in the line, or inside the motor's delta
    code_current_a : current by which the US code sizes conductors, of the largest motor [A]
    fla_a : full-load current on its nameplate [A]
    motors_on_device : motors that the one device feeds
    other_motors_a : full-load current of the others [A]

    Returns
    -------
    conductor_needed_a : US 125 % of the code's current, IEC the nameplate's current, and the others [A]

    Notes
    -----
    Star-delta starters, and soft starters inside the delta, have two leads to each phase: 72 % of
    the code's current in each, 58 % of the nameplate's to IEC. Smaller shares for short runs are
    not counted in.

    References
    ----------
    NFPA 70-2023, 430.22, 430.22(C), 430.24; IEC 60364-4-43, 433.1: design current ≤ ampacity.

    Examples
    --------
    >>> nan = float("nan")
    >>> float(conductor_needed_a(practice="us", device_kind="across-the-line", device_connection=None,
    ...                          code_current_a=52.0, fla_a=48.0, motors_on_device=1.0,
    ...                          other_motors_a=nan))
    65.0
    """
    inside = said(device_connection, "inside delta")
    six = said(device_kind, "star-delta") | (said(device_kind, "soft starter") & inside)
    three = known(device_kind) & ~said(device_kind, "star-delta", "soft starter")
    three |= said(device_kind, "soft starter") & said(device_connection, "in line")
    motors = np.asarray(motors_on_device, float)
    others = np.where(motors > 1, np.asarray(other_motors_a, float), np.where(motors == 1, 0.0, np.nan))
    needed = np.nan
    for practised, own, whole in (("us", code_current_a, CONTINUOUS), ("iec", fla_a, 1.0)):
        share = np.where(six, SHARE_OF_A_LEAD[practised], np.where(three, whole, np.nan))
        needed = np.where(said(practice, practised), share * np.asarray(own, float) + others, needed)
    return needed


def disconnect_needed_a(*, all_code_current_a: np.ndarray) -> np.ndarray:
    """Rated current that the code asks of the disconnecting means of a device's motors.

    Parameters
    ----------
    all_code_current_a : current by which the US code sizes, of all motors on the device [A]

    Returns
    -------
    disconnect_needed_a : 115 % of it; NaN where it is not the US code that holds [A]

    References
    ----------
    NFPA 70-2023, 430.110(A) and (C), motor circuits of 1000 V and less.

    Examples
    --------
    >>> round(float(disconnect_needed_a(all_code_current_a=65.0)), 2)
    74.75
    """
    return 1.15 * np.asarray(all_code_current_a, float)
