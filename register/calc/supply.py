"""What lies between the source and the motor's terminals, as impedances on the motor's own base."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np


@dataclass(frozen=True)
class Supply:
    """Source and cable of each motor: impedances and voltage, per unit of the motor's rating.

    z_s lies before the bus, z_c between bus and motor; v_oc is the voltage of the bus before the
    start. NaN is unknown.
    """

    z_s: np.ndarray
    z_c: np.ndarray
    v_oc: np.ndarray

    def take(self, index: np.ndarray | slice) -> Supply:
        """The motors at that index, mask or slice."""
        return Supply(**{f.name: getattr(self, f.name)[index] for f in fields(self)})


def thevenin(
    *,
    bus_voltage_v: np.ndarray,
    upstream_fault_mva: np.ndarray,
    x_over_r: np.ndarray,
    transformer_kva: np.ndarray,
    transformer_z_pct: np.ndarray,
    transformer_x_over_r: np.ndarray,
    fault_current_ka: np.ndarray,
    cable_length_m: np.ndarray,
    cable_r_ohm_per_km: np.ndarray,
    cable_x_ohm_per_km: np.ndarray,
    s_base_kva: np.ndarray,
    v_base_v: np.ndarray,
) -> Supply:
    """The source behind the bus as one impedance, and the cable from bus to motor as another.

    Parameters
    ----------
    bus_voltage_v : voltage of the bus before the start, line to line [V]
    upstream_fault_mva : fault level upstream of the transformer; inf for a stiff one [MVA]
    x_over_r : X/R ratio of the grid upstream, or of all behind the bus if only its fault current is
        known
    transformer_kva : rating of the transformer that feeds the bus [kVA]
    transformer_z_pct : impedance of that transformer [%]
    transformer_x_over_r : X/R ratio of that transformer
    fault_current_ka : three-phase fault current at the bus; inf for a stiff one [kA]
    cable_length_m : length of the motor cable; 0 for none [m]
    cable_r_ohm_per_km : resistance of the cable, a phase [ohm/km]
    cable_x_ohm_per_km : reactance of the cable, a phase [ohm/km]
    s_base_kva : apparent power of the motor at full load [kVA]
    v_base_v : rated voltage of the motor [V]

    Returns
    -------
    Supply : NaN where neither grid and transformer nor the fault current are known

    Notes
    -----
    Z = V²/S upstream, z·V²/S of the transformer, V/(√3·I) from the fault current, all at the bus.
    Grid and transformer go before the fault current: a figure worked out for breakers is a largest
    one and flatters the dip. What runs already on the bus is left out.

    Examples
    --------
    >>> nan = float("nan")
    >>> supply = thevenin(
    ...     bus_voltage_v=480.0, upstream_fault_mva=nan, x_over_r=0.75, transformer_kva=nan,
    ...     transformer_z_pct=nan, transformer_x_over_r=nan, fault_current_ka=10.0,
    ...     cable_length_m=0.0, cable_r_ohm_per_km=nan, cable_x_ohm_per_km=nan,
    ...     s_base_kva=100.0, v_base_v=480.0)
    >>> complex(supply.z_s[0].round(6))  # 100 kVA over √3·480 V·10 kA
    (0.009623+0.007217j)
    """
    volts = _array(bus_voltage_v)
    with np.errstate(all="ignore"):
        grid = _split(volts**2 / (_array(upstream_fault_mva) * 1e6), x_over_r)
        share = _array(transformer_z_pct) / 100.0
        transformer = _split(share * volts**2 / (_array(transformer_kva) * 1e3), transformer_x_over_r)
        by_fault = _split(volts / (np.sqrt(3.0) * _array(fault_current_ka) * 1e3), x_over_r)
        behind = grid + transformer
        behind = np.where(np.isnan(behind), by_fault, behind)
        per_km = _array(cable_r_ohm_per_km) + 1j * _array(cable_x_ohm_per_km)
        length = _array(cable_length_m)
        cable = np.where(length == 0.0, 0.0, per_km * length / 1000.0)
        ohm = _array(v_base_v) ** 2 / (_array(s_base_kva) * 1e3)
        z_s, z_c, v_oc = np.broadcast_arrays(behind / ohm, cable / ohm, volts / _array(v_base_v))
    return Supply(z_s=z_s, z_c=z_c, v_oc=v_oc)


def _array(values: np.ndarray) -> np.ndarray:
    return np.atleast_1d(np.asarray(values, float))


def _split(size: np.ndarray, x_over_r: np.ndarray) -> np.ndarray:
    """An impedance of that size and X/R ratio; one of no size needs no ratio."""
    direction = (1.0 + 1j * _array(x_over_r)) / np.hypot(1.0, _array(x_over_r))
    return np.where(size == 0.0, 0.0, size * direction)
