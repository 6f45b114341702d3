"""The faults of the small plant."""

from __future__ import annotations

from making.faults import Fault, starting, times

# fmt: off
FAULTS = (
    Fault("bypass/critical-has-bypass", "critical pump; only the internal bypass",
          starting("B", surge_risk="yes"),
          {"criticality": "critical", "standby": "none", "must_run_during_repair": "no",
           "bypass_arrangement": "internal only", "bypass_starts_by": None}),
    Fault("duty/starts-known-for-bypassed",
          "internal bypass, and nobody has counted its starts", starting("B"),
          {"starts_per_hour": None}),
    Fault("nameplate/current-possible nameplate/current-agrees-with-power",
          "11 kW motor entered as 15, its horsepower",
          lambda p: p["letter"] in "AB" and p["power_kw"] == 11,
          {"power_kw": 15, "starts_per_hour": 0.5}),
    Fault("sizing/sensing-sees-motor", "drive's range begins above the motor's current",
          starting("D"), model={"overload_min_a": times(1.2)}),
    Fault("overload/set-within-nameplate", "relay turned up by 15 %",
          starting("A"), {"relay_set_a": times(1.15)}),
    Fault("application/variable-speed-needs-drive", "flow is to be controlled; star-delta cannot",
          starting("Y"), {"speed_need": "variable"}),
    Fault("sizing/load-within-motor", "fines have grown coarser: twice the plate's current",
          starting("A", bus="LV-A"), {"running_current_a": times(2)}),
    Fault("line-protection/device-withstands-fault", "device of 10 kA at a 22 kA bus",
          starting("A", bus="LV-A"), model={"short_circuit_rating_ka": 10}),
    Fault("commissioning/rotation-known-in-service commissioning/load-tested",
          "tests older than motor and starter, which have run for years",
          starting("A"), {"bump_test_on": "2008-03-11", "load_test_on": "2008-03-12"}),
    Fault("control/voltage-matches-device", "230 V control on a 24 V device",
          starting("A"), {"control_voltage_v": 230}),
    Fault("sizing/enclosure-fits-place", "IP20 in the dust of the crusher house",
          starting("A", bus="LV-A"),
          {"device_place": "indoor dusty", "enclosure_need": None, "panel_enclosure": "none"}),
    Fault("overload/lost-phase-seen", "relay without phase loss detection",
          starting("A", bus="LV-B"), {"phase_loss_trip": "no"}),
    Fault("commissioning/insulation-tested", "rewound motor put back unmeasured",
          starting("Y"), {"insulation_test_on": "2008-03-11"}),
    Fault("settings/start-time-limit-set", "no limit on the time of a start",
          starting("S"), {"start_time_limit_s": 0.0}),
)
# fmt: on
