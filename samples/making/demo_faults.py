"""The faults of the demo plant, theme by theme."""

from __future__ import annotations

from making.faults import Fault, starting, times


BYPASSED = "two-contactor", "three-contactor", "standby starter"

NAMEPLATE = (
    Fault("nameplate/complete-for-starting", "plate painted over: no current known",
          starting("A", criticality="essential"), {"fla_a": None}),
    Fault("nameplate/complete-for-starting", "service factor never noted",
          starting("D"), {"service_factor": None}),
    Fault("nameplate/complete-for-starting", "starts an hour never counted",
          starting("S"), {"starts_per_hour": None}),
    Fault("nameplate/current-agrees-with-power", "power factor copied wrong: 0.60",
          starting("B"), {"power_factor": 0.6}),
    Fault("nameplate/current-agrees-with-power nameplate/current-plausible",
          "15 hp entered as 15 kW", lambda p: p["letter"] == "A" and p["power_kw"] == 11.1855,
          {"power_kw": 15}),
    Fault("nameplate/speed-fits-poles nameplate/slip-plausible", "poles read as 2, the plate has 4",
          starting("B", poles=4), {"poles": 2, "starts_per_hour": 0.5, "min_rest_s": 1800}),
    Fault("nameplate/slip-plausible", "synchronous speed entered for the rated speed",
          starting("A", poles=4), {"speed_rpm": 1800}),
    Fault("nameplate/voltage-fits-system", "a 575 V motor from the other works on 480 V",
          starting("B", poles=4),
          {"motor_voltage_v": 575, "fla_a": times(0.8), "fla_set_a": times(0.8),
           "device_overload_set_a": times(0.84)}),
    Fault("nameplate/frequency-fits-site", "a 50 Hz motor",
          starting("A", poles=4), {"motor_frequency_hz": 50, "speed_rpm": 1455}),
    Fault("nameplate/code-letter-agrees", "code letter L against the stated locked-rotor current",
          lambda p: p["letter"] == "A" and p["power_kw"] > 10, {"code_letter": "L"}),
)  # fmt: skip

SIZING = (
    Fault("sizing/current-covers-motor", "contactor one size too small",
          starting("A"), model={"rated_current_a": times(0.9)}),
    Fault("sizing/current-covers-motor", "hot room: derated below the motor's current",
          lambda p: p["letter"] == "B" and p["rated_a"] < 1.19 * p["fla_a"], {"ambient_c": 48}),
    Fault("sizing/voltage-covers-system", "a device for 440 V at most on 480 V",
          starting("A"), model={"voltage_max_v": 440}),
    Fault("sizing/sensing-sees-motor sizing/not-far-oversized",
          "18 A soft starter on a 1 hp roll: its current sensing cannot see the motor",
          starting("B", fragile_load="yes"),
          model={"rated_current_a": 18, "overload_min_a": 6.3, "overload_max_a": 18}),
    Fault("sizing/sensing-sees-motor", "motor changed for a smaller one; below the sensing range",
          starting("S"), model={"overload_min_a": times(1.06)}),
    Fault("sizing/sensing-sees-motor", "drive's range begins above the motor's current",
          starting("D"), model={"overload_min_a": times(1.1)}),
    Fault("sizing/sensing-sees-motor", "overload relay of the next frame: range above the motor",
          starting("A"), {"relay_min_a": times(1.1), "relay_max_a": times(2.2),
                     "relay_set_a": times(1.15)}),
    Fault("sizing/not-far-oversized", "device four times the motor",
          starting("B"), model={"rated_current_a": times(4), "overload_min_a": times(0.8),
                           "overload_max_a": times(4)}),
    Fault("sizing/sensing-transformer-ratio", "current transformers of a far larger motor",
          starting("A"), {"ct_primary_a": times(5)}),
    Fault("sizing/altitude-within", "a model for 1000 m; the altitude was read in feet",
          starting("B"), {"altitude_m": 1017}, model={"altitude_max_m": 1000}),
    Fault("sizing/ambient-within", "beside the dryer hood: 54 °C, the model may see 50 °C",
          starting("B", area="Board machine", fragile_load="no"), {"ambient_c": 54},
          {"rated_current_a": times(1.6)}),
)  # fmt: skip

