"""The faults of the demo plant, theme by theme."""

from __future__ import annotations

from datetime import date, timedelta

from making.faults import Fault, starting, times
from register.columns import TABLES

SETTINGS = [c.name for c in TABLES["setting"].columns if c.name != "device"]


def _later(day: str, days: int) -> str:
    return (date.fromisoformat(day) + timedelta(days=days)).isoformat()


AFTER_A_CHANGE = (
    "connections_verified",
    "safety_checks",
    "parameters_reviewed",
    "bump_test",
    "load_test",
    "insulation_test",
)
BYPASSED = "two-contactor", "three-contactor", "standby starter"

# fmt: off
NAMEPLATE = (
    Fault("nameplate/complete-for-starting", "plate painted over: no current known",
          starting("A", criticality="essential"), {"fla_a": None}),
    Fault("nameplate/complete-for-starting", "service factor never noted",
          starting("D"), {"service_factor": None}),
    Fault("nameplate/current-agrees-with-power", "power factor copied wrong: 0.60",
          starting("B"), {"power_factor": 0.6}),
    Fault("nameplate/current-agrees-with-power nameplate/current-plausible "
          "nameplate/code-letter-agrees line-protection/disconnect-covers-motor",
          "15 hp entered as 15 kW", lambda p: p["letter"] == "A" and p["power_kw"] == 11.1855,
          {"power_kw": 15}),
    Fault("nameplate/speed-fits-poles nameplate/slip-plausible", "poles read as 2, the plate has 4",
          starting("B", poles=4), {"poles": 2, "starts_per_hour": 0.5, "min_rest_s": 1800}),
    Fault("nameplate/slip-plausible", "synchronous speed entered for the rated speed",
          starting("A", poles=4), {"speed_rpm": 1800}),
    Fault("nameplate/voltage-fits-system nameplate/voltage-is-the-standard-one",
          "a 575 V motor from the other works on 480 V",
          starting("B", poles=4),
          {"motor_voltage_v": 575, "fla_a": times(0.8), "fla_set_a": times(0.8),
           "device_overload_set_a": times(0.8)}),
    Fault("nameplate/frequency-fits-site", "a 50 Hz motor",
          starting("A", poles=4), {"motor_frequency_hz": 50, "speed_rpm": 1455}),
    Fault("nameplate/code-letter-agrees", "code letter L against the stated locked-rotor current",
          lambda p: p["letter"] == "A" and p["power_kw"] > 10, {"code_letter": "L"}),
    Fault("nameplate/service-factor-not-spent", "drive's motor lives in its service factor",
          starting("D"), {"running_current_a": times(1.08)}),
)
# fmt: on

