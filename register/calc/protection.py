"""Line protection and conductors: how large the code lets the one be and asks the other to be."""

from __future__ import annotations

import numpy as np

from register.calc.code_tables import STANDARD_SIZE
from register.calc.standard_table import Table
from register.calc.word_match import known, said

# The kinds that the code's table has. It gives no share for semiconductor fuses, and a pair of fuse
# and breaker has two ratings.
TABLE_KINDS = {
    "fuse": "non_time_delay_fuse",
    "time-delay fuse": "time_delay_fuse",
    "inverse-time breaker": "inverse_time_breaker",
    "instantaneous breaker": "instantaneous_breaker",
}
FUSES = ("fuse", "time-delay fuse", "semiconductor fuse")
BREAKERS = ("inverse-time breaker", "instantaneous breaker")


def branch_protection_pct(
    *,
    protection_kind: np.ndarray,
    rotor_wound: np.ndarray,
    phases: np.ndarray,
    design_letter: np.ndarray,
    efficiency_pct: np.ndarray,
    power_hp: np.ndarray,
    poles: np.ndarray,
    practice: np.ndarray,
    branch_protection_percent_table: Table,
    energy_efficient_table: Table,
) -> np.ndarray:
    """Share of the motor's code current that the code permits this kind of line protection.

    Parameters
    ----------
    protection_kind : line protection as installed
    rotor_wound : whether the rotor is wound
    phases : 3, or 1
    design_letter : design letter of the motor
    efficiency_pct : efficiency at full load [%]
    power_hp : rated output power [hp]
    poles : number of poles
    practice : body of practice; NaN where it is not the US code
    branch_protection_percent_table : shares by kind of motor and of protection
    energy_efficient_table : efficiency from which a motor is an energy-efficient one

    Returns
    -------
    branch_protection_pct : NaN for kinds that the table does not have [%]

    Notes
    -----
    A cage motor's design matters to an instantaneous breaker only: design B motors that are
    energy-efficient or better may have the larger share. That is decided when the efficiency lies
    above, or below, what the standard asks of open and enclosed motors.

    References
    ----------
    NFPA 70-2023, Table 430.52(C)(1); NEMA MG 1, Table 12-11.

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> t = load_tables()
    >>> share = branch_protection_pct(
    ...     protection_kind="time-delay fuse", rotor_wound="no", phases=3.0, design_letter=None,
    ...     efficiency_pct=float("nan"), power_hp=50.0, poles=4.0, practice="us",
    ...     branch_protection_percent_table=t["branch-protection-percent"],
    ...     energy_efficient_table=t["energy-efficient"])
    >>> float(share)
    175.0
    """
    table = branch_protection_percent_table
    better = _energy_efficient(energy_efficient_table, efficiency_pct, power_hp, poles)
    is_b, is_other = said(design_letter, "B"), known(design_letter) & ~said(design_letter, "B")
    three = np.equal(phases, 3)
    motor = np.where(three & is_b & (better == 1), "design B energy-efficient", None)
    motor = np.where(three & (is_other | (better == 0)), "squirrel cage", motor)
    motor = np.where(np.equal(phases, 1), "single-phase", motor)
    plain = np.where(np.equal(phases, 1), "single-phase", np.where(three, "squirrel cage", None))
    wound, told = three & said(rotor_wound, "yes"), ~three | known(rotor_wound)
    motor, plain = (np.where(wound, "wound-rotor", np.where(told, kind, None)) for kind in (motor, plain))
    share = np.nan
    for kind, column in TABLE_KINDS.items():
        of = motor if kind == "instantaneous breaker" else plain
        here = table.at(table.of("motor_type", of), column)
        share = np.where(said(protection_kind, kind), here, share)
    return np.where(said(practice, "us"), share, np.nan)


def _energy_efficient(table: Table, efficiency_pct: np.ndarray, power_hp: np.ndarray, poles: np.ndarray) -> np.ndarray:
    """1 for an energy-efficient motor, 0 for a lesser one, NaN where its enclosure would decide."""
    rows = table.near("power_hp", power_hp, within=STANDARD_SIZE)
    asked = [
        table.among(rows, {p: f"{enclosure}_{p}_pole" for p in (2, 4, 6, 8)}, poles)
        for enclosure in ("enclosed", "open")
    ]
    reached = np.asarray(efficiency_pct, float)
    decided = np.where(reached < np.minimum(*asked), 0.0, np.nan)
    return np.where(reached >= np.maximum(*asked), 1.0, decided)