DUTY = (
    Fault("duty/starts-within-device", "level control asks 6 starts an hour of a device for 4",
          starting("B", load_kind="centrifugal pump"),
          {"starts_per_hour": 6, "starts_per_hour_limit": 12, "min_rest_s": 300},
          model={"starts_per_hour_max": 4, "duty_code": "AC-53b: 4-20 : 880"}),
    Fault("duty/starts-within-device", "jogged 14 times an hour; the device bears 10",
          starting("B", fragile_load="yes"),
          {"starts_per_hour": 14, "starts_per_hour_limit": 20, "min_rest_s": 120}),
    Fault("duty/starts-within-device", "6 starts an hour; by its duty code the device bears 5",
          starting("B"), {"starts_per_hour": 6, "starts_per_hour_limit": 12, "min_rest_s": 300},
          model={"starts_per_hour_max": None, "duty_code": "AC-53b: 4-20 : 700"}),
    *(
        Fault("duty/starts-known-for-bypassed nameplate/complete-for-starting",
              "internal bypass, and nobody has counted its starts", starting("B", bus=bus),
              {"starts_per_hour": None})
        for bus in ("MCC-11", "MCC-21", "MCC-41")
    ),
    Fault("duty/starts-within-motor", "9 starts an hour of a motor that bears about 5",
          starting("S"), {"starts_per_hour": 9, "min_rest_s": 300}),
    Fault("duty/starts-within-motor", "more starts than the motor's maker permits",
          starting("A"), {"starts_per_hour": 4, "starts_per_hour_limit": 2}),
    Fault("duty/rest-long-enough", "restarted after 10 s", starting("A"), {"min_rest_s": 10}),
)  # fmt: skip

OVERLOAD = (
    Fault("overload/present", "relay taken out and bridged", starting("A"),
          {"overload_place": "none", "relay_set_a": None, "relay_min_a": None,
           "relay_max_a": None, "relay_trip_class": None}),
    Fault("overload/set-within-nameplate", "relay turned up to stop its tripping",
          starting("A"), {"relay_set_a": times(1.35)}),
    Fault("overload/set-within-nameplate", "overload in the device set at 130 %",
          starting("B"), {"device_overload_set_a": times(1.3)}),
    Fault("overload/not-below-running-current", "relay set well below the nameplate",
          starting("A"), {"relay_set_a": times(0.85)}),
    Fault("overload/set-after-motor-change", "motor changed; settings read before that",
          starting("B"), {"setting_recorded_on": "2009-05-12"}),
)  # fmt: skip

LINE_PROTECTION = (
    Fault("line-protection/present", "no line protection of its own", starting("A"),
          {"protection_kind": "none", "protection_rating_a": None, "instantaneous_a": None,
           "interrupting_ka": None}),
    Fault("line-protection/as-device-maker-requires", "breaker where the maker requires fuses",
          starting("S"), {"protection_kind": "inverse-time breaker"}),
    Fault("line-protection/as-device-maker-requires", "larger than the maker permits",
          starting("D"), model={"line_protection_max_a": times(0.7, "protection_rating_a")}),
    Fault("line-protection/within-branch-limit", "breaker of 400 % of the motor's current",
          starting("A"), {"protection_rating_a": 150}, {"line_protection_max_a": 200}),
    Fault("line-protection/interrupts-fault-current", "old breaker, 14 kA at a 34 kA bus",
          starting("A", bus="MCC-21"), {"interrupting_ka": 14}),
    Fault("line-protection/device-withstands-fault", "device of 10 kA at a 38 kA bus",
          starting("B", bus="MCC-31"), model={"short_circuit_rating_ka": 10}),
    Fault("line-protection/conductor-covers-motor", "cable of the smaller motor before it",
          starting("B"), {"cable_ampacity_a": times(1.02)}),
)  # fmt: skip

BYPASS = (
    Fault("bypass/critical-has-way-round", "critical, no standby; only the internal bypass",
          starting("B", criticality="critical"),
          {"standby": "none", "bypass_arrangement": "internal only", "bypass_starts_by": None,
           "must_run_during_repair": "no"}),
    Fault("bypass/critical-has-way-round", "critical drive without a way round",
          starting("D", criticality="critical"),
          {"standby": "none", "bypass_arrangement": "none", "bypass_starts_by": None,
           "must_run_during_repair": "no"}),
    Fault("bypass/critical-has-way-round", "made critical this year; nothing added",
          starting("S", bypass_arrangement="none"),
          {"criticality": "critical", "standby": "none"}),
    Fault("bypass/replace-while-running", "must run during a repair; two contactors cannot isolate",
          starting("B", bypass_arrangement="three-contactor"),
          {"must_run_during_repair": "yes", "bypass_arrangement": "two-contactor"}),
    Fault("bypass/path-has-overload", "the way round lost the device's overload",
          lambda p: p["letter"] in "BSD" and p["bypass_arrangement"] in BYPASSED,
          {"bypass_own_overload": "no"}),
    Fault("bypass/path-has-line-protection", "the way round has no line protection",
          lambda p: p["letter"] in "BSD" and p["bypass_arrangement"] in BYPASSED,
          {"bypass_own_line_protection": "no"}),
    Fault("bypass/contactor-rated-to-start", "contactor only fit to carry (AC-1)",
          lambda p: p["letter"] in "BS" and p["bypass_arrangement"] in BYPASSED,
          {"bypass_contactor_category": "AC-1"}),
    Fault("bypass/bypass-tested", "way round not tried for three years",
          lambda p: p["letter"] in "BSD" and p["bypass_arrangement"] in BYPASSED,
          {"bypass_test_on": "2023-10-02"}),
)  # fmt: skip