# fmt: off
SIZING = (
    Fault("sizing/current-covers-motor", "contactor one size too small",
          starting("A"), model={"rated_current_a": times(0.9)}),
    Fault("sizing/current-covers-motor", "hot room: derated below the motor's current",
          starting("B", load_kind="centrifugal pump"), {"ambient_c": 50},
          model={"rated_current_a": times(1.2)}),
    Fault("sizing/voltage-covers-system", "a device for 440 V at most on 480 V",
          starting("A"), model={"voltage_max_v": 440}),
    Fault("sizing/sensing-sees-motor sizing/not-far-oversized",
          "18 A soft starter on a 2 hp roll: its current sensing cannot see the motor",
          starting("B", fragile_load="yes"),
          model={"rated_current_a": 18, "overload_min_a": 6.3, "overload_max_a": 18}),
    Fault("sizing/sensing-sees-motor", "motor changed for a smaller one; below the sensing range",
          starting("S"), model={"overload_min_a": times(1.06)}),
    Fault("sizing/sensing-sees-motor", "drive's range begins above the motor's current",
          starting("D"), model={"overload_min_a": times(1.1)}),
    Fault("sizing/sensing-sees-motor", "overload relay of the next frame: range above the motor",
          starting("A"), {"relay_min_a": times(1.1), "relay_max_a": times(2.2),
                     "relay_set_a": times(1.15), "overload_marked_in": "trip amperes"}),
    Fault("sizing/not-far-oversized", "device four times the motor",
          starting("B"), model={"rated_current_a": times(4), "overload_min_a": times(0.8),
                           "overload_max_a": times(4)}),
    Fault("sizing/sensing-transformer-ratio", "current transformers of a far larger motor",
          lambda p: p["letter"] in "YT" and p["fla_a"] >= 100, {"ct_primary_a": 800}),
    Fault("sizing/altitude-within", "a model for 1000 m; the altitude was read in feet",
          starting("B"), {"altitude_m": 1017}, model={"altitude_max_m": 1000}),
    Fault("sizing/ambient-within", "beside the dryer hood: 54 °C, the model may see 50 °C",
          starting("B", area="Board machine", fragile_load="no"), {"ambient_c": 54},
          {"rated_current_a": times(1.6)}),
    Fault("sizing/load-within-motor", "impeller of the next size: 25 % above the nameplate",
          starting("B", load_kind="centrifugal pump"), {"running_current_a": times(1.25)}),
    Fault("sizing/power-covers-motor", "contactor for the horsepower of 208 V",
          starting("A"), model={"device_power_kw": times(0.6, "power_kw")}),
    Fault("sizing/frequency-covers", "coil for 50 Hz only, from a machine bought abroad",
          starting("A"), model={"frequency_max_hz": 50}),
    Fault("sizing/derated-margin", "just large enough, and 40 °C beside it",
          starting("D"), {"ambient_c": 38}, {"rated_current_a": times(1.02)}),
    Fault("sizing/enclosure-fits-place", "general-purpose enclosure in the log yard's weather",
          starting("A", area="Woodyard"),
          {"device_place": "outdoor", "enclosure_need": "NEMA 3R", "panel_enclosure": "none"}),
    Fault("sizing/motor-enclosure-fits-place", "open motor where pumps are hosed down",
          starting("A", load_kind="centrifugal pump"),
          {"motor_place": "washdown", "motor_enclosure": "ODP"}),
    Fault("sizing/hazardous-area-judged-elsewhere", "classified area, last inspected in 2019",
          starting("A", load_kind="positive-displacement pump"),
          {"hazardous_area": "yes", "hazardous_area_inspection_on": "2019-10-04"}),
)
# fmt: on

# fmt: off
DUTY = (
    Fault("duty/starts-within-device", "level control asks 6 starts an hour of a device for 4",
          starting("B", load_kind="centrifugal pump"),
          {"starts_per_hour": 6, "starts_per_hour_limit": 12, "min_rest_s": 300},
          model={"starts_per_hour_max": 4, "duty_code": "AC-53b: 4-20 : 880"}),
    Fault("duty/starts-within-device", "jogged 14 times an hour; the device withstands 10",
          starting("B", fragile_load="yes"),
          {"starts_per_hour": 14, "starts_per_hour_limit": 20, "min_rest_s": 120}),
    Fault("duty/starts-within-device", "6 starts an hour; by its duty code the device withstands 5",
          starting("B"), {"starts_per_hour": 6, "starts_per_hour_limit": 12, "min_rest_s": 300},
          model={"starts_per_hour_max": None, "duty_code": "AC-53b: 4-20 : 700"}),
    *(
        Fault("duty/starts-known-for-bypassed",
              "internal bypass, and nobody has counted its starts", starting("B", bus=bus),
              {"starts_per_hour": None})
        for bus in ("MCC-11", "MCC-21", "MCC-41")
    ),
    Fault("duty/starts-within-motor", "9 starts an hour of a motor that withstands about 5",
          starting("S"), {"starts_per_hour": 9, "min_rest_s": 300}),
    Fault("duty/starts-within-motor", "more starts than the motor's maker permits",
          starting("A"), {"starts_per_hour": 4, "starts_per_hour_limit": 2}),
    Fault("duty/starts-within-duty-code", "6 starts an hour; the code on the plate says 4",
          starting("S"),
          {"starts_per_hour": 6, "starts_per_hour_limit": 12, "min_rest_s": 400},
          {"duty_code": "AC-53a: 4-20 : 60-4"}),
    Fault("duty/rest-long-enough", "restarted after 10 s", starting("A"), {"min_rest_s": 10}),
    Fault("duty/contactor-category-fits", "inched all day on a contactor for running starts",
          starting("A", load_kind="conveyor"), {"inching": "yes", "inchings_per_10min": 40}),
    Fault("duty/contactor-life", "contacts for 60 000 operations, 4 starts an hour all year",
          lambda p: p["letter"] == "A" and p["starts_per_hour"] == 4,
          {"run_hours_per_year": 8000.0}, {"electrical_life_ops": 60000}),
    Fault("duty/duty-type-fits", "gate motor marked S2 30 min runs through the shift",
          starting("A", coupling="gear"),
          {"duty_type": "S2", "duty_run_min": 30.0, "longest_run_min": 480.0}),
)
# fmt: on

