"""How often a device and a motor may start, and how long they rest between."""

from __future__ import annotations

import re

import numpy as np

from register.calc.code_tables import STANDARD_SIZE
from register.calc.standard_table import Table
from register.calc.word_match import read_each

KGM2_PER_LBFT2 = 0.042_140_110

_NUMBER = r"(\d+(?:[.,]\d+)?)"
_DUTY_CODE = re.compile(
    rf"AC\W*53\W*(?P<family>[AB])\W+{_NUMBER}\s*[-–—]\s*{_NUMBER}\s*s?\s*[:;/]\s*"
    rf"{_NUMBER}(?:\s*%?\s*[-–—]\s*{_NUMBER})?\s*s?",
    re.IGNORECASE,
)


def _starts_of_code(code: str) -> float:
    """Starts an hour of one rating code, NaN when it is not one."""
    match = _DUTY_CODE.search(code)
    if not match:
        return np.nan
    _, start_s, third, starts = (float(text.replace(",", ".")) if text else np.nan for text in match.groups()[1:])
    if match["family"].upper() == "A":
        return starts
    return 3600.0 / (start_s + third) if np.isnan(starts) and start_s + third > 0 else np.nan


def duty_code_starts_per_hour(*, duty_code: np.ndarray) -> np.ndarray:
    """Starts an hour that the device's rating code allows.

    Parameters
    ----------
    duty_code : rating code of a semiconductor controller, as marked

    Returns
    -------
    duty_code_starts_per_hour : NaN for a code that cannot be read [1/h]

    Notes
    -----
    AC-53a: X-Tx : F-S says S, the starts an hour, itself. AC-53b: X-Tx : OFF says the shortest
    off-time, so that 3600/(Tx + OFF) starts fit into an hour. Spaces and colons vary on plates.

    References
    ----------
    IEC 60947-4-2, rating codes of semiconductor controllers.

    Examples
    --------
    >>> float(duty_code_starts_per_hour(duty_code="78 A: AC-53a 3.5-15 : 50-10"))
    10.0
    >>> float(duty_code_starts_per_hour(duty_code="AC-53b: 3.5-15 : 345"))
    10.0
    """
    return read_each(duty_code, _starts_of_code)


def duty_code_multiple(*, duty_code: np.ndarray) -> np.ndarray:
    """Start current that a device's rating code allows, of its rated current.

    Parameters
    ----------
    duty_code : rating code as marked

    Returns
    -------
    duty_code_multiple : X of AC-53a X-Tx or AC-53b X-Tx; NaN when it is no such code

    References
    ----------
    IEC 60947-4-2, rating codes of semiconductor controllers.

    Examples
    --------
    >>> float(duty_code_multiple(duty_code="AC-53b: 3.5-15 : 345"))
    3.5
    """
    return read_each(duty_code, lambda code: _current_and_time(code)[0])


def duty_code_time_s(*, duty_code: np.ndarray) -> np.ndarray:
    """Time for which a device's rating code allows that current.

    Parameters
    ----------
    duty_code : rating code as marked

    Returns
    -------
    duty_code_time_s : Tx of AC-53a X-Tx or AC-53b X-Tx; NaN when it is no such code [s]

    References
    ----------
    IEC 60947-4-2, rating codes of semiconductor controllers.

    Examples
    --------
    >>> float(duty_code_time_s(duty_code="AC-53b: 3.5-15 : 345"))
    15.0
    """
    return read_each(duty_code, lambda code: _current_and_time(code)[1])


def _current_and_time(code: str) -> tuple[float, float]:
    match = _DUTY_CODE.search(code)
    if not match:
        return np.nan, np.nan
    return tuple(float(text.replace(",", ".")) for text in match.groups()[1:3])