APPLICATION = (
    Fault("application/variable-speed-needs-drive", "flow is to be controlled; a soft starter cannot",
          starting("B"), {"speed_need": "variable"}),
    Fault("application/variable-speed-needs-drive", "dosing by speed, across the line",
          starting("A"), {"speed_need": "variable"}),
    Fault("application/belt-and-inertia-eased", "heavy belt-driven fan thrown on across the line",
          starting("A", coupling="belt", load_kind="centrifugal fan"),
          {"load_inertia_kgm2": lambda p: round(p["load_inertia_kgm2"] * 5, 2),
           "starts_per_hour": 0.5}),
    Fault("application/pump-eased", "hammer in the main, pump across the line",
          starting("A", load_kind="centrifugal pump", surge_risk="no"), {"surge_risk": "yes"}),
    Fault("application/pump-stops-softly", "hammer in the main, pump coasts to a stop",
          starting("B", surge_risk="yes", bypass_arrangement="internal only"), {"stop_mode": "coast"}),
    Fault("application/fragile-load-eased", "glass-lined pump across the line",
          starting("A", load_kind="centrifugal pump", surge_risk="no", bypass_arrangement="none"),
          {"fragile_load": "yes"}),
    Fault("application/loaded-start-has-torque", "star-delta on a machine that starts loaded",
          starting("Y"), {"start_condition": "loaded", "load_breakaway_pct": 80}),
    Fault("application/capacitor-not-behind-electronics", "capacitors between soft starter and motor",
          starting("B"), {"capacitor_side": "load side", "capacitor_kvar": 10}),
    Fault("application/capacitor-not-behind-electronics", "capacitors between drive and motor",
          starting("D"), {"capacitor_side": "load side", "capacitor_kvar": 5}),
    Fault("application/two-speed-not-on-soft-starter", "two-speed motor on a soft starter",
          starting("B"), {"speed_need": "two-speed"}),
    Fault("application/inverter-duty-on-drive", "old motor, not made for a drive",
          starting("D"), {"inverter_duty": "no"}),
)  # fmt: skip

CONTROL = (
    Fault("control/voltage-matches-device", "24 V control on a 120 V device",
          starting("A"), {"control_voltage_v": 24}),
    Fault("control/local-hand-where-networked", "network only, no hand operation",
          starting("D", control_scheme="network"), {"hand_off_auto": "no"}),
    Fault("control/emergency-stop-hardwired", "emergency stop sent over the network",
          starting("BSD", control_scheme="network"), {"emergency_stop": "network"}),
    Fault("control/restart-by-itself-guarded", "restarts by itself, no stop in sight",
          starting("A"), {"restarts_by_itself": "yes", "local_stop": "no"}),
)  # fmt: skip

COMMISSIONING = (
    Fault("commissioning/connections-verified", "never verified since the device was changed",
          starting("B"), {"connections_verified_on": "2008-03-11"}),
    Fault("commissioning/safety-checks-done", "safety checks marked not done",
          starting("A"), {"safety_checks_result": "not done"}),
    Fault("commissioning/parameters-reviewed", "parameters last reviewed before the change",
          starting("D"), {"parameters_reviewed_on": "2008-03-11"}),
    Fault("commissioning/bump-tested", "motor changed since the rotation was proved",
          starting("A"), {"bump_test_on": "2008-03-11"}),
    Fault("commissioning/load-tested", "load test failed, never repeated",
          starting("S"), {"load_test_result": "failed"}),
    Fault("commissioning/thermography-current", "last thermography four years ago",
          starting("T"), {"thermography_on": "2022-09-14"}),
)  # fmt: skip

OTHERS = (
    Fault("settings/limit-within-device", "current limit noted as 5.5, the device ends at 5",
          starting("B", start_mode="current limit"), {"current_limit_xfla": 5.5}),
    Fault("settings/parameters-match-nameplate", "current of the motor before still set",
          starting("B"), {"fla_set_a": times(1.18)}),
    Fault("lifecycle/failed-is-planned", "device failed, running on the way round",
          lambda p: p["letter"] == "B" and p["bypass_arrangement"] in BYPASSED,
          {"device_status": "failed"}),
    Fault("lifecycle/withdrawn-has-successor", "withdrawn model, nobody knows what replaces it",
          starting("S"), model={"lifecycle": "withdrawn", "successor": None}),
)  # fmt: skip

FAULTS = (
    *NAMEPLATE, *SIZING, *BYPASS, *DUTY, *OVERLOAD, *LINE_PROTECTION, *APPLICATION, *CONTROL,
    *COMMISSIONING, *OTHERS,
)  # fmt: skip