# fmt: off
OVERLOAD = (
    Fault("overload/present", "relay taken out and bridged", starting("A"),
          {"overload_place": "none", "relay_set_a": None, "relay_min_a": None,
           "relay_max_a": None, "relay_trip_class": None}),
    Fault("overload/set-within-nameplate", "relay turned up to stop its tripping",
          starting("A"), {"relay_set_a": times(1.35)}),
    Fault("overload/set-within-nameplate overload/trip-class-guards-stall",
          "relay in a phase of the delta, set to the line's current",
          starting("Y"),
          {"relay_leg": "phase", "relay_trip_class": "20", "relay_min_a": times(0.4), "hot_stall_s": 14}),
    Fault("overload/set-within-nameplate", "scale in motor amperes turned up to 120 %",
          starting("A"), {"relay_set_a": times(1.2), "overload_marked_in": "motor amperes"}),
    Fault("overload/trip-class-guards-stall", "class 20 before a motor that withstands 16 s from cold",
          starting("A"), {"relay_trip_class": "20", "hot_stall_s": 12, "cold_stall_s": 16}),
    Fault("overload/set-for-corrected-current", "capacitors put at the motor, relay left as it was",
          starting("A"),
          {"capacitor_side": "load side", "capacitor_kvar": lambda p: round(0.2 * p["power_kw"], 1),
           "relay_set_a": times(1.0)}),
    Fault("overload/set-within-nameplate", "overload in the device set at 130 %",
          starting("B"), {"device_overload_set_a": times(1.3)}),
    Fault("overload/not-below-running-current", "relay set well below the nameplate",
          starting("A"), {"relay_set_a": times(0.85)}),
    Fault("settings/recorded-since-device-change", "device changed; settings read before that",
          starting("B"), {"setting_recorded_on": "2009-05-12"}),
    Fault("overload/set-after-motor-change", "motor changed in June; overload as for the one before",
          starting("B"),
          {"motor_installed_on": "2026-06-08"}
          | dict.fromkeys((f"{check}_on" for check in AFTER_A_CHANGE), "2026-06-09")),
    Fault("overload/not-doubled", "relay behind the drive, set far above the drive's own",
          starting("D", overload_place="device"),
          {"overload_place": "relay", "relay_set_a": times(1.22), "relay_min_a": times(0.8),
           "overload_marked_in": "trip amperes",
           "relay_max_a": times(1.6), "relay_trip_class": "10", "relay_reset": "manual",
           "relay_for_drive": "yes"}),
    Fault("overload/inside-delta-setting", "put inside the delta, and set to the line's current",
          starting("B", load_kind="blower"), {"device_connection": "inside delta"}),
    Fault("overload/manual-reset-with-three-wire", "resets itself on a conveyor; its buttons do not restart it",
          starting("A", load_kind="conveyor"),
          {"restart_hurts": "yes", "relay_reset": "automatic", "restarts_by_itself": "no"}),
    Fault("overload/harmonic-heating", "bimetal relay at the output of a drive",
          starting("D", overload_place="device"),
          {"overload_place": "relay", "relay_set_a": times(1.0), "relay_min_a": times(0.8),
           "relay_max_a": times(1.6), "relay_trip_class": "10", "relay_reset": "manual",
           "relay_for_drive": "no"}),
    Fault("overload/lost-phase-seen", "old relay, blind to a lost phase",
          starting("A"), {"phase_loss_trip": "no"}),
)
# fmt: on

