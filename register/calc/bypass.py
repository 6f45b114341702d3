"""What goes round a device, what its contactors carry, and how it is protected."""

from __future__ import annotations

import numpy as np

from register.calc import protection
from register.calc.standard_table import Table
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


def bypass_set_sure_a(
    *, practice: np.ndarray, fla_a: np.ndarray, service_factor: np.ndarray, temperature_rise_c: np.ndarray
) -> np.ndarray:
    """Setting of the bypass's overload that is right whatever it is marked in.

    Parameters
    ----------
    practice : body of practice
    fla_a : full-load current on the nameplate [A]
    service_factor : service factor
    temperature_rise_c : marked temperature rise [K]

    Returns
    -------
    bypass_set_sure_a : setting up to which an overload in the line protects the motor, however it is marked [A]

    Notes
    -----
    A US overload that is marked in motor amperes trips at 125 % of its setting: with 115 % wanted the setting is
    115/125 of the nameplate current, 92 %.

    References
    ----------
    NFPA 70, 430.32(A)(1); an inspector's post and a controller's manual give the 125 %.

    Examples
    --------
    >>> nan = float("nan")
    >>> float(bypass_set_sure_a(practice="us", fla_a=100.0, service_factor=1.0, temperature_rise_c=80.0))
    92.0
    >>> float(bypass_set_sure_a(practice="iec", fla_a=100.0, service_factor=nan, temperature_rise_c=nan))
    100.0
    """
    factor, rise = np.asarray(service_factor, float), np.asarray(temperature_rise_c, float)
    share = np.where((factor < 1.15) & (rise > 40), 0.92, np.nan)
    share = np.where((factor >= 1.15) | (rise <= 40) | said(practice, "iec"), 1.0, share)
    return np.where(known(practice), share, np.nan) * np.asarray(fla_a, float)


def bypass_set_most_a(
    *, practice: np.ndarray, fla_a: np.ndarray, service_factor: np.ndarray, temperature_rise_c: np.ndarray
) -> np.ndarray:
    """Highest setting of the bypass's overload, where it is marked in trip amperes.

    Parameters
    ----------
    practice : body of practice
    fla_a : full-load current on the nameplate [A]
    service_factor : service factor
    temperature_rise_c : marked temperature rise [K]

    Returns
    -------
    bypass_set_most_a : US 125 or 115 %, IEC 100 % of the nameplate current [A]

    References
    ----------
    NFPA 70, 430.32(A)(1).

    Examples
    --------
    >>> float(bypass_set_most_a(practice="us", fla_a=100.0, service_factor=1.15, temperature_rise_c=80.0))
    125.0
    """
    factor, rise = np.asarray(service_factor, float), np.asarray(temperature_rise_c, float)
    share = np.where((factor < 1.15) & (rise > 40), 1.15, np.nan)
    share = np.where((factor >= 1.15) | (rise <= 40), 1.25, share)
    return np.where(said(practice, "iec"), 1.0, np.where(said(practice, "us"), share, np.nan)) * np.asarray(
        fla_a, float
    )


def bypass_branch_limit_a(
    *,
    bypass_protection_kind: np.ndarray,
    table_flc_a: np.ndarray,
    rotor_wound: np.ndarray,
    phases: np.ndarray,
    design_letter: np.ndarray,
    efficiency_pct: np.ndarray,
    power_hp: np.ndarray,
    poles: np.ndarray,
    practice: np.ndarray,
    branch_protection_percent_table: Table,
    energy_efficient_table: Table,
    standard_ratings_table: Table,
) -> np.ndarray:
    """Largest line protection of the bypass that the code permits.

    Parameters
    ----------
    bypass_protection_kind : line protection of the bypass
    table_flc_a : full-load current of the code's table [A]
    rotor_wound : whether the rotor is wound
    phases : 3, or 1
    design_letter : design letter of the motor
    efficiency_pct : efficiency at full load [%]
    power_hp : rated output power [hp]
    poles : number of poles
    practice : body of practice
    branch_protection_percent_table : shares by kind of motor and of protection
    energy_efficient_table : efficiency from which a motor is an energy-efficient one
    standard_ratings_table : standard ratings of fuses and breakers

    Returns
    -------
    bypass_branch_limit_a : NaN where it is not the US code [A]

    References
    ----------
    NFPA 70-2023, 430.52(C)(1) with exception 1, 430.130.

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> t = load_tables()
    >>> limit = bypass_branch_limit_a(
    ...     bypass_protection_kind="inverse-time breaker", table_flc_a=14.0, rotor_wound="no", phases=3.0,
    ...     design_letter="B", efficiency_pct=91.7, power_hp=10.0, poles=4.0, practice="us",
    ...     branch_protection_percent_table=t["branch-protection-percent"],
    ...     energy_efficient_table=t["energy-efficient"],
    ...     standard_ratings_table=t["standard-ratings"])
    >>> float(limit)
    35.0
    """
    share = protection.branch_protection_pct(
        protection_kind=bypass_protection_kind,
        rotor_wound=rotor_wound,
        phases=phases,
        design_letter=design_letter,
        efficiency_pct=efficiency_pct,
        power_hp=power_hp,
        poles=poles,
        practice=practice,
        branch_protection_percent_table=branch_protection_percent_table,
        energy_efficient_table=energy_efficient_table,
    )
    return protection.branch_limit_a(
        code_current_a=table_flc_a,
        branch_protection_pct=share,
        protection_kind=bypass_protection_kind,
        standard_ratings_table=standard_ratings_table,
    )
