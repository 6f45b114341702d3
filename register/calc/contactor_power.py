"""The largest motor that a contactor of a NEMA size starts."""

from __future__ import annotations

import numpy as np

from register.calc.standard_table import Table
from register.calc.word_match import said
from register.columns.units import KW_PER_HP

# Rated motor voltages that each column of the table serves.
VOLTAGES = {"at_200_v": (200, 208), "at_230_v": (220, 240), "at_460_v": (440, 600)}


def power_at_bus_kw(*, nema_size: np.ndarray, motor_voltage_v: np.ndarray, nema_sizes_table: Table) -> np.ndarray:
    """Largest motor that a contactor of this NEMA size starts at the motor's voltage.

    Parameters
    ----------
    nema_size : NEMA size of the contactor
    motor_voltage_v : rated voltage on the nameplate [V]
    nema_sizes_table : horsepower by size and voltage

    Returns
    -------
    power_at_bus_kw : NaN outside the table, 0 for a contactor without a NEMA size [kW]

    References
    ----------
    NEMA ICS 2, ratings of contactors; NFPA 70-2023, 430.83(A)(1).

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> most = power_at_bus_kw(nema_size="1", motor_voltage_v=230.0,
    ...                        nema_sizes_table=load_tables()["nema-sizes"])
    >>> round(float(most), 2)
    5.59
    """
    rows = nema_sizes_table.of("nema_size", nema_size)
    volts = np.asarray(motor_voltage_v, float)
    horsepower = np.full(np.broadcast_shapes(rows.shape, volts.shape), np.nan)
    for column, (low, high) in VOLTAGES.items():
        horsepower = np.where((low <= volts) & (volts <= high), nema_sizes_table.at(rows, column), horsepower)
    return np.where(said(nema_size, "none"), 0.0 * volts, horsepower) * KW_PER_HP