# fmt: off
LINE_PROTECTION = (
    Fault("line-protection/present", "no line protection of its own", starting("A"),
          {"protection_kind": "none", "protection_rating_a": None, "instantaneous_a": None,
           "interrupting_ka": None}),
    Fault("line-protection/as-device-maker-requires line-protection/device-withstands-fault",
          "breaker where the maker requires fuses",
          starting("S"), {"protection_kind": "inverse-time breaker"}),
    Fault("line-protection/device-withstands-fault", "fuses of class RK5; tested with class J",
          starting("D"), {"fuse_class": "RK5"}, {"fuse_class_required": "J"}),
    Fault("line-protection/as-device-maker-requires line-protection/device-withstands-fault",
          "larger than the maker permits",
          starting("D"), model={"line_protection_max_a": times(0.7, "protection_rating_a")}),
    Fault("line-protection/within-branch-limit", "breaker of 400 % of the motor's current",
          lambda p: p["letter"] == "A" and p["fla_a"] < 30
          and p["protection_kind"] == "inverse-time breaker",
          {"protection_rating_a": 150}, {"line_protection_max_a": 200}),
    Fault("line-protection/within-branch-table", "breaker of the exception; nobody wrote down why",
          lambda p: p["letter"] == "A" and 20 < p["fla_a"] < 60
          and p["protection_kind"] == "inverse-time breaker",
          {"protection_rating_a": times(3.2)}, {"line_protection_max_a": 400}),
    Fault("line-protection/instantaneous-within-table", "raised into the exception; nobody wrote down why",
          starting("A", protection_kind="instantaneous breaker"), {"instantaneous_a": times(13)}),
    Fault("line-protection/instantaneous-within-limit", "turned up to the end of its scale",
          starting("A"),
          {"protection_kind": "instantaneous breaker", "instantaneous_a": times(23)}),
    Fault("line-protection/interrupts-fault-current", "old breaker, 14 kA at a 34 kA bus",
          starting("A", bus="MCC-21"), {"interrupting_ka": 14}),
    Fault("line-protection/device-withstands-fault", "device of 10 kA at a 38 kA bus",
          starting("B", bus="MCC-31"), model={"short_circuit_rating_ka": 10}),
    Fault("line-protection/conductor-covers-motor", "cable of the smaller motor before it",
          starting("B"), {"cable_ampacity_a": times(1.02)}),
    Fault("line-protection/coordination-two-for-critical", "critical, co-ordinated by type 1",
          starting("A", criticality="critical", standby="installed"),
          model={"coordination_type": "type 1"}),
    Fault("line-protection/disconnect-covers-motor", "disconnect of the smaller motor before it",
          lambda p: p["letter"] == "A" and p["disconnect_rating_a"] >= 60,
          {"disconnect_rating_a": times(1.0)}),
    Fault("line-protection/disconnect-in-sight-or-lockable", "round the corner, and takes no lock",
          starting("A"), {"disconnect_in_sight": "no", "disconnect_lockable": "no"}),
    Fault("line-protection/semiconductor-fuse-where-required", "ordinary fuses in their clips",
          starting("S"), {"semiconductor_fuses": "no"}),
)
# fmt: on

# fmt: off
BYPASS = (
    Fault("bypass/critical-has-bypass", "critical, no standby; only the internal bypass",
          starting("B", criticality="critical"),
          {"standby": "none", "bypass_arrangement": "internal only", "bypass_starts_by": None,
           "must_run_during_repair": "no"}),
    Fault("bypass/critical-has-bypass", "critical drive without a bypass",
          starting("D", criticality="critical"),
          {"standby": "none", "bypass_arrangement": "none", "bypass_starts_by": None,
           "must_run_during_repair": "no"}),
    Fault("bypass/critical-has-bypass", "made critical this year; nothing added",
          starting("S", bypass_arrangement="none"),
          {"criticality": "critical", "standby": "none"}),
    Fault("bypass/replace-while-running", "must run during a repair; two contactors cannot isolate",
          starting("B", bypass_arrangement="three-contactor"),
          {"must_run_during_repair": "yes", "bypass_arrangement": "two-contactor"}),
    Fault("bypass/path-has-overload", "the bypass lost the device's overload",
          lambda p: p["letter"] in "BSD" and p["bypass_arrangement"] in BYPASSED,
          {"bypass_own_overload": "no"}),
    Fault("bypass/path-has-line-protection", "the bypass has no line protection",
          lambda p: p["letter"] in "BSD" and p["bypass_arrangement"] in BYPASSED,
          {"bypass_own_line_protection": "no"}),
    Fault("bypass/contactor-rated-to-start", "contactor only fit to carry (AC-1)",
          lambda p: p["letter"] in "BS" and p.get("bypass_starts_by") == "across-the-line",
          {"bypass_contactor_category": "AC-1"}),
    Fault("bypass/bypass-tested", "bypass not tested for three years",
          lambda p: p["letter"] in "BSD" and p["bypass_arrangement"] in BYPASSED,
          {"bypass_test_on": "2023-10-02"}),
    Fault("bypass/drive-bypass-motor-fits", "fan chosen for part speed; the line gives it all",
          lambda p: p["letter"] == "D" and p["bypass_arrangement"] in BYPASSED,
          {"full_speed_bearable": "no"}),
    Fault("bypass/running-bypass-closes-at-speed", "bypass closed by a timer of 8 s",
          starting("B"), {"bypass_closes_at": "timer"}),
)
# fmt: on

