"""The overload's setting, and how high practice lets it be."""

import numpy as np
import pytest

from register.calc import overload, overload_limits

PLACES = np.array(["device", "relay", "none", None], object)


def test_the_place_decides_whose_setting_counts():
    settings = overload.overload_set_a(overload_place=PLACES, device_overload_set_a=60.0, relay_set_a=65.0)
    assert settings == pytest.approx([60, 65, np.nan, np.nan], nan_ok=True)
    low = overload.overload_range_min_a(overload_place=PLACES, overload_min_a=34.0, relay_min_a=np.nan)
    assert low == pytest.approx([34, np.nan, np.nan, np.nan], nan_ok=True)
    high = overload.overload_range_max_a(overload_place=PLACES, overload_max_a=135.0, relay_max_a=80.0)
    assert high == pytest.approx([135, 80, np.nan, np.nan], nan_ok=True)
    classes = overload.overload_trip_class(overload_place=PLACES, device_trip_class="10A", relay_trip_class=None)
    assert classes.tolist() == ["10A", None, None, None]


@pytest.mark.parametrize(
    ("factor", "rise", "share"),
    [
        # Source: NFPA 70-2023, 430.32(A)(1): 125 % with a service factor of 1.15 or more or a rise
        # of 40 °C or less, all other motors 115 %.
        (1.15, 80, 1.25),
        (1.25, np.nan, 1.25),
        (1.0, 40, 1.25),
        (np.nan, 40, 1.25),
        (1.0, 80, 1.15),
        (1.12, 41, 1.15),
        # One of them unknown may still make it 125 %, so 115 % is not sure.
        (1.0, np.nan, np.nan),
        (np.nan, 80, np.nan),
        (np.nan, np.nan, np.nan),
    ],
)
def test_share_of_the_nameplate_that_the_us_code_permits(factor, rise, share):
    facts = {"practice": "us", "overload_current_a": 100.0, "service_factor": factor, "temperature_rise_c": rise}
    assert overload_limits.overload_set_most_a(**facts) == pytest.approx(100 * share, nan_ok=True)
    # A scale of motor amperes trips at up to 125 % of itself: the code's share over that (common practice).
    placed = {"overload_place": "relay", "device_kind": "across-the-line"}
    assert overload_limits.overload_set_max_a(**facts, **placed) == pytest.approx(80 * share, nan_ok=True)
    # A drive counts the motor's current itself.
    own = {"overload_place": "device", "device_kind": "drive"}
    assert overload_limits.overload_set_max_a(**facts, **own) == 100


def test_iec_practice_sets_the_rated_current():
    # Source: IEC 60947-4-1, from memory: a relay is set to the motor's rated current.
    for factor in (np.nan, 1.0, 1.15):
        facts = {"practice": "iec", "overload_current_a": 100.0, "service_factor": factor, "temperature_rise_c": np.nan}
        placed = {"overload_place": "relay", "device_kind": "across-the-line"}
        assert overload_limits.overload_set_max_a(**facts, **placed) == 100
        assert overload_limits.overload_set_most_a(**facts) == 100


@pytest.mark.parametrize(
    ("kvar", "amperes"),
    # Arithmetic after NFPA 70, 460.9: 10 hp, 91.7 %, cos φ 0.82, 12.4 A; 3.0 kvar take it to 0.95 and
    # the current to 12.4 × 0.82/0.95 = 10.7 A (the catalogue's figure, rounded there); none change nothing.
    [(0.0, 12.4), (3.0032, 12.4 * 0.82 / 0.95)],
)
def test_capacitors_behind_the_overload_take_current_from_it(kvar, amperes):
    power = 7.457 / 0.917
    wanted = power * (np.tan(np.arccos(0.82)) - np.tan(np.arccos(0.95)))
    found = overload_limits.overload_corrected_max_a(
        overload_set_max_a=12.4,
        capacitor_kvar=wanted if kvar else 0.0,
        power_kw=7.457,
        efficiency_pct=91.7,
        power_factor=0.82,
    )
    assert found == pytest.approx(amperes)


@pytest.mark.parametrize(
    ("cold", "hot", "least", "most"),
    # Makers' data: a cold motor withstands 1.3 to 2 times as long as a hot one (common practice).
    [(13, 12, 13, 13), (np.nan, 12, 15.6, 24), (13, np.nan, 13, 13), (np.nan, np.nan, np.nan, np.nan)],
)
def test_the_stall_time_from_cold_is_the_stated_one_or_lies_between_two(cold, hot, least, most):
    facts = {"cold_stall_s": cold, "hot_stall_s": hot}
    assert overload_limits.cold_stall_least_s(**facts) == pytest.approx(least, nan_ok=True)
    assert overload_limits.cold_stall_most_s(**facts) == pytest.approx(most, nan_ok=True)


def test_a_relay_in_a_phase_of_the_delta_carries_58_percent():
    # Source: arithmetic, 1/√3 = 57.7 %, as NFPA 70, 430.32(A)(1) marks such overloads.
    def carried(**more):
        facts = {"overload_place": "relay", "device_kind": "star-delta", "relay_leg": "phase"}
        return float(overload.overload_current_a(fla_a=100.0, **facts | more))

    assert carried() == pytest.approx(57.7, abs=0.05)
    assert carried(relay_leg="line") == 100.0
    assert carried(device_kind="across-the-line", relay_leg=None) == 100.0
    # A packaged starter's own overload mostly lies in the delta: until that is read, nobody can say.
    assert carried(overload_place="device") == pytest.approx(57.7, abs=0.05)
    assert np.isnan(carried(overload_place="device", relay_leg=None))
    assert np.isnan(carried(overload_place="device", device_kind=None))
    assert np.isnan(carried(relay_leg=None)) and np.isnan(carried(device_kind=None))


@pytest.mark.parametrize(
    ("place", "expected"), [("relay", "manual"), ("device", "automatic"), ("none", None), (None, None)]
)
def test_the_reset_is_that_of_the_overload_which_protects(place, expected):
    reset = overload.motor_overload_reset(overload_place=place, overload_reset="automatic", relay_reset="manual")
    assert reset.item() == expected
