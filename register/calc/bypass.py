"""What goes round a device, and what its contactors carry."""

from __future__ import annotations

import numpy as np

from register.calc.word_match import known, said

EXTERNAL = ("two-contactor", "three-contactor", "standby starter")
DELTA_SHARE = 0.58  # of the motor's current, in each main contactor of a star-delta bypass


def ext_bypass(*, bypass_arrangement: np.ndarray) -> np.ndarray:
    """Whether a bypass or another starter goes round the device.

    Parameters
    ----------
    bypass_arrangement : the bypass of the device

    Returns
    -------
    ext_bypass : yes or no; an internal contactor is part of the device

    Examples
    --------
    >>> str(ext_bypass(bypass_arrangement="internal only"))
    'no'
    """
    answer = np.where(said(bypass_arrangement, *EXTERNAL), "yes", "no").astype(object)
    return np.where(known(bypass_arrangement), answer, None)


def bypass_needed_a(*, fla_a: np.ndarray, bypass_starts_by: np.ndarray) -> np.ndarray:
    """Current that each contactor of the bypass carries at full load.

    Parameters
    ----------
    fla_a : full-load current on the nameplate [A]
    bypass_starts_by : how the motor is started on its bypass

    Returns
    -------
    bypass_needed_a : 58 % of the motor's current where the bypass is a star-delta starter [A]

    Examples
    --------
    >>> round(float(bypass_needed_a(fla_a=12.4, bypass_starts_by="star-delta")), 1)
    7.2
    """
    share = np.where(said(bypass_starts_by, "star-delta"), DELTA_SHARE, 1.0)
    return np.where(known(bypass_starts_by), share, np.nan) * np.asarray(fla_a, float)
