"""A motor's winding: its leads and voltages, and the reactive power that magnetises it."""

from __future__ import annotations

import numpy as np

from register.calc.standard_table import Table
from register.calc.word_match import said

SAME_SYSTEM = 0.02  # how far a bus lies from the nominal voltage that it is meant for


def usual_delta_voltage_v(*, motor_voltage_v: np.ndarray, motor_leads: np.ndarray, practice: np.ndarray) -> np.ndarray:
    """Voltage for which a winding with both ends led out is usually rated in delta.

    Parameters
    ----------
    motor_voltage_v : rated voltage on the nameplate [V]
    motor_leads : leads in the terminal box
    practice : body of practice

    Returns
    -------
    usual_delta_voltage_v : the nameplate's in the US, NaN where a plate gives the voltage in star or delta [V]

    Notes
    -----
    A US motor of six or twelve leads that is marked with one voltage runs in delta on it (common practice).

    Examples
    --------
    >>> float(usual_delta_voltage_v(motor_voltage_v=460.0, motor_leads=6, practice="us"))
    460.0
    """
    us_delta = said(practice, "us") & _both_ends(motor_leads)
    return np.where(us_delta, np.asarray(motor_voltage_v, float), np.nan)


def delta_leads(*, motor_leads: np.ndarray) -> np.ndarray:
    """Whether both ends of each phase are led out, so that star-delta can be wired.

    Parameters
    ----------
    motor_leads : leads in the terminal box

    Returns
    -------
    delta_leads : yes for 6 or 12, no for 3 or 9

    References
    ----------
    "Wye-delta on 9-lead motors", a public discussion; nine leads have the star closed inside.

    Examples
    --------
    >>> str(delta_leads(motor_leads=9))
    'no'
    """
    answer = np.where(_both_ends(motor_leads), "yes", "no").astype(object)
    return np.where(np.isnan(np.asarray(motor_leads, float)), None, answer)


def _both_ends(leads: np.ndarray) -> np.ndarray:
    return np.isin(np.asarray(leads, float), (6.0, 12.0))


def voltage_pair(
    *, practice: np.ndarray, bus_voltage_v: np.ndarray, motor_voltage_v: np.ndarray, system_voltages_table: Table
) -> np.ndarray:
    """Whether the nameplate voltage is the standard one for the system's.

    Parameters
    ----------
    practice : body of practice
    bus_voltage_v : nominal system voltage of the bus [V]
    motor_voltage_v : rated voltage on the nameplate [V]
    system_voltages_table : nameplate voltages for each nominal voltage

    Returns
    -------
    voltage_pair : yes or no; None on a system that the table does not have

    References
    ----------
    ANSI C84.1; NEMA MG 1; IEC 60038 (from memory above 600 V and for IEC).

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> str(voltage_pair(practice="us", bus_voltage_v=208.0, motor_voltage_v=230.0,
    ...                  system_voltages_table=load_tables()["system-voltages"]))
    'no'
    """
    table = system_voltages_table.columns
    bus, plate = np.broadcast_arrays(np.asarray(bus_voltage_v, float), np.asarray(motor_voltage_v, float))
    pair = np.full(bus.shape, None, object)
    for where, system, low, high in zip(*(table[n] for n in ("practice", "system_v", "from_v", "to_v")), strict=True):
        on_it = said(practice, where) & (np.abs(bus - system) <= SAME_SYSTEM * system) & ~np.isnan(plate)
        pair = np.where(on_it, np.where((plate >= low) & (plate <= high), "yes", "no").astype(object), pair)
    return pair


def full_load_kvar(*, power_kw: np.ndarray, efficiency_pct: np.ndarray, power_factor: np.ndarray) -> np.ndarray:
    """Reactive power that the motor takes at full load.

    Parameters
    ----------
    power_kw : rated output power [kW]
    efficiency_pct : efficiency at full load [%]
    power_factor : power factor at full load

    Returns
    -------
    full_load_kvar : [kvar]

    Notes
    -----
    Q = P/η · tan φ.

    Examples
    --------
    >>> round(float(full_load_kvar(power_kw=7.46, efficiency_pct=91.7, power_factor=0.82)), 2)
    5.68
    """
    active = np.asarray(power_kw, float) / (np.asarray(efficiency_pct, float) / 100.0)
    cosine = np.asarray(power_factor, float)
    return active * np.sqrt(1.0 - cosine**2) / cosine


def no_load_kvar(*, motor_voltage_v: np.ndarray, no_load_current_a: np.ndarray) -> np.ndarray:
    """Reactive power with which the motor magnetises.

    Parameters
    ----------
    motor_voltage_v : rated voltage on the nameplate [V]
    no_load_current_a : current without load [A]

    Returns
    -------
    no_load_kvar : [kvar]

    Notes
    -----
    Q = √3·V·I₀; the few watts of loss are left out, which is on the high side by under 2 %.

    Examples
    --------
    >>> round(float(no_load_kvar(motor_voltage_v=460.0, no_load_current_a=4.4)), 2)
    3.51
    """
    return np.sqrt(3.0) * np.asarray(motor_voltage_v, float) * np.asarray(no_load_current_a, float) / 1000.0