def contactor_life_a(
    *, electrical_life_ops: np.ndarray, starts_per_hour: np.ndarray, run_hours_per_year: np.ndarray
) -> np.ndarray:
    """Years that a contactor's contacts last, were every hour of running the busiest.

    Parameters
    ----------
    electrical_life_ops : makes and breaks that the contacts last at rated current
    starts_per_hour : starts asked in the busiest hour [1/h]
    run_hours_per_year : hours run in a year [h]

    Returns
    -------
    contactor_life_a : at least so long; infinite where it never starts [a]

    Notes
    -----
    Makes and breaks over starts a year. Inching breaks locked-rotor current and wears many times
    faster, which the maker's figure for AC-3 does not hold.

    References
    ----------
    IEC 60947-4-1, annex on electrical durability (from memory); the quotient is arithmetic.

    Examples
    --------
    >>> float(contactor_life_a(electrical_life_ops=1.0e6, starts_per_hour=10.0,
    ...                        run_hours_per_year=5000.0))
    20.0
    """
    starts = np.asarray(starts_per_hour, float) * np.asarray(run_hours_per_year, float)
    with np.errstate(divide="ignore"):
        return np.asarray(electrical_life_ops, float) / starts


def _at_poles(table: Table, quantity: str, power_hp: np.ndarray, poles: np.ndarray) -> np.ndarray:
    """Of a size between two rows, the larger one's: it is started less often and rests longer."""
    keys, power = table.columns["power_hp"], np.asarray(power_hp, float)
    above = np.searchsorted(keys, power / (1 + STANDARD_SIZE))
    inside = (power >= keys[0] * (1 - STANDARD_SIZE)) & (above < len(keys))
    return table.among(np.where(inside, above, -1), {p: f"{quantity}_{p}_pole" for p in (2, 4, 6)}, poles)


def standard_starts_allowed_per_hour(
    *, power_hp: np.ndarray, poles: np.ndarray, load_inertia_kgm2: np.ndarray, starts_per_hour_table: Table
) -> np.ndarray:
    """Starts an hour that the standard's table promises of a motor with this load.

    Parameters
    ----------
    power_hp : rated output power [hp]
    poles : number of poles; the table has 2, 4 and 6
    load_inertia_kgm2 : inertia of the load at the motor's speed [kg·m²]
    starts_per_hour_table : A, B and C by power and poles

    Returns
    -------
    standard_starts_allowed_per_hour : NaN outside the table, 1 to 250 hp [1/h]

    Notes
    -----
    min(A, B/Wk²), Wk² in lb·ft². The table holds for a load torque that rises with the square of
    speed to 100 % at rated speed, and for Wk² up to B: a result below 1 an hour says that the
    standard does not promise even one start.

    References
    ----------
    NEMA MG 10, Table 2-3; NEMA MG 1, 12.54.

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> starts = standard_starts_allowed_per_hour(
    ...     power_hp=25.0, poles=4.0, load_inertia_kgm2=50 * KGM2_PER_LBFT2,
    ...     starts_per_hour_table=load_tables()["starts-per-hour"])
    >>> round(float(starts), 2)
    2.44
    """
    wk2 = np.asarray(load_inertia_kgm2, float) / KGM2_PER_LBFT2
    most = _at_poles(starts_per_hour_table, "starts", power_hp, poles)
    times_wk2 = _at_poles(starts_per_hour_table, "starts_wk2", power_hp, poles)
    return np.minimum(most, times_wk2 / wk2)


def motor_rest_needed_s(*, power_hp: np.ndarray, poles: np.ndarray, starts_per_hour_table: Table) -> np.ndarray:
    """Rest between two starts that the standard's table asks.

    Parameters
    ----------
    power_hp : rated output power [hp]
    poles : number of poles; the table has 2, 4 and 6
    starts_per_hour_table : A, B and C by power and poles

    Returns
    -------
    motor_rest_needed_s : C, at rest or running off; NaN outside the table [s]

    References
    ----------
    NEMA MG 10, Table 2-3.

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> rest = motor_rest_needed_s(power_hp=25.0, poles=4.0,
    ...                            starts_per_hour_table=load_tables()["starts-per-hour"])
    >>> float(rest)
    58.0
    """
    return _at_poles(starts_per_hour_table, "rest_s", power_hp, poles)
