"""Several motors that start again on one bus after a power dip: at once, or staggered."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from register.calc.machine import Machine, admittance
from register.calc.supply import Supply


@dataclass(frozen=True)
class Sequence:
    """When each motor of a bus begins its start, so that no dip is deeper than allowed.

    (n,): `begins_s` after the bus is back, NaN where the motor may not be started within the limit
    at all [s]; `dip_pct` the deepest dip as it begins, of the bus voltage without motors [%].
    """

    begins_s: np.ndarray
    dip_pct: np.ndarray


def bus_loading(
    *, machine: Machine, supply: Supply, slip: np.ndarray, limit_xfla: np.ndarray | float = np.inf
) -> np.ndarray:
    """Share of the source's impedance in each motor's, at that slip: the same on any base.

    Parameters
    ----------
    machine, supply : the motors of one bus, each with the bus's source on its own base
    slip : 1 at locked rotor
    limit_xfla : current that a device holds it to; it draws that at full voltage, and in
        proportion below, at the motor's own power factor [×FLA]

    Returns
    -------
    complex Z_s·Y of each motor; 1/|1 + ΣZ_s·Y| is left of the bus voltage
    """
    y, _ = admittance(machine, np.broadcast_to(slip, np.shape(machine.g)))
    with np.errstate(invalid="ignore"):
        y = y / (1.0 + supply.z_c * y)
        drawn = supply.v_oc * np.abs(y)
        return supply.z_s * y * np.minimum(1.0, limit_xfla / drawn)


def group_dip_pct(*, machine: Machine, supply: Supply, limit_xfla: np.ndarray | float = np.inf) -> float:
    """Dip of a bus whose motors all start again at once, from standstill.

    Parameters
    ----------
    machine, supply : the motors of one bus, each with the bus's source on its own base
    limit_xfla : current that a device holds each to [×FLA]

    Returns
    -------
    of the bus voltage without motors; NaN if anything of any motor is unknown [%]

    Notes
    -----
    Every motor is a constant impedance, that of its locked rotor.
    """
    standing = bus_loading(machine=machine, supply=supply, slip=1.0, limit_xfla=limit_xfla)
    return float(_dip_pct(np.where(machine.ok, standing, np.nan).sum()))


def sequence(
    *,
    machine: Machine,
    supply: Supply,
    start_s: np.ndarray,
    dip_limit_pct: float,
    limit_xfla: np.ndarray | float = np.inf,
    pause_s: float = 0.0,
) -> Sequence:
    """Stagger the starts on one bus, the largest first, so that each keeps within the dip allowed.

    Parameters
    ----------
    machine, supply : the motors of one bus, each with the bus's source on its own base
    start_s : time of each start, worked out at the lowest voltage that the limit allows: others
        start at the same time [s]
    dip_limit_pct : deepest dip allowed on the bus [%]
    limit_xfla : current that a device holds each to [×FLA]
    pause_s : time to wait after a start before its place is given to another [s]

    Returns
    -------
    Sequence : NaN for a motor that cannot start, of which something is unknown, or that dips the
        bus too deep whatever the order

    Notes
    -----
    Whenever a start is over the motor counts as at full load, and each of those that wait is begun,
    by size, if it fits. No process order is heard: which machine must run before which is for
    those who run the plant.
    """
    standing = bus_loading(machine=machine, supply=supply, slip=1.0, limit_xfla=limit_xfla)
    running = bus_loading(machine=machine, supply=supply, slip=machine.s_fl)
    known = machine.ok & np.isfinite(start_s) & np.isfinite(standing)
    waiting = sorted(np.flatnonzero(known), key=lambda i: -abs(standing[i]))
    begins, dips = np.full(len(known), np.nan), np.full(len(known), np.nan)
    now, settled, starting = 0.0, 0.0j, {}
    while waiting:
        left = []
        for motor in waiting:
            dip = _dip_pct(settled + standing[[*starting, motor]].sum())
            if dip > dip_limit_pct:
                left.append(motor)
                continue
            starting[motor] = now + start_s[motor] + pause_s
            begins[motor], dips[motor] = now, dip
        waiting = left
        if not starting:
            break
        now = min(starting.values())
        settled += running[[m for m, end in starting.items() if end <= now]].sum()
        starting = {m: end for m, end in starting.items() if end > now}
    return Sequence(begins, dips)


def _dip_pct(loading: np.ndarray) -> np.ndarray:
    """Dip of the bus with that sum of Z_s·Y on it."""
    return 100.0 * (1.0 - 1.0 / np.abs(1.0 + loading))
