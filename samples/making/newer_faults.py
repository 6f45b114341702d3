"""Faults of service, place, earthing, drive and bypass, seeded after the others."""

from __future__ import annotations

from making.faults import Fault, starting, times
from making.service import EXTERNAL

LATE = "2026-02-11"
CLASSIFIED = {"hazardous_area": "yes", "hazardous_area_inspection_on": LATE}
BREAKS_AWAY = ("conveyor", "screw conveyor", "mixer", "positive-displacement pump")
HEAVY_WHEELS = ("centrifugal fan", "blower", "mill", "crusher", "mixer", "saw", "vacuum pump")


def _outside(p: dict) -> bool:
    return p["bypass_arrangement"] in EXTERNAL


def _on_the_line(p: dict) -> bool:
    return _outside(p) and p["bypass_starts_by"] == "across-the-line"


# fmt: off
FAULTS = (
    Fault("nameplate/delta-voltage-fits-system", "nine leads, the star closed inside",
          starting("Y"), {"motor_leads": 9}),
    Fault("overload/fire-pump-not-stopped line-protection/fire-pump-holds-locked-rotor",
          "the hydrants' pump, protected like any other",
          starting("A", load_kind="centrifugal pump"), {"service_kind": "fire pump", "fire_pump_listed": "no"}),
    Fault("overload/trips-within-te", "relay slower than the winding's 5 s",
          starting("A"), CLASSIFIED | {"area_class": "zone 1", "ex_protection": "Ex e", "te_s": 5,
                                       "relay_trip_lr_s": 9}),
    Fault("sizing/electronics-certified-with-ex-motor", "drive put before a flameproof motor",
          starting("D"), CLASSIFIED | {"area_class": "zone 2", "ex_protection": "Ex d", "drive_certificate": "no"}),
    Fault("nameplate/ex-protection-fits-area", "a motor of zone 2 in zone 1",
          starting("A"), CLASSIFIED | {"area_class": "zone 1", "ex_protection": "Ex ec"}),
    Fault("bypass/interlocked-with-drive", "bypass added later, with no interlock",
          lambda p: p["letter"] == "D" and p["bypass_arrangement"] in EXTERNAL[:2], {"bypass_interlock": "none"}),
    Fault("bypass/path-overload-set", "bypass relay left at its highest setting",
          _on_the_line, {"bypass_overload_set_a": times(1.6)}),
    Fault("bypass/path-class-lets-it-start", "class 5 relay of a smaller motor in the bypass",
          lambda p: _on_the_line(p) and p["load_kind"] in HEAVY_WHEELS,
          {"bypass_trip_class": "5", "bypass_overload_set_a": times(0.4)}, whole=True),
    Fault("bypass/path-protection-within-limit", "bypass breaker of the frame's full size",
          lambda p: _outside(p) and p["fla_a"] < 100, {"bypass_protection_rating_a": 800.0}),
    Fault("line-protection/group-within-limit", "a small oil pump hung on the same breaker",
          starting("A", protection_kind="inverse-time breaker"),
          {"motors_on_device": 2, "other_motors_a": times(0.2), "group_listed": "no", "own_overloads": "yes"}),
    Fault("sizing/drive-duty-fits-load", "drive chosen by its current for fans",
          lambda p: p["letter"] == "D" and p["load_kind"] in BREAKS_AWAY,
          model={"heavy_duty_a": times(0.8), "normal_duty_a": times(1.05)}),
    Fault("settings/speed-within-own-fan overload/winding-temperature-watched",
          "slower than its fan cools, and thermistors unconnected",
          lambda p: p["letter"] == "D" and p["load_curve"] == "constant",
          {"min_speed_pct": 15, "ct_speed_range": 4, "thermal_stops": "no", "motor_cooling": "own fan"}),
    Fault("line-protection/slash-rating-fits-earthing", "a slash-rated breaker on a resistance-earthed system",
          lambda p: p["bus"] == "MCC-51", {"protection_slash": "yes"}),
    Fault("line-protection/drive-filter-fits-earthing", "filter jumpers left in at the old pump house",
          starting("D", bus="MCC-51"), {"drive_filter_off": "no"}),
    Fault("application/direction-guarded", "a backstop, and nothing that watches the phases",
          starting("A"), {"reverse_hurts": "yes", "reverse_phase_trip": "no"}),
    Fault("control/reversing-interlocked", "reversing contactors with an electrical interlock alone",
          starting("A"), {"reversing": "yes", "reversing_interlock": "electrical"}),
    Fault("line-protection/drive-input-cable-covers", "supply cable of the starter that stood there before",
          starting("D"), {"input_cable_ampacity_a": times(0.9)}),
    Fault("duty/drive-not-started-by-supply", "drive started by its line contactor",
          starting("D"), {"run_by_supply": "yes", "starts_per_hour": 16, "starts_per_hour_limit": 20,
                          "min_rest_s": 120}),
    Fault("settings/changes-over-at-speed", "goes over after a second",
          starting("YT"), {"setting_recorded_on": "2026-04-02", "transition_s": 1.0}, whole=True),
    Fault("application/capacitor-within-magnetising overload/set-for-corrected-current",
          "capacitors of a larger motor",
          starting("A"), {"capacitor_side": "load side", "capacitor_kvar": times(0.7, "power_kw")}),
    Fault("sizing/motor-derated-covers-load", "above the dryer, at 54 °C",
          starting("A"), {"motor_ambient_c": 54, "running_current_a": times(0.93)}),
    Fault("line-protection/instantaneous-in-listed-combination line-protection/instantaneous-within-limit",
          "a bare instantaneous breaker before a starter of another make",
          lambda p: p["letter"] == "A" and p["protection_kind"] == "inverse-time breaker" and p["fla_a"] > 10,
          {"protection_kind": "instantaneous breaker", "instantaneous_a": times(20), "combination_listed": "no"}),
    Fault("overload/each-winding-of-two", "low speed set for the high speed's current",
          lambda p: p["speed_need"] == "two-speed", {"second_overload_set_a": times(1.0)}),
    Fault("nameplate/voltage-is-the-standard-one", "a 440 V motor from a machine bought abroad",
          starting("A"), {"motor_voltage_v": 440}),
)
# fmt: on
