"""How high an overload may be set, and how long the motor behind it withstands a locked rotor."""

from __future__ import annotations

import numpy as np

from register.calc.word_match import known, said

COLD_OVER_HOT = (1.3, 2.0)  # locked-rotor time of a cold motor over a hot one, as makers' data give it
FULL_SHARE, REDUCED_SHARE = 1.0, 0.92  # of the motor's current, on a scale of motor amperes


def _generous(service_factor: np.ndarray, temperature_rise_c: np.ndarray, yes: float, no: float) -> np.ndarray:
    """`yes` by 430.32(A)(1)'s service factor or rise, `no` where both are known and neither holds."""
    factor, rise = np.asarray(service_factor, float), np.asarray(temperature_rise_c, float)
    share = np.where((factor < 1.15) & (rise > 40), no, np.nan)
    return np.where((factor >= 1.15) | (rise <= 40), yes, share)


def overload_set_max_a(
    *,
    practice: np.ndarray,
    overload_place: np.ndarray,
    device_kind: np.ndarray,
    overload_current_a: np.ndarray,
    service_factor: np.ndarray,
    temperature_rise_c: np.ndarray,
) -> np.ndarray:
    """Highest overload setting in motor amperes that practice permits for this nameplate.

    Parameters
    ----------
    practice : body of practice
    overload_place : where the overload is
    device_kind : way of starting
    overload_current_a : motor current that the overload carries at full load [A]
    service_factor : service factor
    temperature_rise_c : marked temperature rise [K]

    Returns
    -------
    overload_set_max_a : NaN until the nameplate decides which share holds [A]

    Notes
    -----
    A scale marked in motor amperes trips above its setting: most such relays at 115 to 125 % of it.
    Set to the motor's current they keep the 125 % of the US code; where it permits 115 % they are
    set to 92 % (115/125; makers' manuals give 90 and 92 %). A drive counts the motor's current
    itself and is set to it. IEC: the rated current.

    References
    ----------
    NFPA 70-2023, 430.32(A)(1) and 430.6(A)(2), of the trip and not of the scale; IEC 60947-4-1
    (from memory); the shares are common practice.

    Examples
    --------
    >>> float(overload_set_max_a(practice="us", overload_place="relay", device_kind="across-the-line",
    ...                          overload_current_a=100.0, service_factor=1.0, temperature_rise_c=80.0))
    92.0
    """
    share = _generous(service_factor, temperature_rise_c, FULL_SHARE, REDUCED_SHARE)
    of_a_drive = said(device_kind, "drive") & said(overload_place, "device")
    other = (known(device_kind) & ~said(device_kind, "drive")) | (
        known(overload_place) & ~said(overload_place, "device")
    )
    share = np.where(of_a_drive | other | (share == FULL_SHARE), np.where(of_a_drive, FULL_SHARE, share), np.nan)
    return _by_practice(practice, share) * np.asarray(overload_current_a, float)


def overload_set_most_a(
    *, practice: np.ndarray, overload_current_a: np.ndarray, service_factor: np.ndarray, temperature_rise_c: np.ndarray
) -> np.ndarray:
    """Highest overload setting in trip amperes that practice permits for this nameplate.

    Parameters
    ----------
    practice : body of practice
    overload_current_a : motor current that the overload carries at full load [A]
    service_factor : service factor
    temperature_rise_c : marked temperature rise [K]

    Returns
    -------
    overload_set_most_a : NaN until the nameplate decides which share holds [A]

    Notes
    -----
    US: 125 % with a service factor of 1.15 or more or a marked rise of 40 K or less, 115 % for all
    others. One of the two is enough for 125 %; 115 % is sure only when both are known. The larger
    shares of 430.32(C), 140 and 130 % for a motor that would not start, are not counted in.

    References
    ----------
    NFPA 70-2023, 430.32(A)(1).

    Examples
    --------
    >>> nan = float("nan")
    >>> float(overload_set_most_a(practice="us", overload_current_a=65.0, service_factor=1.15,
    ...                           temperature_rise_c=nan))
    81.25
    """
    share = _generous(service_factor, temperature_rise_c, 1.25, 1.15)
    return _by_practice(practice, share) * np.asarray(overload_current_a, float)


def _by_practice(practice: np.ndarray, us: np.ndarray) -> np.ndarray:
    return np.where(said(practice, "us"), us, np.where(said(practice, "iec"), 1.0, np.nan))


def overload_corrected_max_a(
    *,
    overload_set_max_a: np.ndarray,
    capacitor_kvar: np.ndarray,
    power_kw: np.ndarray,
    efficiency_pct: np.ndarray,
    power_factor: np.ndarray,
) -> np.ndarray:
    """Highest overload setting in motor amperes with capacitors between overload and motor.

    Parameters
    ----------
    overload_set_max_a : highest setting without them [A]
    capacitor_kvar : their power [kvar]
    power_kw : rated output power [kW]
    efficiency_pct : efficiency at full load [%]
    power_factor : power factor at full load

    Returns
    -------
    overload_corrected_max_a : [A]

    Notes
    -----
    The overload carries √(P² + (Q − Qc)²) where the motor takes √(P² + Q²).

    References
    ----------
    NFPA 70-2023, 460.9; the ratio is arithmetic.

    Examples
    --------
    >>> at = overload_corrected_max_a(overload_set_max_a=12.4, capacitor_kvar=3.0, power_kw=7.457,
    ...                               efficiency_pct=91.7, power_factor=0.82)
    >>> round(float(at), 1)
    10.7
    """
    active = np.asarray(power_kw, float) / (np.asarray(efficiency_pct, float) / 100.0)
    pf = np.asarray(power_factor, float)
    reactive = active * np.sqrt(1.0 / pf**2 - 1.0)
    left = np.hypot(active, reactive - np.asarray(capacitor_kvar, float))
    return np.asarray(overload_set_max_a, float) * left / np.hypot(active, reactive)


def cold_stall_least_s(*, cold_stall_s: np.ndarray, hot_stall_s: np.ndarray) -> np.ndarray:
    """Time that the cold motor surely withstands with its rotor locked.

    Parameters
    ----------
    cold_stall_s : safe stall time from cold [s]
    hot_stall_s : safe stall time from running temperature [s]

    Returns
    -------
    cold_stall_least_s : the one stated, else 1.3 times that of the hot motor [s]

    Notes
    -----
    Makers' data give 1.3 to 2 (common practice).

    Examples
    --------
    >>> round(float(cold_stall_least_s(cold_stall_s=float("nan"), hot_stall_s=12.0)), 1)
    15.6
    """
    return _stated_or(cold_stall_s, COLD_OVER_HOT[0] * np.asarray(hot_stall_s, float))


def cold_stall_most_s(*, cold_stall_s: np.ndarray, hot_stall_s: np.ndarray) -> np.ndarray:
    """Time that the cold motor may withstand with its rotor locked, at the most.

    Parameters
    ----------
    cold_stall_s : safe stall time from cold [s]
    hot_stall_s : safe stall time from running temperature [s]

    Returns
    -------
    cold_stall_most_s : the one stated, else twice that of the hot motor [s]

    Notes
    -----
    Makers' data give 1.3 to 2 (common practice).

    Examples
    --------
    >>> float(cold_stall_most_s(cold_stall_s=13.0, hot_stall_s=12.0))
    13.0
    """
    return _stated_or(cold_stall_s, COLD_OVER_HOT[1] * np.asarray(hot_stall_s, float))


def _stated_or(stated: np.ndarray, other: np.ndarray) -> np.ndarray:
    stated = np.asarray(stated, float)
    return np.where(np.isnan(stated), other, stated)
