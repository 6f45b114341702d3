"""What a bus asks and gives as a whole: the protection before its motors, its fault current."""

from __future__ import annotations

import numpy as np


def feeder_limit_a(*, feeder_share_a: np.ndarray, all_code_current_a: np.ndarray) -> float:
    """Largest protection that the code permits before a group of motors.

    Parameters
    ----------
    feeder_share_a : branch protection by which each motor of the bus counts [A]
    all_code_current_a : current of each device's motors by which the code sizes line protection [A]

    Returns
    -------
    feeder_limit_a : NaN where anything of any motor is unknown, or where there is none [A]

    Notes
    -----
    The largest branch protection, and the currents of all the other motors. Of several with the
    same largest one, one counts as the largest: here the motor of least current. The sum is not
    rounded up to a standard rating. Loads other than motors are added by 430.63 and not here.

    References
    ----------
    NFPA 70-2023, 430.62(A); Annex D, example D8 (2008 text seen).

    Examples
    --------
    >>> feeder_limit_a(feeder_share_a=[110.0, 60.0, 60.0], all_code_current_a=[34.0, 40.0, 40.0])
    190.0
    """
    branch, current = np.asarray(feeder_share_a, float), np.asarray(all_code_current_a, float)
    if not branch.size or np.isnan(branch).any() or np.isnan(current).any():
        return float("nan")
    largest = branch.max()
    return float(largest + current.sum() - current[branch == largest].min())


def feeder_limit_known_a(*, feeder_share_a: np.ndarray, all_code_current_a: np.ndarray) -> float:
    """The same of the motors of which enough is known: no more motors can make it smaller.

    Parameters
    ----------
    feeder_share_a : branch protection by which each motor of the bus counts [A]
    all_code_current_a : current of each device's motors by which the code sizes line protection [A]

    Returns
    -------
    feeder_limit_known_a : NaN where no motor is known well enough [A]

    Notes
    -----
    A further motor adds its current, or becomes the largest and adds the current of the one before.

    Examples
    --------
    >>> feeder_limit_known_a(feeder_share_a=[110.0, 60.0, float("nan")],
    ...                      all_code_current_a=[34.0, 40.0, 40.0])
    150.0
    """
    branch, current = np.asarray(feeder_share_a, float), np.asarray(all_code_current_a, float)
    known = ~(np.isnan(branch) | np.isnan(current))
    return feeder_limit_a(feeder_share_a=branch[known], all_code_current_a=current[known])


def transformer_fault_ka(
    *, transformer_kva: np.ndarray, transformer_z_pct: np.ndarray, bus_voltage_v: np.ndarray
) -> np.ndarray:
    """Fault current that a transformer lets through from a grid without limit.

    Parameters
    ----------
    transformer_kva : rating of the transformer that feeds the bus [kVA]
    transformer_z_pct : impedance of that transformer [%]
    bus_voltage_v : nominal system voltage of the bus [V]

    Returns
    -------
    transformer_fault_ka : three-phase fault current at its terminals [kA]

    Notes
    -----
    I = S / (√3·V·z). Motors that run feed the fault as well and are not counted in.

    References
    ----------
    IEEE 141-1993, chapter 4 (from memory).

    Examples
    --------
    >>> round(float(transformer_fault_ka(transformer_kva=1500.0, transformer_z_pct=5.75,
    ...                                  bus_voltage_v=480.0)), 2)
    31.38
    """
    share = np.asarray(transformer_z_pct, float) / 100.0
    return np.asarray(transformer_kva, float) / (np.sqrt(3.0) * bus_voltage_v * share)


def source_fault_ka(
    *,
    transformer_kva: np.ndarray,
    transformer_z_pct: np.ndarray,
    bus_voltage_v: np.ndarray,
    upstream_fault_mva: np.ndarray,
) -> np.ndarray:
    """Fault current from the grid upstream through a transformer.

    Parameters
    ----------
    transformer_kva : rating of the transformer that feeds the bus [kVA]
    transformer_z_pct : impedance of that transformer [%]
    bus_voltage_v : nominal system voltage of the bus [V]
    upstream_fault_mva : fault level upstream of the transformer [MVA]

    Returns
    -------
    source_fault_ka : three-phase fault current at the transformer's terminals [kA]

    Notes
    -----
    Fault levels of grid and transformer in series: 1/S = 1/S_grid + z/S_transformer. Both are taken
    as pure reactances, which is on the high side; so is leaving out the cable to the bus.

    References
    ----------
    IEEE 141-1993, chapter 4, the MVA method (from memory).

    Examples
    --------
    >>> round(float(source_fault_ka(transformer_kva=1500.0, transformer_z_pct=5.75,
    ...                             bus_voltage_v=480.0, upstream_fault_mva=350.0)), 2)
    29.2
    """
    stiff = transformer_fault_ka(
        transformer_kva=transformer_kva, transformer_z_pct=transformer_z_pct, bus_voltage_v=bus_voltage_v
    )
    grid = np.asarray(upstream_fault_mva, float) * 1e3 / (np.sqrt(3.0) * bus_voltage_v)
    return stiff * grid / (stiff + grid)