def branch_limit_a(
    *,
    code_current_a: np.ndarray,
    branch_protection_pct: np.ndarray,
    protection_kind: np.ndarray,
    standard_ratings_table: Table,
) -> np.ndarray:
    """Largest branch protection that the code permits.

    Parameters
    ----------
    code_current_a : current by which the code sizes line protection [A]
    branch_protection_pct : share of it that the code permits this kind [%]
    protection_kind : line protection as installed
    standard_ratings_table : standard ratings of fuses and breakers

    Returns
    -------
    branch_limit_a : the next standard rating, or the setting of an instantaneous breaker [A]

    Notes
    -----
    The next standard rating up is exception 1, which is nearly always claimed. Exception 2 and its
    larger shares, for a motor that would not start, are not counted in: that is for whoever is
    licensed to claim it.

    References
    ----------
    NFPA 70-2023, 430.52(C)(1) with exception 1, 430.52(C)(3), 240.6(A).

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> limit = branch_limit_a(code_current_a=34.0, branch_protection_pct=175.0,
    ...                        protection_kind="time-delay fuse",
    ...                        standard_ratings_table=load_tables()["standard-ratings"])
    >>> float(limit)
    60.0
    """
    permitted = np.asarray(code_current_a, float) * np.asarray(branch_protection_pct, float) / 100.0
    ratings = standard_ratings_table.columns["rating_a"]
    of_breakers = ratings[~said(standard_ratings_table.columns["made_as"], "fuse")]
    limit = np.where(said(protection_kind, "instantaneous breaker"), permitted, np.nan)
    limit = np.where(said(protection_kind, "inverse-time breaker"), next_rating(permitted, of_breakers), limit)
    return np.where(said(protection_kind, *FUSES), next_rating(permitted, ratings), limit)


def next_rating(amperes: np.ndarray, ratings: np.ndarray) -> np.ndarray:
    """The same rating where it is a standard one, else the next larger; NaN above the last."""
    # 56 A times 125 % in floating point must not reach for the rating above 70 A.
    return np.append(ratings, np.nan)[np.searchsorted(ratings, amperes * (1 - 1e-9))]


def line_protection_kind_fits(*, line_protection_kind: np.ndarray, protection_kind: np.ndarray) -> np.ndarray:
    """Whether the installed kind is one that the device's maker requires.

    Parameters
    ----------
    line_protection_kind : what the maker requires
    protection_kind : line protection as installed

    Returns
    -------
    line_protection_kind_fits : yes or no, None where either is unknown

    Notes
    -----
    A pair of fuse and breaker contains each of them. Type and class of a fuse, and the breaker's
    part number where the maker names one, are not told from the register (common practice).

    Examples
    --------
    >>> str(line_protection_kind_fits(line_protection_kind="fuse",
    ...                               protection_kind="inverse-time breaker"))
    'no'
    """
    both = said(protection_kind, "fuse and breaker")
    fuse = both | said(protection_kind, *FUSES)
    breaker = both | said(protection_kind, *BREAKERS)
    fits = (
        (said(line_protection_kind, "fuse") & fuse)
        | (said(line_protection_kind, "breaker") & breaker)
        | (said(line_protection_kind, "fuse and breaker") & both)
        | (said(line_protection_kind, "fuse or breaker") & (fuse | breaker))
    )
    told = known(line_protection_kind) & known(protection_kind)
    return np.where(told, np.where(fits, "yes", "no").astype(object), None)


def typical_bus_load_a(*, main_breaker_pickup_a: np.ndarray) -> np.ndarray:
    """Current that a lineup usually draws, by the setting of its main breaker.

    Parameters
    ----------
    main_breaker_pickup_a : long-time pickup of the main breaker [A]

    Returns
    -------
    typical_bus_load_a : half of it (common practice) [A]

    Examples
    --------
    >>> float(typical_bus_load_a(main_breaker_pickup_a=1600.0))
    800.0
    """
    return 0.5 * np.asarray(main_breaker_pickup_a, float)
