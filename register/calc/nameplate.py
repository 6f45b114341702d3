"""What a nameplate implies, and whether it agrees with itself."""

from __future__ import annotations

import numpy as np

from register.calc.word_match import known, said
from register.columns.units import KW_PER_HP


def power_hp(*, power_kw: np.ndarray) -> np.ndarray:
    """Rated output power in mechanical horsepower.

    Parameters
    ----------
    power_kw : rated output power [kW]

    Returns
    -------
    power_hp : [hp]

    Notes
    -----
    1 hp = 550 ft·lbf/s = 0.745 699 87 kW (NIST SP 811, appendix B.8).

    Examples
    --------
    >>> round(float(power_hp(power_kw=74.57)), 2)
    100.0
    """
    return np.asarray(power_kw, float) / KW_PER_HP


def synchronous_speed_rpm(*, motor_frequency_hz: np.ndarray, poles: np.ndarray) -> np.ndarray:
    """Synchronous speed from frequency and poles.

    Parameters
    ----------
    motor_frequency_hz : rated frequency [Hz]
    poles : number of poles

    Returns
    -------
    synchronous_speed_rpm : [r/min]

    Notes
    -----
    n_s = 120·f/p.

    Examples
    --------
    >>> float(synchronous_speed_rpm(motor_frequency_hz=60.0, poles=4.0))
    1800.0
    """
    return 120.0 * np.asarray(motor_frequency_hz, float) / np.asarray(poles, float)


def poles_from_speed(*, motor_frequency_hz: np.ndarray, speed_rpm: np.ndarray) -> np.ndarray:
    """Poles whose synchronous speed lies next above the rated speed.

    Parameters
    ----------
    motor_frequency_hz : rated frequency [Hz]
    speed_rpm : rated speed [r/min]

    Returns
    -------
    poles_from_speed : even, 2 to 48; NaN where no such speed lies within 12 % above

    Notes
    -----
    An induction motor runs a little below 120·f/p, so the largest even p with 120·f/p > n is its
    number of poles, unless the slip would be larger than any ordinary motor's.

    Examples
    --------
    >>> float(poles_from_speed(motor_frequency_hz=60.0, speed_rpm=1765.0))
    4.0
    """
    frequency, speed = np.asarray(motor_frequency_hz, float), np.asarray(speed_rpm, float)
    poles = 2.0 * np.ceil(120.0 * frequency / np.where(speed > 0, speed, np.nan) / 2.0 - 1.0)
    slip = 1.0 - speed * poles / (120.0 * frequency)
    return np.where((poles >= 2) & (poles <= 48) & (slip > 0) & (slip <= 0.12), poles, np.nan)


def slip_pct(*, synchronous_speed_rpm: np.ndarray, speed_rpm: np.ndarray) -> np.ndarray:
    """Slip at full load.

    Parameters
    ----------
    synchronous_speed_rpm : [r/min]
    speed_rpm : rated speed [r/min]

    Returns
    -------
    slip_pct : of synchronous speed [%]

    Examples
    --------
    >>> float(slip_pct(synchronous_speed_rpm=1800.0, speed_rpm=1755.0))
    2.5
    """
    synchronous = np.asarray(synchronous_speed_rpm, float)
    return 100.0 * (synchronous - np.asarray(speed_rpm, float)) / synchronous


def _volts(motor_voltage_v: np.ndarray, phases: np.ndarray) -> np.ndarray:
    """Voltage that turns a line current into apparent power: √3·V with three phases, V with one."""
    phases = np.asarray(phases, float)
    factor = np.where(phases == 3, np.sqrt(3.0), np.where(phases == 1, 1.0, np.nan))
    return factor * np.asarray(motor_voltage_v, float)


def fla_from_power_a(
    *,
    power_kw: np.ndarray,
    motor_voltage_v: np.ndarray,
    efficiency_pct: np.ndarray,
    power_factor: np.ndarray,
    phases: np.ndarray,
) -> np.ndarray:
    """Full-load current worked out from power, voltage, efficiency and power factor.

    Parameters
    ----------
    power_kw : rated output power [kW]
    motor_voltage_v : rated voltage, line to line [V]
    efficiency_pct : efficiency at full load [%]
    power_factor : power factor at full load
    phases : 3, or 1

    Returns
    -------
    fla_from_power_a : [A]

    Notes
    -----
    I = P/(√3·V·η·cos φ); with one phase, I = P/(V·η·cos φ).

    Examples
    --------
    >>> current = fla_from_power_a(power_kw=7.46, motor_voltage_v=460.0, efficiency_pct=91.7,
    ...                            power_factor=0.82, phases=3.0)
    >>> round(float(current), 2)
    12.45
    """
    use = np.asarray(efficiency_pct, float) / 100.0 * np.asarray(power_factor, float)
    return 1000.0 * np.asarray(power_kw, float) / (_volts(motor_voltage_v, phases) * use)


