"""What a position serves, how much hangs on its device, and what goes round it."""

import numpy as np
import pytest

from register.calc import bypass, contactor_power, enclosure, service
from register.facts.standard_tables import load_tables

NAN = float("nan")
TABLES = load_tables()


@pytest.mark.parametrize(
    ("entered", "description", "load", "expected"),
    # Common practice: a name is no proof, and a name that hints at fire or smoke asks to be looked at.
    [
        (None, "No 2 stock pump", "centrifugal pump", "process"),
        (None, "Fire pump 1", "centrifugal pump", None),
        (None, "FEUERLÖSCHPUMPE", None, None),
        (None, "bomba contra incendios", "centrifugal pump", None),
        (None, "stair smoke exhaust", "axial fan", None),
        ("fire pump", "P-7", "centrifugal pump", "fire pump"),
        ("process", "Fire pump 1", "centrifugal pump", "process"),
        ("fire pump", "No 2 stock pump", None, "fire pump"),
        (None, None, "conveyor", "process"),
        (None, "fire door conveyor", "conveyor", "process"),
        (None, None, "centrifugal pump", None),
        (None, None, None, None),
    ],
)
def test_what_it_serves(entered, description, load, expected):
    found = service.load_service(service_kind=entered, description=description, load_kind=load)
    assert found.item() == expected


@pytest.mark.parametrize(
    ("motors", "others", "all_a", "code_a"),
    # Source: NFPA 70, Table 430.250: 2 hp at 460 V is 3.4 A; four of them 13.6 A.
    [(1.0, NAN, 3.0, 3.4), (4.0, 10.2, 13.2, 13.6), (4.0, NAN, NAN, NAN), (NAN, 10.2, NAN, NAN)],
)
def test_all_motors_on_the_device_count(motors, others, all_a, code_a):
    on = {"motors_on_device": motors, "other_motors_a": others}
    assert service.all_motors_a(fla_a=3.0, **on) == pytest.approx(all_a, nan_ok=True)
    assert service.all_code_current_a(code_current_a=3.4, **on) == pytest.approx(code_a, nan_ok=True)


def test_others_are_taken_to_be_as_large_as_the_largest():
    found = service.typical_other_motors_a(fla_a=3.4, motors_on_device=np.array([1.0, 4.0, NAN]))
    assert found == pytest.approx([0, 10.2, NAN], nan_ok=True)


@pytest.mark.parametrize(
    ("size", "volts", "hp"),
    # Source: NEMA ICS 2 as a public page, "NEMA size", gives it: 1 is 7.5/7.5/10 hp, 2 is 10/15/25.
    [
        *(("1", 200, 7.5), ("1", 230, 7.5), ("1", 460, 10), ("2", 208, 10), ("2", 230, 15), ("2", 575, 25)),
        *(("none", 460, 0), (None, 460, NAN), ("1", 400, NAN), ("7", 200, NAN)),
    ],
)
def test_a_nema_size_starts_less_at_a_lower_voltage(size, volts, hp):
    found = contactor_power.power_at_bus_kw(
        nema_size=size, motor_voltage_v=float(volts), nema_sizes_table=TABLES["nema-sizes"]
    )
    assert found == pytest.approx(hp * 0.745_699_87, nan_ok=True)


def test_a_bypass_is_what_goes_round_the_device():
    arranged = np.array(["none", "internal only", "two-contactor", "standby starter", None], object)
    assert bypass.ext_bypass(bypass_arrangement=arranged).tolist() == ["no", "no", "yes", "yes", None]


def test_each_contactor_of_a_star_delta_bypass_carries_58_percent():
    # Arithmetic, 1/√3, rounded up.
    kinds = np.array(["star-delta", "across-the-line", "soft starter", None], object)
    found = bypass.bypass_needed_a(fla_a=100.0, bypass_starts_by=kinds)
    assert found == pytest.approx([58, 100, 100, NAN], nan_ok=True)


@pytest.mark.parametrize(
    ("panel", "need", "fits"),
    # Source: IEC 60529 numerals: IP20 keeps no dust out, NEMA 12 does.
    [
        *(("NEMA 12", "IP54", "yes"), ("IP20", "IP54", "no"), ("none", "IP54", "no"), (None, "IP54", None)),
        *(("none", None, None), ("NEMA 12", None, None)),
    ],
)
def test_the_panel_round_a_device_counts(panel, need, fits):
    found = enclosure.panel_enclosure_fits(
        panel_enclosure=panel, enclosure_need=need, enclosures_table=TABLES["enclosures"]
    )
    assert found.item() == fits
