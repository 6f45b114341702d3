"""The overload that protects the motor: its setting, class and range, and what it carries."""

from __future__ import annotations

import numpy as np

from register.calc.standard_table import Table
from register.calc.stress import IEC_MULTIPLE, NEMA_MULTIPLE, TRIPS_AT, time_constant_s
from register.calc.word_match import known, said


def _picked(place: np.ndarray, device: np.ndarray, relay: np.ndarray, kind: type = float) -> np.ndarray:
    """The device's value where the overload is in the device, the relay's where it is a relay; else unknown."""
    own = np.where(said(place, "device"), np.asarray(device, kind), np.nan if kind is float else None)
    return np.where(said(place, "relay"), np.asarray(relay, kind), own)


def overload_set_a(
    *, overload_place: np.ndarray, device_overload_set_a: np.ndarray, relay_set_a: np.ndarray
) -> np.ndarray:
    """Setting of the overload that protects the motor.

    Parameters
    ----------
    overload_place : in the device, a relay, or none
    device_overload_set_a : setting in the device [A]
    relay_set_a : setting of the separate relay [A]

    Returns
    -------
    overload_set_a : NaN where there is no overload [A]

    Examples
    --------
    >>> float(overload_set_a(overload_place="relay", device_overload_set_a=60.0, relay_set_a=65.0))
    65.0
    """
    return _picked(overload_place, device_overload_set_a, relay_set_a)


def overload_trip_class(
    *, overload_place: np.ndarray, device_trip_class: np.ndarray, relay_trip_class: np.ndarray
) -> np.ndarray:
    """Trip class of the overload that protects the motor.

    Parameters
    ----------
    overload_place : in the device, a relay, or none
    device_trip_class : class set in the device
    relay_trip_class : class of the separate relay

    Returns
    -------
    overload_trip_class : None where there is no overload

    Examples
    --------
    >>> str(overload_trip_class(overload_place="device", device_trip_class="20",
    ...                         relay_trip_class=None))
    '20'
    """
    return _picked(overload_place, device_trip_class, relay_trip_class, object)


def overload_range_min_a(
    *, overload_place: np.ndarray, overload_min_a: np.ndarray, relay_min_a: np.ndarray
) -> np.ndarray:
    """Lowest motor current that the overload can see.

    Parameters
    ----------
    overload_place : in the device, a relay, or none
    overload_min_a : lowest of the device's own overload [A]
    relay_min_a : lowest setting of the separate relay [A]

    Returns
    -------
    overload_range_min_a : NaN where there is no overload [A]

    Examples
    --------
    >>> float(overload_range_min_a(overload_place="device", overload_min_a=34.0, relay_min_a=1.0))
    34.0
    """
    return _picked(overload_place, overload_min_a, relay_min_a)


def overload_range_max_a(
    *, overload_place: np.ndarray, overload_max_a: np.ndarray, relay_max_a: np.ndarray
) -> np.ndarray:
    """Highest motor current that the overload can see.

    Parameters
    ----------
    overload_place : in the device, a relay, or none
    overload_max_a : highest of the device's own overload [A]
    relay_max_a : highest setting of the separate relay [A]

    Returns
    -------
    overload_range_max_a : NaN where there is no overload [A]

    Examples
    --------
    >>> float(overload_range_max_a(overload_place="relay", overload_max_a=135.0, relay_max_a=5.0))
    5.0
    """
    return _picked(overload_place, overload_max_a, relay_max_a)


def overload_current_a(
    *, overload_place: np.ndarray, device_kind: np.ndarray, relay_leg: np.ndarray, fla_a: np.ndarray
) -> np.ndarray:
    """Motor current that the overload carries at full load.

    Parameters
    ----------
    overload_place : in the device, a relay, or none
    device_kind : way of starting
    relay_leg : conductors that the overload carries, where the motor is started star-delta
    fla_a : full-load current on the nameplate [A]

    Returns
    -------
    overload_current_a : NaN while a star-delta starter does not say where its overload sits [A]

    Notes
    -----
    In a phase of the delta flows 1/√3 of the line's current, 57.7 %; an overload there is set to, and
    sees, that much. That of a packaged starter mostly lies there.

    References
    ----------
    NFPA 70, 430.32(A)(1), last paragraph (the share is marked on a wye-delta starter); the share
    is arithmetic.

    Examples
    --------
    >>> current = overload_current_a(overload_place="relay", device_kind="star-delta",
    ...                              relay_leg="phase", fla_a=34.0)
    >>> round(float(current), 2)
    19.63
    """
    there = said(overload_place, "device", "relay")
    whole = there & ~said(device_kind, "star-delta") & known(device_kind)
    delta = there & said(device_kind, "star-delta")
    share = np.where(whole | (delta & said(relay_leg, "line")), 1.0, np.nan)
    share = np.where(delta & said(relay_leg, "phase"), 1.0 / np.sqrt(3.0), share)
    return share * np.asarray(fla_a, float)


def motor_overload_reset(
    *, overload_place: np.ndarray, overload_reset: np.ndarray, relay_reset: np.ndarray
) -> np.ndarray:
    """How the overload that protects the motor is reset.

    Parameters
    ----------
    overload_place : in the device, a relay, or none
    overload_reset : reset set in the device
    relay_reset : reset of the separate relay

    Returns
    -------
    motor_overload_reset : None where there is no overload

    Examples
    --------
    >>> str(motor_overload_reset(overload_place="relay", overload_reset=None, relay_reset="manual"))
    'manual'
    """
    return _picked(overload_place, overload_reset, relay_reset, object)


def locked_rotor_trip_s(
    *,
    practice: np.ndarray,
    overload_trip_class: np.ndarray,
    overload_set_a: np.ndarray,
    overload_current_a: np.ndarray,
    locked_rotor_ratio: np.ndarray,
    trip_classes_table: Table,
) -> np.ndarray:
    """Latest trip of an overload of this class and setting with the rotor locked, from cold.

    Parameters
    ----------
    practice : body of practice
    overload_trip_class : class
    overload_set_a : setting [A]
    overload_current_a : motor current that the overload carries at full load [A]
    locked_rotor_ratio : locked-rotor current of full-load current [×FLA]
    trip_classes_table : shortest and longest time of each class

    Returns
    -------
    locked_rotor_trip_s : [s]

    Notes
    -----
    τ·ln(m²/(m² − 1.15²)), m the locked-rotor current over the setting, τ from the class's longest
    time at 7.2 times the setting (IEC) or 6 times (NEMA).

    References
    ----------
    IEC 60947-4-1, Table 2; NEMA ICS 2 (6 times: a maker's marking at 600 %).

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> trip = locked_rotor_trip_s(practice="iec", overload_trip_class="10", overload_set_a=100.0,
    ...                            overload_current_a=100.0, locked_rotor_ratio=7.2,
    ...                            trip_classes_table=load_tables()["trip-classes"])
    >>> round(float(trip), 6)
    10.0
    """
    rows = trip_classes_table.of("trip_class", overload_trip_class)
    longest = trip_classes_table.at(rows, "longest_s")
    stated = np.where(said(practice, "us"), NEMA_MULTIPLE, np.where(said(practice, "iec"), IEC_MULTIPLE, np.nan))
    multiple = (
        np.asarray(locked_rotor_ratio, float)
        * np.asarray(overload_current_a, float)
        / np.asarray(overload_set_a, float)
    )
    with np.errstate(all="ignore"):
        constant = time_constant_s(trip_s=longest, multiple=stated)
        above = multiple > TRIPS_AT
        square = np.where(above, multiple, np.nan) ** 2
        return constant * np.log(square / (square - TRIPS_AT**2))
