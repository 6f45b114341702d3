"""What the tables of the US code say of a nameplate: table current, code letter."""

from __future__ import annotations

import numpy as np

from register.calc.standard_table import Table
from register.calc.word_match import said

# A motor is of a standard size when its power lies this near to one. Sizes in kW of the IEC series
# lie up to 1.7 % from the size in horsepower that they stand for; the next sizes are 12 % away.
STANDARD_SIZE = 0.02

# Rated motor voltages that each column of the current tables serves (NFPA 70, Table 430.250).
VOLTAGES = {
    "at_115_v": (110, 120),
    "at_200_v": (200, 200),
    "at_208_v": (208, 208),
    "at_230_v": (220, 240),
    "at_460_v": (440, 480),
    "at_575_v": (550, 600),
    "at_2300_v": (2300, 2300),
}


def table_flc_a(
    *,
    power_hp: np.ndarray,
    motor_voltage_v: np.ndarray,
    phases: np.ndarray,
    practice: np.ndarray,
    full_load_current_table: Table,
    full_load_current_single_phase_table: Table,
) -> np.ndarray:
    """Full-load current of the code table for this power and voltage.

    Parameters
    ----------
    power_hp : rated output power [hp]
    motor_voltage_v : rated voltage on the nameplate [V]
    phases : 3, or 1
    practice : body of practice; the table is one of the US code
    full_load_current_table : three-phase motors
    full_load_current_single_phase_table : single-phase motors

    Returns
    -------
    table_flc_a : NaN outside the table, which is never extrapolated [A]

    Notes
    -----
    The row is that of the nearest standard size within 2 %; of a size between two rows the current
    is interpolated (430.6(A)(1)). The column is that of the rated voltage.

    References
    ----------
    NFPA 70-2023, 430.6(A)(1), Tables 430.248 and 430.250.

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> t = load_tables()
    >>> current = table_flc_a(
    ...     power_hp=50.0, motor_voltage_v=460.0, phases=3.0, practice="us",
    ...     full_load_current_table=t["full-load-current"],
    ...     full_load_current_single_phase_table=t["full-load-current-single-phase"])
    >>> float(current)
    65.0
    """
    three = _current(full_load_current_table, power_hp, motor_voltage_v)
    one = _current(full_load_current_single_phase_table, power_hp, motor_voltage_v)
    current = np.where(np.equal(phases, 3), three, np.where(np.equal(phases, 1), one, np.nan))
    return np.where(said(practice, "us"), current, np.nan)


def _current(table: Table, power_hp: np.ndarray, volts: np.ndarray) -> np.ndarray:
    rows = table.near("power_hp", power_hp, within=STANDARD_SIZE)
    volts, power = np.asarray(volts, float), np.asarray(power_hp, float)
    current = np.full(np.broadcast_shapes(rows.shape, volts.shape), np.nan)
    for column, (low, high) in VOLTAGES.items():
        if column in table.columns:
            here = (low <= volts) & (volts <= high)
            there = np.isfinite(table.columns[column])
            sizes, currents = table.columns["power_hp"][there], table.columns[column][there]
            between = np.interp(power, sizes, currents, left=np.nan, right=np.nan)
            found = table.at(rows, column)
            current = np.where(here, np.where(rows < 0, between, found), current)
    return current


def fla_to_table_ratio(*, fla_a: np.ndarray, table_flc_a: np.ndarray) -> np.ndarray:
    """Nameplate current over the table's current.

    Parameters
    ----------
    fla_a : full-load current on the nameplate [A]
    table_flc_a : full-load current of the code table [A]

    Returns
    -------
    fla_to_table_ratio : near 0.8 to 1.0 for a motor of two to six poles

    Examples
    --------
    >>> float(fla_to_table_ratio(fla_a=12.6, table_flc_a=14.0))
    0.9
    """
    return np.asarray(fla_a, float) / np.asarray(table_flc_a, float)


def code_current_a(
    *, table_flc_a: np.ndarray, fla_a: np.ndarray, speed_rpm: np.ndarray, practice: np.ndarray
) -> np.ndarray:
    """Full-load current by which the code sizes conductors and line protection.

    Parameters
    ----------
    table_flc_a : full-load current of the code table [A]
    fla_a : full-load current on the nameplate [A]
    speed_rpm : rated speed [r/min]
    practice : body of practice; NaN where it is not the US code

    Returns
    -------
    code_current_a : the table's; for a motor built for a low speed, the nameplate's [A]

    Notes
    -----
    The code's "less than 1200 r/min" is read as the speed class: a 60 Hz motor that turns at
    900 r/min or less has eight poles or more. Motors for high torque and motors of several speeds,
    whose nameplate counts as well, does not follow from the register.

    References
    ----------
    NFPA 70-2023, 430.6(A)(1).

    Examples
    --------
    >>> float(code_current_a(table_flc_a=65.0, fla_a=61.0, speed_rpm=1775.0, practice="us"))
    65.0
    >>> float(code_current_a(table_flc_a=65.0, fla_a=72.0, speed_rpm=880.0, practice="us"))
    72.0
    """
    speed = np.asarray(speed_rpm, float)
    current = np.where(speed > 900, table_flc_a, np.where(speed <= 900, fla_a, np.nan))
    return np.where(said(practice, "us"), current, np.nan)


def code_letter_low_kva_per_hp(*, code_letter: np.ndarray, code_letters_table: Table) -> np.ndarray:
    """Lower limit of the code letter's band, which belongs to it.

    Parameters
    ----------
    code_letter : locked-rotor code letter
    code_letters_table : the bands

    Returns
    -------
    code_letter_low_kva_per_hp : [kVA/hp]

    References
    ----------
    NFPA 70-2023, Table 430.7(B); NEMA MG 1, 10.37.2.

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> bands = load_tables()["code-letters"]
    >>> float(code_letter_low_kva_per_hp(code_letter="G", code_letters_table=bands))
    5.6
    """
    return code_letters_table.at(code_letters_table.of("code_letter", code_letter), "from_kva_per_hp")


def code_letter_high_kva_per_hp(*, code_letter: np.ndarray, code_letters_table: Table) -> np.ndarray:
    """Upper limit of the code letter's band, which belongs to the next.

    Parameters
    ----------
    code_letter : locked-rotor code letter
    code_letters_table : the bands

    Returns
    -------
    code_letter_high_kva_per_hp : infinite for the last letter [kVA/hp]

    References
    ----------
    NFPA 70-2023, Table 430.7(B); NEMA MG 1, 10.37.2.

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> bands = load_tables()["code-letters"]
    >>> float(code_letter_high_kva_per_hp(code_letter="G", code_letters_table=bands))
    6.3
    """
    return code_letters_table.at(code_letters_table.of("code_letter", code_letter), "below_kva_per_hp")