# fmt: off
APPLICATION = (
    Fault("application/variable-speed-needs-drive", "flow to be controlled; this cannot",
          starting("B"), {"speed_need": "variable"}),
    Fault("application/variable-speed-needs-drive", "dosing by speed, across the line",
          starting("A"), {"speed_need": "variable"}),
    Fault("application/belt-and-inertia-eased overload/trip-class-never-trips-a-start",
          "heavy belt-driven fan thrown on across the line",
          starting("A", coupling="belt", load_kind="centrifugal fan"),
          {"load_inertia_kgm2": lambda p: round(p["load_inertia_kgm2"] * 4, 2),
           "breakdown_torque_pct": 200, "starts_per_hour": 0.5}),
    Fault("application/pump-eased", "hammer in the main, pump across the line",
          starting("A", load_kind="centrifugal pump", surge_risk="no"), {"surge_risk": "yes"}),
    Fault("application/pump-stops-softly", "hammer in the main, pump coasts to a stop",
          starting("B", surge_risk="yes", bypass_arrangement="internal only"),
          {"stop_mode": "coast"}),
    Fault("application/fragile-load-eased", "glass-lined pump across the line",
          starting("A", load_kind="centrifugal pump", surge_risk="no", bypass_arrangement="none"),
          {"fragile_load": "yes"}),
    Fault("application/loaded-start-has-torque", "star-delta on a machine that starts loaded",
          starting("Y"), {"start_condition": "loaded", "load_breakaway_pct": 80}),
    Fault("application/capacitor-not-behind-electronics", "capacitors behind the soft starter",
          starting("B"), {"capacitor_side": "load side", "capacitor_kvar": 10}),
    Fault("application/capacitor-not-behind-electronics", "capacitors behind the drive",
          starting("D"), {"capacitor_side": "load side", "capacitor_kvar": 5}),
    Fault("application/two-speed-not-on-soft-starter", "two-speed motor on a soft starter",
          starting("B"), {"speed_need": "two-speed"}),
    Fault("application/inverter-duty-on-drive", "old motor, not rated for a drive",
          starting("D"), {"inverter_duty": "no"}),
    Fault("application/drive-for-fixed-speed", "a drive that never leaves line speed",
          starting("D", surge_risk="no"), {"speed_need": "fixed"}),
    Fault("application/long-cable-on-drive", "150 m of cable, no filter",
          starting("D"), {"cable_length_m": 150.0, "output_filter": "no"}),
    Fault("application/parallel-motors-own-overloads", "two motors on a drive, no relays",
          starting("D", overload_place="device"),
          {"motors_on_device": 2, "own_overloads": "no", "fla_set_a": times(2),
           "cable_ampacity_a": times(2, "cable_ampacity_a"), "disconnect_rating_a": times(2, "disconnect_rating_a"),
           "device_overload_set_a": times(1.0)}),
)
# fmt: on

