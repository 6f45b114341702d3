"""Where the code's exceptions, a fuse's class and a feeder count line protection otherwise."""

from __future__ import annotations

import numpy as np

from register.calc.protection import FUSES, next_rating
from register.calc.standard_table import Table
from register.calc.word_match import known, said

CLASS_CC_SHARE = 3.0  # of the code current: a time-delay fuse of class CC counts as one without delay
SMALL_FLC_A = 100.0  # code current up to which a breaker has the larger exception
SMALL_FUSE_A = 600.0
WOUND_ROTOR_PCT = 150.0  # NFPA 70-2023, Table 430.52(C)(1)
FEEDER_SHARES = {"breaker": 2.5, "fuse": 3.0, "time-delay fuse": 1.75}


def branch_exception_a(
    *,
    code_current_a: np.ndarray,
    branch_protection_pct: np.ndarray,
    branch_limit_a: np.ndarray,
    protection_kind: np.ndarray,
    branch_exceptions_table: Table,
) -> np.ndarray:
    """Largest branch protection by the code's exceptions, for a motor that would not start.

    Parameters
    ----------
    code_current_a : current by which the code sizes line protection [A]
    branch_protection_pct : share of it that the code permits without exception [%]
    branch_limit_a : largest that it permits without exception [A]
    protection_kind : line protection as installed
    branch_exceptions_table : shares by exception

    Returns
    -------
    branch_exception_a : not rounded up to a standard rating, and never below what needs no exception [A]

    Notes
    -----
    A wound-rotor motor starts on its resistors with little more than its running current (common
    practice): it has no more by exception than without.

    References
    ----------
    NFPA 70-2023, 430.52(C)(1) exception 2 and 430.52(C)(3) exception 1.

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> most = branch_exception_a(code_current_a=14.0, branch_protection_pct=250.0, branch_limit_a=35.0,
    ...                           protection_kind="inverse-time breaker",
    ...                           branch_exceptions_table=load_tables()["branch-exceptions"])
    >>> float(most)
    56.0
    """
    table, flc = branch_exceptions_table, np.asarray(code_current_a, float)

    def share(kind: str) -> float:
        return float(table.at(table.of("kind", kind), "percent")) / 100.0

    fuse = np.minimum(share("fuse") * flc, np.maximum(SMALL_FUSE_A, share("fuse above 600 A") * flc))
    breaker = (
        np.where(flc > SMALL_FLC_A, share("inverse-time breaker above 100 A"), share("inverse-time breaker")) * flc
    )
    usual = np.asarray(branch_protection_pct, float)
    energy = np.where(usual > 800, share("instantaneous breaker, energy-efficient"), share("instantaneous breaker"))
    most = np.where(said(protection_kind, "fuse"), fuse, np.nan)
    most = np.where(said(protection_kind, "time-delay fuse"), share("time-delay fuse") * flc, most)
    most = np.where(said(protection_kind, "inverse-time breaker"), breaker, most)
    most = np.where(said(protection_kind, "instantaneous breaker"), energy * flc, most) + 0.0 * usual
    general = np.asarray(branch_limit_a, float) + 0.0 * most
    return np.where(usual <= WOUND_ROTOR_PCT, general, np.maximum(most, general))


def branch_class_cc_a(
    *, code_current_a: np.ndarray, protection_kind: np.ndarray, standard_ratings_table: Table
) -> np.ndarray:
    """Largest time-delay fuse of class CC that the code permits before a motor.

    Parameters
    ----------
    code_current_a : current by which the code sizes line protection [A]
    protection_kind : line protection as installed
    standard_ratings_table : standard ratings of fuses and breakers

    Returns
    -------
    branch_class_cc_a : 0 for another kind of protection [A]

    References
    ----------
    NFPA 70-2023, Table 430.52(C)(1), note: the column without delay holds for time-delay class CC.

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> most = branch_class_cc_a(code_current_a=14.0, protection_kind="time-delay fuse",
    ...                          standard_ratings_table=load_tables()["standard-ratings"])
    >>> float(most)
    45.0
    """
    most = next_rating(CLASS_CC_SHARE * np.asarray(code_current_a, float), standard_ratings_table.columns["rating_a"])
    other = known(protection_kind) & ~said(protection_kind, "time-delay fuse")
    return np.where(other, 0.0, np.where(said(protection_kind, "time-delay fuse"), most, np.nan)) + 0.0 * most


def feeder_share_a(
    *, protection_kind: np.ndarray, main_kind: np.ndarray, branch_limit_a: np.ndarray, code_current_a: np.ndarray
) -> np.ndarray:
    """Branch protection by which a motor counts when the one before a feeder is sized.

    Parameters
    ----------
    protection_kind : line protection as installed
    main_kind : what protects the feeder
    branch_limit_a : largest branch protection that the code permits [A]
    code_current_a : current by which the code sizes line protection [A]

    Returns
    -------
    feeder_share_a : [A]

    Notes
    -----
    A motor behind an instantaneous breaker counts the share of the feeder's own kind of device:
    250 % behind a breaker, 175 % behind a time-delay fuse, 300 % behind one without delay.

    References
    ----------
    NFPA 70-2023, 430.62(A) with exception 1.

    Examples
    --------
    >>> float(feeder_share_a(protection_kind="instantaneous breaker", main_kind="breaker",
    ...                      branch_limit_a=1364.0, code_current_a=124.0))
    310.0
    """
    share = np.nan
    for kind, of_it in FEEDER_SHARES.items():
        share = np.where(said(main_kind, kind), of_it, share)
    instantaneous = said(protection_kind, "instantaneous breaker")
    counted = np.where(instantaneous, share * np.asarray(code_current_a, float), np.asarray(branch_limit_a, float))
    return np.where(known(protection_kind), counted, np.nan)


def fuse_class_fits(
    *, protection_kind: np.ndarray, fuse_class: np.ndarray, fuse_class_required: np.ndarray
) -> np.ndarray:
    """Whether the fuses are of a class that the device's maker permits.

    Parameters
    ----------
    protection_kind : line protection as installed
    fuse_class : class marked on the fuses
    fuse_class_required : classes that the maker permits, separated by commas; any where he names none

    Returns
    -------
    fuse_class_fits : yes or no; yes where there is no fuse, None where either class is unknown

    References
    ----------
    NFPA 70-2023, 110.10 and 110.3(B); UL 508A, SB4 (from memory).

    Examples
    --------
    >>> str(fuse_class_fits(protection_kind="time-delay fuse", fuse_class="RK5", fuse_class_required="J, CC"))
    'no'
    """
    kinds, classes, asked = np.broadcast_arrays(
        *(np.asarray(v, object) for v in (protection_kind, fuse_class, fuse_class_required))
    )
    fits = [_class_fits(*words) for words in zip(kinds.flat, classes.flat, asked.flat, strict=True)]
    return np.array(fits, object).reshape(kinds.shape)


def _class_fits(kind: str | None, fuse: str | None, asked: str | None) -> str | None:
    if kind is None:
        return None
    permitted = {word.strip().lower() for word in (asked or "").split(",")}
    if kind not in (*FUSES, "fuse and breaker") or "any" in permitted:
        return "yes"
    if fuse is None or asked is None:
        return None
    return "yes" if fuse.lower() in permitted else "no"
