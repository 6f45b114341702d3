"""One protection before several motors, a fire pump's protection, and the cables beside them."""

from __future__ import annotations

import numpy as np

from register.calc.protection import branch_limit_a
from register.calc.standard_table import Table
from register.calc.word_match import said

ALIKE = 0.02


def _others(motors_on_device: np.ndarray, other_motors_a: np.ndarray) -> np.ndarray:
    """Currents of the other motors on the device; none where there is but one."""
    many = np.asarray(motors_on_device, float)
    return np.where(many == 1.0, 0.0, np.where(many > 1.0, np.asarray(other_motors_a, float), np.nan))


def fire_pump_hold_a(
    *, locked_rotor_a: np.ndarray, motors_on_device: np.ndarray, other_motors_a: np.ndarray
) -> np.ndarray:
    """Current that a fire pump's protection carries for ever.

    Parameters
    ----------
    locked_rotor_a : locked-rotor current [A]
    motors_on_device : motors that the one device feeds
    other_motors_a : full-load currents of the others, in sum [A]

    Returns
    -------
    fire_pump_hold_a : [A]

    References
    ----------
    NFPA 70, 695.4(B)(2): the sum of the locked-rotor currents and of what else is on the circuit.

    Examples
    --------
    >>> nan = float("nan")
    >>> float(fire_pump_hold_a(locked_rotor_a=363.0, motors_on_device=1.0, other_motors_a=nan))
    363.0
    """
    return np.asarray(locked_rotor_a, float) + _others(motors_on_device, other_motors_a)


def smallest_branch_limit_a(
    *,
    table_flc_a: np.ndarray,
    motors_on_device: np.ndarray,
    other_motors_a: np.ndarray,
    branch_protection_pct: np.ndarray,
    protection_kind: np.ndarray,
    standard_ratings_table: Table,
) -> np.ndarray:
    """Largest line protection that the code permits for the smallest of several motors.

    Parameters
    ----------
    table_flc_a : full-load current of the code's table of the motor entered, the largest [A]
    motors_on_device : motors that the one device feeds
    other_motors_a : full-load currents of the others, in sum [A]
    branch_protection_pct : share that the code permits this kind of protection [%]
    protection_kind : line protection as installed
    standard_ratings_table : standard ratings of fuses and breakers

    Returns
    -------
    smallest_branch_limit_a : NaN where the sum does not tell the smallest [A]

    Notes
    -----
    The sum tells the smallest of two, and of motors that are alike; of others it does not.

    References
    ----------
    NFPA 70, 430.53(B).

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> limit = smallest_branch_limit_a(
    ...     table_flc_a=3.4, motors_on_device=4.0, other_motors_a=10.2, branch_protection_pct=250.0,
    ...     protection_kind="inverse-time breaker", standard_ratings_table=load_tables()["standard-ratings"])
    >>> float(limit)
    15.0
    """
    many, largest = np.asarray(motors_on_device, float), np.asarray(table_flc_a, float)
    share = np.asarray(other_motors_a, float) / np.where(many > 1.0, many - 1.0, np.nan)
    told = (many == 2.0) | (np.abs(share - largest) <= ALIKE * largest)
    return branch_limit_a(
        code_current_a=np.where(told, np.minimum(share, largest), np.nan),
        branch_protection_pct=branch_protection_pct,
        protection_kind=protection_kind,
        standard_ratings_table=standard_ratings_table,
    )


def group_limit_a(
    *,
    table_flc_a: np.ndarray,
    motors_on_device: np.ndarray,
    other_motors_a: np.ndarray,
    branch_protection_pct: np.ndarray,
    protection_kind: np.ndarray,
    standard_ratings_table: Table,
) -> np.ndarray:
    """Largest line protection before a listed group of motors.

    Parameters
    ----------
    table_flc_a : full-load current of the code's table of the motor entered, the largest [A]
    motors_on_device : motors that the one device feeds
    other_motors_a : full-load currents of the others, in sum [A]
    branch_protection_pct : share that the code permits this kind of protection [%]
    protection_kind : line protection as installed
    standard_ratings_table : standard ratings of fuses and breakers

    Returns
    -------
    group_limit_a : the limit of the largest, and the currents of the others [A]

    References
    ----------
    NFPA 70, 430.53(C) and (D).

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> limit = group_limit_a(
    ...     table_flc_a=3.4, motors_on_device=4.0, other_motors_a=10.2, branch_protection_pct=250.0,
    ...     protection_kind="inverse-time breaker", standard_ratings_table=load_tables()["standard-ratings"])
    >>> round(float(limit), 1)
    25.2
    """
    largest = branch_limit_a(
        code_current_a=table_flc_a,
        branch_protection_pct=branch_protection_pct,
        protection_kind=protection_kind,
        standard_ratings_table=standard_ratings_table,
    )
    return largest + _others(motors_on_device, other_motors_a)


def input_cable_needed_a(
    *, practice: np.ndarray, input_current_a: np.ndarray, ext_bypass: np.ndarray, table_flc_a: np.ndarray
) -> np.ndarray:
    """Ampacity that the drive's supply cable needs.

    Parameters
    ----------
    practice : body of practice
    input_current_a : the drive's rated input current [A]
    ext_bypass : whether a bypass lies outside the drive
    table_flc_a : full-load current of the code's table [A]

    Returns
    -------
    input_cable_needed_a : US 125 % of the input current or, with a bypass, of the larger current; IEC 100 % [A]

    References
    ----------
    NFPA 70, 430.122(A) and (B); IEC 60364-4-43, 433.1.

    Examples
    --------
    >>> nan = float("nan")
    >>> float(input_cable_needed_a(practice="us", input_current_a=70.0, ext_bypass="no", table_flc_a=nan))
    87.5
    """
    own, motor = np.asarray(input_current_a, float), np.asarray(table_flc_a, float)
    larger = np.where(said(ext_bypass, "yes"), np.maximum(own, motor), np.where(said(ext_bypass, "no"), own, np.nan))
    return np.where(said(practice, "us"), 1.25 * larger, np.where(said(practice, "iec"), own, np.nan))


def overload_lead_a(*, overload_set_a: np.ndarray, device_kind: np.ndarray, relay_leg: np.ndarray) -> np.ndarray:
    """Current that the overload lets flow in a lead of the motor's cable.

    Parameters
    ----------
    overload_set_a : setting of the overload that protects the motor [A]
    device_kind : way of starting
    relay_leg : conductors that the relay carries, of a star-delta starter

    Returns
    -------
    overload_lead_a : NaN while a star-delta starter does not say where its relay sits [A]

    Notes
    -----
    Before the six leads of a delta a relay in the line sees √3 times what one lead carries.

    References
    ----------
    IEC 60364-4-43, 433.1; the share is arithmetic.

    Examples
    --------
    >>> round(float(overload_lead_a(overload_set_a=34.0, device_kind="star-delta", relay_leg="line")), 1)
    19.6
    """
    star_delta = said(device_kind, "star-delta")
    share = np.where(star_delta & said(relay_leg, "line"), 1.0 / np.sqrt(3.0), np.nan)
    share = np.where(star_delta & said(relay_leg, "phase"), 1.0, share)
    other = said(device_kind, "across-the-line", "autotransformer", "soft starter", "drive")
    return np.where(other, 1.0, share) * np.asarray(overload_set_a, float)