# fmt: off
CONTROL = (
    Fault("control/voltage-matches-device", "24 V control on a 120 V device",
          starting("A"), {"control_voltage_v": 24}),
    Fault("control/local-hand-where-networked", "network only, no hand operation",
          starting("D", control_scheme="network"), {"hand_off_auto": "no"}),
    Fault("control/emergency-stop-hardwired", "emergency stop sent over the network",
          starting("BSD", control_scheme="network"), {"emergency_stop": "network"}),
    Fault("control/restart-by-itself-guarded overload/manual-reset-where-restart-hurts",
          "restarts by itself, and so resets its overload",
          starting("A", load_kind="conveyor"),
          {"restarts_by_itself": "yes", "relay_reset": "automatic", "restart_hurts": "yes"}),
    Fault("control/current-kind-matches-device", "DC control on an AC coil",
          starting("A"), {"control_current": "DC"}),
    Fault("control/protocol-supported", "commanded by a protocol that the drive does not speak",
          starting("D", control_scheme="network"), {"control_protocol": "PROFIBUS DP"}),
    Fault("control/hand-off-auto-present", "level switch starts it; no hand operation",
          starting("A", load_kind="centrifugal pump"),
          {"automatic_control": "yes", "hand_off_auto": "no"}),
    Fault("control/comms-loss-decided", "critical; nobody said what it does without its network",
          lambda p: p["criticality"] == "critical" and p["control_scheme"] in ("network", "both"),
          {"comms_loss_need": "not decided"}),
    Fault("control/local-stop-in-sight", "the nearest stop is in the control room",
          starting("A", load_kind="positive-displacement pump"), {"local_stop": "no"}),
)
# fmt: on

# fmt: off
COMMISSIONING = (
    Fault("commissioning/connections-verified", "never verified since the device was changed",
          starting("B"), {"connections_verified_on": "2008-03-11"}),
    Fault("commissioning/safety-checks-done", "safety checks marked not done",
          starting("A"), {"safety_checks_result": "not done"}),
    Fault("commissioning/parameters-reviewed", "parameters last reviewed before the change",
          starting("D"), {"parameters_reviewed_on": "2008-03-11"}),
    Fault("commissioning/bump-tested commissioning/load-tested",
          "motor changed in September; nobody has tried which way it turns",
          starting("A"),
          {"motor_installed_on": "2026-09-02"}
          | dict.fromkeys((f"{check}_on" for check in AFTER_A_CHANGE), "2026-09-03")
          | {"bump_test_on": "2008-03-11", "load_test_on": "2008-03-12"}),
    Fault("commissioning/rotation-known-in-service commissioning/load-tested",
          "tests older than motor and starter, which have run for years",
          starting("A"), {"bump_test_on": "2008-03-11", "load_test_on": "2008-03-12"}),
    Fault("commissioning/load-tested", "load test failed, never repeated",
          starting("B"), {"load_test_result": "failed"}),
    Fault("commissioning/thermography-current", "last thermography four years ago",
          starting("T"), {"thermography_on": "2022-09-14"}),
    Fault("commissioning/trip-tested", "overload not seen to trip since the starter was changed",
          starting("A"), {"trip_test_on": "2008-03-11"}),
    Fault("commissioning/insulation-tested", "motor changed, insulation not measured since",
          starting("A"), {"insulation_test_on": "2008-03-11"}),
    Fault("commissioning/inspection-current", "nobody has looked inside for three years",
          starting("Y"), {"visual_inspection_on": "2023-06-20"}),
    Fault("commissioning/order-kept", "turned first, parameters reviewed the week after",
          starting("D"), {"parameters_reviewed_on": lambda p: _later(p["bump_test_on"], 8)}),
)
# fmt: on

# fmt: off
OTHERS = (
    Fault("settings/limit-within-device duty/duty-code-covers-start",
          "current limit noted as 5.5, the device ends at 5",
          starting("B", start_mode="current limit", load_kind="centrifugal pump"),
          {"current_limit_xfla": 5.5}),
    Fault("settings/parameters-match-nameplate", "current of the motor before still set",
          starting("B"), {"fla_set_a": times(1.18)}),
    Fault("lifecycle/failed-is-planned", "device failed, running on the bypass",
          lambda p: p["letter"] == "B" and p["bypass_arrangement"] in BYPASSED,
          {"device_status": "failed"}),
    Fault("lifecycle/withdrawn-has-successor", "withdrawn model, nobody knows what replaces it",
          starting("S"), model={"lifecycle": "withdrawn", "successor": None}),
    Fault("settings/start-time-limit-set", "no limit on the time of a start",
          starting("B"), {"start_time_limit_s": 0.0}),
    Fault("settings/stop-mode-fits", "ramp for pumps set on a blower",
          starting("B", load_kind="blower"), {"stop_mode": "ramp for pumps"}),
    Fault("settings/recorded", "nobody has written down a setting",
          starting("SD"), dict.fromkeys(SETTINGS)),
    Fault("settings/recorded-since-device-change", "device changed, settings of the one before",
          starting("D", overload_place="relay"), {"setting_recorded_on": "2009-05-12"}),
    Fault("settings/backup-kept", "last saved before the settings were changed",
          starting("D"), {"parameter_backup_on": "2009-05-12"}),
    Fault("lifecycle/age-within-life", "thirty years old",
          starting("A"), {"made_on": "1996-08-19"}),
    Fault("lifecycle/repeat-trips", "three trips on overload since May",
          starting("A", load_kind="conveyor"),
          {"events": [("2026-05-19", "OHE"), ("2026-08-02", "UST"), ("2026-10-30", "OHE")]}),
    Fault("lifecycle/firmware-known", "networked drive of unknown firmware",
          starting("D", control_scheme="network"), {"firmware": None}),
    Fault("lifecycle/withdrawn-has-spare", "withdrawn, and nothing in store",
          starting("T", criticality="ordinary"), {"spares_in_store": 0},
          {"price": times(1.1, "price")}),
    Fault("lifecycle/critical-has-spare", "critical, nothing in store, twelve weeks to deliver",
          starting("BS", criticality="critical", standby="none"), {"spares_in_store": 0},
          {"lead_time_days": 84}),
)
# fmt: on

