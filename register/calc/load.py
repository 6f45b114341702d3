"""What the load asks of a start: inertia to bring up, torque to break away."""

from __future__ import annotations

import numpy as np

from register.calc.duty import KGM2_PER_LBFT2
from register.calc.standard_table import Table
from register.calc.word_match import said


def load_inertia_limit_kgm2(*, power_hp: np.ndarray, synchronous_speed_rpm: np.ndarray) -> np.ndarray:
    """Largest load inertia that the standard's formula allows.

    Parameters
    ----------
    power_hp : rated output power [hp]
    synchronous_speed_rpm : 300 to 1800, or 3600 [r/min]

    Returns
    -------
    load_inertia_limit_kgm2 : NaN outside the formula's speeds and 1 to 15 000 hp [kg·m²]

    Notes
    -----
    Wk² = A·hp^0.95/(n/1000)^2.4 − 0.0685·hp^1.5/(n/1000)^1.8 in lb·ft², A = 24 from 300 to
    1800 r/min and 27 at 3600. It agrees with the 60 published entries of Table 12-7 within 3.4 %.

    References
    ----------
    NEMA MG 1, 12.54 and Table 12-7 (formula checked against 145 published cells).

    Examples
    --------
    >>> limit = load_inertia_limit_kgm2(power_hp=25.0, synchronous_speed_rpm=1800.0)
    >>> round(float(limit) / KGM2_PER_LBFT2)
    122
    """
    hp, speed = np.asarray(power_hp, float), np.asarray(synchronous_speed_rpm, float)
    slow = (speed >= 300) & (speed <= 1800)
    a = np.where(slow, 24.0, np.where(speed == 3600, 27.0, np.nan))
    # A 0.75 kW motor is one of 1 hp although it is a little less or more.
    size = np.where((hp >= 0.98) & (hp <= 15_000), hp, np.nan)
    per_1000 = np.where(speed > 0, speed, np.nan) / 1000.0
    limit = a * size**0.95 / per_1000**2.4 - 0.0685 * size**1.5 / per_1000**1.8
    return np.where(limit > 0, limit, np.nan) * KGM2_PER_LBFT2


def inertia_ratio(*, load_inertia_kgm2: np.ndarray, load_inertia_limit_kgm2: np.ndarray) -> np.ndarray:
    """Load inertia over the largest that the standard's formula allows.

    Parameters
    ----------
    load_inertia_kgm2 : inertia of the load at the motor's speed [kg·m²]
    load_inertia_limit_kgm2 : largest that the formula allows [kg·m²]

    Returns
    -------
    inertia_ratio : above 1 the standard no longer promises a start

    Examples
    --------
    >>> float(inertia_ratio(load_inertia_kgm2=3.0, load_inertia_limit_kgm2=4.0))
    0.75
    """
    return np.asarray(load_inertia_kgm2, float) / np.asarray(load_inertia_limit_kgm2, float)


def start_torque_pct(
    *, device_kind: np.ndarray, locked_rotor_torque_pct: np.ndarray, tap_pct: np.ndarray
) -> np.ndarray:
    """Torque at standstill with this way of starting, of full-load torque.

    Parameters
    ----------
    device_kind : way of starting
    locked_rotor_torque_pct : locked-rotor torque at full voltage, of full-load torque [%]
    tap_pct : voltage of the autotransformer's tap, of line voltage [%]

    Returns
    -------
    start_torque_pct : NaN for soft starters and drives, where the setting decides [%]

    Notes
    -----
    Torque goes with the square of the voltage at the motor: all of it across the line, a third in
    star, tap² on an autotransformer. Full supply voltage is taken: a dip takes from it again.

    References
    ----------
    NEMA MG 10, starting characteristics of squirrel-cage motors.

    Examples
    --------
    >>> nan = float("nan")
    >>> float(start_torque_pct(device_kind="star-delta", locked_rotor_torque_pct=150.0,
    ...                        tap_pct=nan))
    50.0
    >>> torque = start_torque_pct(device_kind="autotransformer", locked_rotor_torque_pct=150.0,
    ...                           tap_pct=80.0)
    >>> round(float(torque), 3)
    96.0
    """
    share = np.where(said(device_kind, "across-the-line"), 1.0, np.nan)
    share = np.where(said(device_kind, "star-delta"), 1.0 / 3.0, share)
    tap = (np.asarray(tap_pct, float) / 100.0) ** 2
    share = np.where(said(device_kind, "autotransformer"), tap, share)
    return share * np.asarray(locked_rotor_torque_pct, float)


def typical_rotor_inertia_kgm2(*, load_inertia_limit_kgm2: np.ndarray) -> np.ndarray:
    """Inertia that a rotor of this size usually has.

    Parameters
    ----------
    load_inertia_limit_kgm2 : largest load inertia that the standard's formula allows [kg·m²]

    Returns
    -------
    typical_rotor_inertia_kgm2 : [kg·m²]

    Notes
    -----
    A twentieth of the largest load (common practice): it hardly counts beside a fan's wheel and
    stands for much of a pump's start, which is short in any case.

    Examples
    --------
    >>> float(typical_rotor_inertia_kgm2(load_inertia_limit_kgm2=5.0))
    0.25
    """
    return 0.05 * np.asarray(load_inertia_limit_kgm2, float)


def typical_load_inertia_kgm2(
    *, load_kind: np.ndarray, load_inertia_limit_kgm2: np.ndarray, load_torque_table: Table
) -> np.ndarray:
    """Inertia that this kind of driven machine usually has, at the motor's speed.

    Parameters
    ----------
    load_kind : kind of driven machine
    load_inertia_limit_kgm2 : largest load inertia that the standard's formula allows [kg·m²]
    load_torque_table : torques by kind of driven machine

    Returns
    -------
    typical_load_inertia_kgm2 : [kg·m²]

    Notes
    -----
    A share of the largest that NEMA MG 1, 12.54 allows: a tenth for pumps, more than half for fans
    (common practice). The time of a start goes with it, so its real value is worth finding.

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> table = load_tables()["load-torque"]
    >>> found = typical_load_inertia_kgm2(
    ...     load_kind="centrifugal fan", load_inertia_limit_kgm2=10.0, load_torque_table=table)
    >>> float(found)
    6.0
    """
    rows = load_torque_table.of("load_kind", load_kind)
    share = load_torque_table.at(rows, "inertia_pct") / 100.0
    return share * np.asarray(load_inertia_limit_kgm2, float)