def fla_mismatch_pct(*, fla_a: np.ndarray, fla_from_power_a: np.ndarray) -> np.ndarray:
    """Nameplate current away from the one worked out, of that one.

    Parameters
    ----------
    fla_a : full-load current on the nameplate [A]
    fla_from_power_a : full-load current worked out [A]

    Returns
    -------
    fla_mismatch_pct : never negative [%]

    Examples
    --------
    >>> float(fla_mismatch_pct(fla_a=110.0, fla_from_power_a=100.0))
    10.0
    """
    worked_out = np.asarray(fla_from_power_a, float)
    return 100.0 * np.abs(np.asarray(fla_a, float) - worked_out) / worked_out


def implied_efficiency_factor(
    *, power_kw: np.ndarray, motor_voltage_v: np.ndarray, fla_a: np.ndarray, phases: np.ndarray
) -> np.ndarray:
    """The product of efficiency and power factor that power, voltage and current imply.

    Parameters
    ----------
    power_kw : rated output power [kW]
    motor_voltage_v : rated voltage, line to line [V]
    fla_a : full-load current on the nameplate [A]
    phases : 3, or 1

    Returns
    -------
    implied_efficiency_factor : η·cos φ; outside 0 to 1 the nameplate contradicts itself

    Examples
    --------
    >>> use = implied_efficiency_factor(power_kw=75.0, motor_voltage_v=400.0, fla_a=132.0,
    ...                                 phases=3.0)
    >>> round(float(use), 3)
    0.82
    """
    return 1000.0 * np.asarray(power_kw, float) / (_volts(motor_voltage_v, phases) * np.asarray(fla_a, float))


def locked_rotor_a(*, fla_a: np.ndarray, locked_rotor_ratio: np.ndarray) -> np.ndarray:
    """Locked-rotor current from the stated ratio.

    Parameters
    ----------
    fla_a : full-load current on the nameplate [A]
    locked_rotor_ratio : locked-rotor current as a multiple of it [×FLA]

    Returns
    -------
    locked_rotor_a : [A]

    Examples
    --------
    >>> float(locked_rotor_a(fla_a=100.0, locked_rotor_ratio=6.5))
    650.0
    """
    return np.asarray(fla_a, float) * np.asarray(locked_rotor_ratio, float)


def locked_rotor_kva_per_hp(
    *, locked_rotor_a: np.ndarray, motor_voltage_v: np.ndarray, power_hp: np.ndarray, phases: np.ndarray
) -> np.ndarray:
    """Locked-rotor apparent power per horsepower, the quantity behind a code letter.

    Parameters
    ----------
    locked_rotor_a : locked-rotor current [A]
    motor_voltage_v : rated voltage, line to line [V]
    power_hp : rated output power [hp]
    phases : 3, or 1

    Returns
    -------
    locked_rotor_kva_per_hp : [kVA/hp]

    References
    ----------
    NFPA 70, Table 430.7(B); NEMA MG 1, 10.37.2.

    Examples
    --------
    >>> kva = locked_rotor_kva_per_hp(locked_rotor_a=725.0, motor_voltage_v=460.0,
    ...                               power_hp=100.0, phases=3.0)
    >>> round(float(kva), 3)
    5.776
    """
    kva = _volts(motor_voltage_v, phases) * np.asarray(locked_rotor_a, float) / 1000.0
    return kva / np.asarray(power_hp, float)


def standard_hot_stall_s(*, power_hp: np.ndarray, motor_voltage_v: np.ndarray) -> np.ndarray:
    """Locked-rotor time from running temperature that the standard asks of a motor.

    Parameters
    ----------
    power_hp : rated output power [hp]
    motor_voltage_v : rated voltage on the nameplate [V]

    Returns
    -------
    standard_hot_stall_s : 12 s up to 500 hp and 1000 V, NaN beyond: its maker says [s]

    References
    ----------
    NEMA MG 1, 12.49 (from memory).

    Examples
    --------
    >>> standard_hot_stall_s(power_hp=[500.0, 600.0], motor_voltage_v=[460.0, 460.0]).tolist()
    [12.0, nan]
    """
    covered = (np.asarray(power_hp, float) <= 500.0) & (np.asarray(motor_voltage_v, float) <= 1000.0)
    return np.where(covered, 12.0, np.nan)


def rotor_wound(*, motor_type: np.ndarray, design_letter: np.ndarray, code_letter: np.ndarray) -> np.ndarray:
    """Whether the rotor is wound, with slip rings.

    Parameters
    ----------
    motor_type : kind of motor
    design_letter : design letter on the nameplate
    code_letter : letter of the locked-rotor kVA per horsepower on the nameplate

    Returns
    -------
    rotor_wound : yes or no; None where neither the kind of motor nor a letter is known

    Notes
    -----
    A letter on the plate decides, whatever was entered as the kind: only cage motors have one.

    References
    ----------
    NFPA 70, 430.7(A)(8): a wound-rotor motor has no code letter; NEMA MG 1, 1.19: the designs are of
    cage motors (from memory).

    Examples
    --------
    >>> str(rotor_wound(motor_type="wound rotor", design_letter=None, code_letter=None))
    'yes'
    """
    lettered = known(design_letter) | known(code_letter)
    unknown = np.array(None, object)
    by_kind = np.where(said(motor_type, "wound rotor"), "yes", np.where(known(motor_type), "no", unknown))
    return np.where(lettered, "no", by_kind)