# fmt: off
STUDY = (
    Fault("start-study/accelerates settings/limit-enough-to-start",
          "limit of 1.5, as heard from another plant",
          starting("B", load_kind="centrifugal pump", start_mode="current limit"),
          {"current_limit_xfla": 1.5, "load_breakaway_pct": 25}, whole=True),
    Fault("start-study/start-time-within-stall start-study/motor-heat-within "
          "overload/trip-class-lets-it-start application/belt-and-inertia-eased",
          "a wheel far too heavy for a direct start",
          starting("A", load_kind="centrifugal fan", coupling="belt", bypass_arrangement="none"),
          {"load_inertia_kgm2": lambda p: round(p["load_inertia_kgm2"] * 24, 2),
           "starts_per_hour": 0.1, "min_rest_s": 7200}, whole=True),
    Fault("start-study/terminal-voltage-enough", "a long cable across the yard, and a thin one",
          starting("A", load_kind="centrifugal pump"),
          {"cable_length_m": 400, "cable_r_ohm_per_km": lambda p: round(60 / p["fla_a"], 2)},
          whole=True),
    Fault("start-study/terminal-voltage-least", "far end of the yard on a thin cable",
          starting("A", load_kind="centrifugal pump"),
          {"cable_length_m": 900, "cable_r_ohm_per_km": lambda p: round(60 / p["fla_a"], 2)},
          whole=True),
    Fault("bypass/path-start-within-limits", "glass-lined pump; its bypass is a hard start",
          starting("B", bypass_starts_by="across-the-line", fragile_load="no"),
          {"fragile_load": "yes"}, whole=True),
    Fault("settings/mode-fits-inertia duty/duty-code-covers-start "
          "overload/trip-class-never-trips-a-start", "a timed ramp on a heavy wheel",
          lambda p: p["load_kind"] in ("centrifugal fan", "blower")
          and p["letter"] == "B" and p["start_mode"] == "voltage ramp",
          {"load_inertia_kgm2": lambda p: round(p["load_inertia_kgm2"] * 7, 2),
           "starts_per_hour": 0.2, "min_rest_s": 7200}, whole=True),
    Fault("settings/initial-voltage-breaks-away settings/ramp-within-duty "
          "settings/mode-fits-inertia", "a ramp of a minute, from a tenth of the voltage",
          starting("B", load_kind="centrifugal pump", start_mode="voltage ramp"),
          {"initial_voltage_pct": 10, "ramp_s": 60}, whole=True),
    Fault("line-protection/instantaneous-lets-it-start", "instantaneous trip at 7 times full load",
          starting("A", protection_kind="inverse-time breaker"),
          {"protection_kind": "instantaneous breaker", "instantaneous_a": times(7)}, whole=True),
)
# fmt: on

# fmt: off
FAULTS = (
    *NAMEPLATE, *SIZING, *BYPASS, *DUTY, *OVERLOAD, *LINE_PROTECTION, *APPLICATION, *CONTROL,
    *COMMISSIONING, *OTHERS, *STUDY,
)
# fmt: on
