"""The source and the cable, against a power flow of another library and by hand."""

import numpy as np
import pytest

from register.calc.supply import thevenin

NAN = np.nan
# 480 V from 500 MVA through 2500 kVA of 5.75 %, and a motor of 715 A at 460 V.
# fmt: off
BUS = dict(
    bus_voltage_v=480.0, upstream_fault_mva=500.0, x_over_r=12.0, transformer_kva=2500.0,
    transformer_z_pct=5.75, transformer_x_over_r=8.0, fault_current_ka=NAN, cable_length_m=10.0,
    cable_r_ohm_per_km=0.12, cable_x_ohm_per_km=0.15, s_base_kva=np.sqrt(3) * 0.460 * 715,
    v_base_v=460.0,
)
# fmt: on


def of(**changes):
    return thevenin(**(BUS | changes))


def locked(supply):
    """Voltages at bus and terminals of 480 V, and amperes, with 4433 A at 460 V and cos φ 0.28."""
    y = 4433 / 715 * (0.28 - 1j * np.sqrt(1 - 0.28**2))
    current = supply.v_oc / (1 / y + supply.z_s + supply.z_c)
    volts = 460 / 480
    bus, terminal = supply.v_oc - current * supply.z_s, current / y
    return abs(bus) * volts, abs(terminal) * volts, abs(current) * 715


def test_dip_of_a_locked_rotor():
    # Source: power flow of pandapower (the test below); constant impedance.
    bus, terminal, amperes = locked(of())
    assert bus == pytest.approx(0.915697, rel=2e-6)
    assert terminal == pytest.approx(0.889270, rel=2e-6)
    assert amperes == pytest.approx(4113.533, rel=2e-6)


def test_dip_agrees_with_a_power_flow():
    # Source: Newton power flow of pandapower, grid and transformer as branches in ohms.
    pp = pytest.importorskip("pandapower", reason="compare extra")
    net = pp.create_empty_network()
    nodes = [pp.create_bus(net, 0.48) for _ in range(4)]
    pp.create_ext_grid(net, nodes[0], vm_pu=1.0)
    grid = 480**2 / 500e6 * (1 + 12j) / abs(1 + 12j)
    transformer = 0.0575 * 480**2 / 2500e3 * (1 + 8j) / abs(1 + 8j)
    for at, z in enumerate((grid, transformer, 0.0012 + 0.0015j)):
        pp.create_line_from_parameters(
            net, nodes[at], nodes[at + 1], 1.0, r_ohm_per_km=z.real, x_ohm_per_km=z.imag, c_nf_per_km=0, max_i_ka=10
        )
    mva = np.sqrt(3) * 460 * 4433 / 1e6 * (480 / 460) ** 2
    pp.create_shunt(net, nodes[3], p_mw=0.28 * mva, q_mvar=np.sqrt(1 - 0.28**2) * mva, vn_kv=0.48)
    pp.runpp(net, numba=False)
    bus, terminal, amperes = locked(of())
    assert [bus[0], terminal[0]] == pytest.approx(net.res_bus.vm_pu.values[2:], rel=1e-7)
    assert amperes == pytest.approx(1000 * net.res_line.i_ka.values[2], rel=1e-7)


def test_dip_of_a_transformer_on_a_stiff_grid():
    # Source: arithmetic; 1000 kVA of 5.75 % carries 17 391 kVA into a fault, 629 kVA of starting
    # apparent power in phase with it causes a voltage dip by 629/(629 + 17 391) = 3.49 %.
    supply = of(
        upstream_fault_mva=np.inf,
        transformer_kva=1000.0,
        transformer_x_over_r=1e9,
        bus_voltage_v=460.0,
        s_base_kva=629.0,
        cable_length_m=0.0,
    )
    assert abs(1 / (1 + supply.z_s / 1j)) == pytest.approx(1 - 0.0349, abs=5e-5)


def test_a_fault_current_stands_for_what_is_behind_it():
    supply = of()
    ohm = 460**2 / (1000 * BUS["s_base_kva"])
    fault = 480 / np.sqrt(3) / abs(supply.z_s * ohm) / 1000
    ratio = supply.z_s.imag / supply.z_s.real
    same = of(upstream_fault_mva=NAN, transformer_kva=NAN, fault_current_ka=fault, x_over_r=ratio)
    assert same.z_s == pytest.approx(supply.z_s, rel=1e-12)
    # 48.1 kA: hand calculation of the two impedances in series.
    assert fault == pytest.approx(48.1, abs=0.05)


def test_grid_and_transformer_go_before_the_fault_current():
    assert of(fault_current_ka=100.0).z_s == pytest.approx(of().z_s)
    assert of(fault_current_ka=100.0, transformer_z_pct=NAN).z_s != pytest.approx(of().z_s)


def test_a_stiff_bus_and_no_cable():
    supply = of(fault_current_ka=np.inf, transformer_kva=NAN, x_over_r=NAN, cable_length_m=0.0, cable_r_ohm_per_km=NAN)
    assert supply.z_s[0] == 0 and supply.z_c[0] == 0
    assert supply.v_oc == pytest.approx(480 / 460)


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("name", [n for n in BUS if n != "fault_current_ka"])
def test_what_is_unknown_is_not_guessed(name):
    supply = of(**{name: np.array([NAN, BUS[name]])})
    whole = np.array([supply.z_s, supply.z_c, supply.v_oc])
    assert np.isnan(whole[:, 0]).any() and not np.isnan(whole[:, 1]).any()


def test_more_fault_level_is_less_impedance():
    levels = np.array([50.0, 100.0, 500.0, np.inf])
    assert (np.diff(abs(of(upstream_fault_mva=levels).z_s)) < 0).all()
    assert (np.diff(abs(of(cable_length_m=np.array([0.0, 10.0, 100.0])).z_c)) > 0).all()


def test_all_buses_at_once_equal_one_by_one():
    rng = np.random.default_rng(1)
    many = {name: np.full(20, value) * rng.uniform(0.5, 2, 20) for name, value in BUS.items()}
    together = thevenin(**many)
    for i in range(20):
        alone = thevenin(**{name: values[i] for name, values in many.items()})
        picked = together.take(slice(i, i + 1))
        for name in ("z_s", "z_c", "v_oc"):
            assert getattr(alone, name) == pytest.approx(getattr(picked, name), rel=1e-14)
