"""Service, place, winding, bypass and groups of motors against published values."""

import numpy as np
import pytest

from register.calc import bypass, service, several_motors, winding
from register.facts.standard_tables import load_tables

TABLES = load_tables()
NAN = float("nan")


def test_share_of_power_at_altitude_and_ambient():
    # Source: a maker's application manual: 0.96 at 45 °C and 1000 m, 0.90 at 45 °C and 2000 m, 0.63 at 60 °C and 4000 m.
    at = dict(power_hp=50.0, device_kind="across-the-line", motor_place_table=TABLES["motor-place"])
    for ambient, altitude, share in (
        (40, 1000, 1),
        (45, 1000, 0.96),
        (45, 2000, 0.90),
        (44, 1900, 0.90),
        (60, 4000, 0.63),
    ):
        found = service.motor_place_factor(motor_ambient_c=float(ambient), altitude_m=float(altitude), **at)
        assert float(found) == share
    assert np.isnan(service.motor_place_factor(motor_ambient_c=61.0, altitude_m=100.0, **at))
    assert np.isnan(service.motor_place_factor(**at | {"power_hp": 250.0}, motor_ambient_c=45.0, altitude_m=100.0))


@pytest.mark.parametrize(
    ("bus", "plate", "fits"),
    # Source: ANSI C84.1 and NEMA MG 1 as three public pages give them: 208→200, 240→230, 480→460, 600→575.
    [(208, 200, "yes"), (208, 230, "no"), (240, 230, "yes"), (480, 460, "yes"), (480, 440, "no"), (600, 575, "yes")],
)
def test_nameplate_voltage_of_a_system(bus, plate, fits):
    table = TABLES["system-voltages"]
    found = winding.voltage_pair(
        practice="us", bus_voltage_v=float(bus), motor_voltage_v=float(plate), system_voltages_table=table
    )
    assert str(found) == fits


def test_a_zone_that_accepts_a_type_of_protection():
    # Source: NFPA 70, 501.125(A) and (B), a public copy; a glossary of protection levels: Ex n in zone 2 only.
    def fits(kind, area):
        return service.ex_fits_area(ex_protection=kind, area_class=area, ex_areas_table=TABLES["ex-areas"]).item()

    assert fits("explosion-proof", "division 1") == "yes" and fits("none", "division 2") == "yes"
    assert fits("Ex n", "zone 1") == "no" and fits("Ex n", "zone 2") == "yes" and fits("Ex e", "zone 1") == "yes"
    assert fits("Ex d", "zone 21") is None and fits(None, "zone 1") is None and fits("Ex d", None) is None


def test_reactive_power_of_a_motor():
    # P·tan φ/η: 7.46 kW, 91.7 %, cos φ 0.82 gives 5.68 kvar (handbook formula); √3·460·4.4 = 3.51 kvar.
    full = winding.full_load_kvar(power_kw=7.46, efficiency_pct=91.7, power_factor=0.82)
    assert float(full) == pytest.approx(7.46 / 0.917 * np.tan(np.arccos(0.82)))
    # Source: an engineers' forum, full-load over no-load reactive power 140 to 260 %.
    empty = winding.no_load_kvar(motor_voltage_v=460.0, no_load_current_a=4.4)
    assert 1.4 < float(full / empty) < 2.6


def test_a_group_of_motors_on_one_breaker():
    # Source: NFPA 70, 430.53(B), (C): four of 2 hp at 460 V, 3.4 A: 8.5 → 15 A, and 15 + 10.2 = 25.2 A.
    asked = dict(
        table_flc_a=3.4,
        motors_on_device=4.0,
        branch_protection_pct=250.0,
        protection_kind="inverse-time breaker",
        standard_ratings_table=TABLES["standard-ratings"],
    )
    assert float(several_motors.smallest_branch_limit_a(**asked, other_motors_a=10.2)) == 15
    assert float(several_motors.group_limit_a(**asked, other_motors_a=10.2)) == pytest.approx(25.2)
    assert np.isnan(several_motors.smallest_branch_limit_a(**asked, other_motors_a=6.0)), "three that differ"


def test_a_fire_pump_s_protection_carries_all_on_its_circuit():
    # Source: NFPA 70, Table 430.251(B): 50 hp, 460 V, 363 A; 695.4(B)(2) adds what else is on the circuit.
    alone = several_motors.fire_pump_hold_a(locked_rotor_a=363.0, motors_on_device=1.0, other_motors_a=NAN)
    both = several_motors.fire_pump_hold_a(locked_rotor_a=363.0, motors_on_device=2.0, other_motors_a=5.0)
    assert (float(alone), float(both)) == (363, 368)


def test_supply_cable_of_a_drive():
    # Source: NFPA 70, 430.122(A) and (B): 125 % of the input; with a bypass the larger current.
    def needed(bypassed):
        return float(
            several_motors.input_cable_needed_a(
                practice="us", input_current_a=70.0, ext_bypass=bypassed, table_flc_a=77.0
            )
        )

    assert (needed("no"), needed("yes")) == (87.5, 96.25)


def test_overload_of_a_bypass_by_what_it_is_marked_in():
    # Source: NFPA 70, 430.32(A)(1), 125 and 115 %; an inspector's post: 0.9 of the current at service factor 1.0.
    for factor, sure, most in ((1.15, 100, 125), (1.0, 92, 115)):
        plate = dict(practice="us", fla_a=100.0, service_factor=factor, temperature_rise_c=80.0)
        assert float(bypass.bypass_set_sure_a(**plate)) == pytest.approx(sure)
        assert float(bypass.bypass_set_most_a(**plate)) == pytest.approx(most)
