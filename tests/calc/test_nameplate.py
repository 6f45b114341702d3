"""Nameplate arithmetic against published figures and against its own limits."""

import numpy as np
import pint
import pytest

from register.calc import nameplate


def test_horsepower_is_the_mechanical_one():
    # Source: pint's unit registry (NIST SP 811 definitions).
    kilowatts = pint.UnitRegistry().Quantity(100, "horsepower").to("kilowatt").magnitude
    assert nameplate.power_hp(power_kw=kilowatts) == pytest.approx(100, rel=1e-6)


def test_current_from_power():
    # Source: arithmetic with MG 1 Table 12-12 efficiency; power factor from memory.
    current = nameplate.fla_from_power_a(
        power_kw=7.46, motor_voltage_v=460.0, efficiency_pct=91.7, power_factor=0.82, phases=3.0
    )
    assert current == pytest.approx(12.45, abs=0.005)


@pytest.mark.parametrize(
    ("hp", "amps", "volts", "kva_per_hp"),
    [
        (100.0, 725.0, 460.0, 5.776),  # NEC Table 430.251(B), Design B; letter G
        (650.0, 4433.0, 460.0, 5.434),  # NEC Table 430.7(B): letter F, 5.0 to 5.59
        (30.0, 236.8, 460.0, 6.29),  # NEC Table 430.7(B): upper end of letter G
    ],
)
def test_locked_rotor_kva_per_horsepower(hp, amps, volts, kva_per_hp):
    found = nameplate.locked_rotor_kva_per_hp(locked_rotor_a=amps, motor_voltage_v=volts, power_hp=hp, phases=3.0)
    # 236.8 A is printed to 0.05 A, so its kVA/hp is known to 0.0013.
    assert found == pytest.approx(kva_per_hp, abs=0.0014)


def test_current_and_implied_factor_undo_each_other():
    kw, volts = np.array([0.75, 37.0, 250.0]), np.array([230.0, 400.0, 690.0])
    eta, pf = np.array([80.0, 93.9, 96.0]), np.array([0.7, 0.85, 0.88])
    phases = np.array([1.0, 3.0, 3.0])
    amps = nameplate.fla_from_power_a(
        power_kw=kw, motor_voltage_v=volts, efficiency_pct=eta, power_factor=pf, phases=phases
    )
    use = nameplate.implied_efficiency_factor(power_kw=kw, motor_voltage_v=volts, fla_a=amps, phases=phases)
    assert use == pytest.approx(eta / 100 * pf)
