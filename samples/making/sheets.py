"""The sheets of the list as found: who wrote which heading above which column."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SheetPlan:
    """One sheet: titles above the headings, columns, and the noise between the rows.

    A blank row comes after every `gap` rows; `breaks` are lines put in after so many rows, where
    an empty line stands for the headings once more; `foot` lines come last.
    """

    name: str
    titles: tuple[str, ...]
    columns: tuple[tuple[str, str, str], ...]
    table: str
    only: tuple[str, str] = ("", "")
    gap: int = 0
    breaks: tuple[tuple[int, tuple[object, ...]], ...] = ()
    foot: tuple[tuple[object, ...], ...] = ()

    def rows(self, found: dict[str, list[dict]]) -> list[dict]:
        """The rows of the table that the sheet shows."""
        column, wanted = self.only
        return [r for r in found[self.table] if not column or str(r.get(column)) == wanted]


def _columns(lines: str) -> tuple[tuple[str, str, str], ...]:
    """`heading = column` or `heading = column : style`, one a line."""
    found = []
    for line in filter(str.strip, lines.splitlines()):
        heading, _, rest = line.strip().rpartition(" = ")
        column, _, style = rest.partition(" : ")
        found.append((heading, column.strip(), style.strip() or "text"))
    return tuple(found)


_REST_OF_LIST = """
    Serial No = motor
    Mfr = motor_maker
    Installed = motor_installed_on : day
    Starter = device_kind : word
    Cat No = model
    Starter S/N = device
    Protection Type = protection_kind
    Breaker Amps = protection_rating_a : amps
    kAIC = interrupting_ka
    OL Type = overload_place
    OL Setting = relay_set_a : amps
"""


def _list(name: str, title: str, bus: str, head: str, **more) -> SheetPlan:
    titles = ("OMBRECLIFF BOARD MILL", f"MOTOR LIST - {title}   (rev. 14)", "")
    return SheetPlan(name, titles, _columns(head + _REST_OF_LIST), "position", ("bus", bus), **more)


# fmt: off
LISTS = (
    _list("MCC-11", "WOODYARD", "MCC-11", """
        Tag No. = tag : plain
        Service = description
        Location = area
        MCC = bus
        HP = power_kw : hp
        Volts = motor_voltage_v : volts
        RPM = speed_rpm
        F.L.A. = fla_a
        S.F. = service_factor
        Code = code_letter
        """, gap=10, foot=((), ("TOTAL", "", "", "", 642.5))),
    _list("MCC-21", "PULP HOUSE", "MCC-21", """
        Equip. No. = tag : plain
        Equipment Description = description
        Dept = area
        Fed From = bus
        Rating = power_kw : hp typed
        Voltage = motor_voltage_v
        Full Load Speed = speed_rpm
        Full Load Amps (460V) = fla_a : amps
        Serv. Factor = service_factor
        NEMA Code = code_letter
        """),
    _list("MCC-31", "STOCK PREPARATION", "MCC-31", """
        Tag = tag : plain
        Service = description
        Area = area
        MCC = bus
        Motor kW = power_kw
        Motor Voltage = motor_voltage_v : volts
        Rated Speed = speed_rpm
        In [A] = fla_a
        SF = service_factor
        LR Code = code_letter
        """, breaks=((0, ("PULPERS AND CHESTS",)), (16, ("REFINING",)), (24, ()))),
    _list("MCC-41", "BOARD MACHINE", "MCC-41", """
        Equipment Tag = tag : plain
        Load = description
        Unit = area
        Lineup = bus
        Horsepower = power_kw : hp typed
        V = motor_voltage_v : volts
        r/min = speed_rpm
        Nameplate Amps = fla_a : amps
        SF = service_factor
        Code = code_letter
        """, gap=12, foot=((), ("Sub-total", "", "", "", "2150 HP"))),
    _list("MCC-51", "EFFLUENT PLANT", "MCC-51", """
        Item = tag : plain
        Service = description
        Area = area
        MCC No. = bus
        Motor HP = power_kw : hp
        Volts = motor_voltage_v
        RPM = speed_rpm
        FLC = fla_a
        SF = service_factor
        Code = code_letter
        """),
)
# fmt: on

NAMEPLATES = SheetPlan(
    "nameplates",
    ("Nameplate survey", ""),
    _columns("""
        Tag No = tag : plain
        Motor S/N = motor
        Phase = phases
        Hz = motor_frequency_hz
        Poles = poles
        Design = design_letter
        LRA/FLA = locked_rotor_ratio
        LRT % = locked_rotor_torque_pct
        BDT % = breakdown_torque_pct
        Eff % = efficiency_pct
        PF = power_factor
        Ins Class = insulation_class
        Temp Rise = temperature_rise_c
        Hot Stall = hot_stall_s
        Cold Stall = cold_stall_s
        Rotor Inertia (kg·m²) = rotor_inertia_kgm2
        Duty Type = duty_type
        Time Rating (min) = duty_run_min
        Motor Starts Limit = starts_per_hour_limit
        VFD Rated = inverter_duty : flag
        Encl. = motor_enclosure
        Motor Status = motor_status
        """),
    "position",
    gap=25,
)

PROCESS = SheetPlan(
    "process data",
    ("Process data - from the flow sheets and the operators",),
    _columns("""
        Tag = tag : plain
        Crit. = criticality : word
        Must Run = must_run_during_repair : flag
        Redundancy = standby
        Driven Equipment = load_kind
        Drive Train = coupling
        Speed Control = speed_need
        Starts Loaded = start_condition
        Load Inertia = load_inertia_kgm2
        Breakaway Torque = load_breakaway_pct
        Load % = load_torque_pct
        Torque Curve = load_curve
        Fragile = fragile_load : flag
        Water Hammer = surge_risk : flag
        Kicks in an hour = starts_per_hour
        Min Off Time = min_rest_s
        Annual Hours = run_hours_per_year
        Room Temp (C) = ambient_c
        Elevation (m) = altitude_m
        Longest Run (min) = longest_run_min
        Jogged = inching : flag
        Running Amps = running_current_a : amps
        Measured At = running_current_at
        Jogs per 10 Min = inchings_per_10min
        Service Kind = service_kind
        Restart Hazard = restart_hurts : flag
        Full Speed OK = full_speed_bearable : flag
        Motors on Device = motors_on_device
        Starter Environment = device_place
        Motor Environment = motor_place
        Haz Loc = hazardous_area : flag
        Enclosure Required = enclosure_need
        Panel Enclosure = panel_enclosure
        """),
    "position",
    gap=30,
)

CABLES = SheetPlan(
    "cables",
    ("Cable schedule", "", ""),
    _columns("""
        Tag = tag : plain
        Cable Length (m) = cable_length_m
        Cable R = cable_r_ohm_per_km
        Cable X = cable_x_ohm_per_km
        Ampacity = cable_ampacity_a : amps
        PF Capacitor (kvar) = capacitor_kvar : or none
        Capacitor Location = capacitor_side
        Output Filter = output_filter : flag
        Delta Connection = device_connection
        Disconnect Amps = disconnect_rating_a : amps
        Disconnect in Sight = disconnect_in_sight : flag
        Disconnect Lockable = disconnect_lockable : flag
        Fast Fuses = semiconductor_fuses : flag
        Inst. Trip = instantaneous_a : amps
        Relay Min = relay_min_a
        Relay Max = relay_max_a
        OL Class = relay_trip_class
        OL Reset = relay_reset
        OL OK on Drive = relay_for_drive : flag
        Phase Loss = phase_loss_trip : flag
        Individual Overloads = own_overloads : flag
        OL In = relay_leg
        OL Marking = overload_marked_in
        Fuse Class = fuse_class
        Electronic Trip = instantaneous_electronic : flag
        CT Primary = ct_primary_a : or none
        """),
    "position",
)

CONTROL = SheetPlan(
    "control",
    ("How each is commanded, and got round", ""),
    _columns("""
        Equipment No = tag : plain
        Control Scheme = control_scheme
        HOA = hand_off_auto : flag
        Local Stop = local_stop : flag
        E-Stop = emergency_stop
        Control Volts = control_voltage_v : volts
        Control AC/DC = control_current
        Fieldbus = control_protocol
        Automatic Control = automatic_control : flag
        Comms Loss Wanted = comms_loss_need
        Auto Restart = restarts_by_itself : flag
        Bypass = bypass_arrangement
        Bypass Start = bypass_starts_by
        Bypass OL = bypass_own_overload : flag
        Bypass Breaker = bypass_own_line_protection : flag
        Bypass Contactor Class = bypass_contactor_category
        Bypass Contactor Amps = bypass_contactor_a : or none
        Bypass Isolated = bypass_isolated : flag
        Bypass Interlock = bypass_interlock
        bypass_overload_set_a = bypass_overload_set_a
        bypass_trip_class = bypass_trip_class
        bypass_protection_kind = bypass_protection_kind
        bypass_protection_rating_a = bypass_protection_rating_a
        Standby Start Mode = bypass_start_mode
        Standby Current Limit = bypass_current_limit_xfla
        Reversing Interlock = reversing_interlock
        """),
    "position",
)

SURVEY = SheetPlan(
    "survey 2026",
    ("What was asked for in 2026", ""),
    _columns(
        "\n".join(
            [
                "Tag = tag : plain",
                *(
                    f"{name} = {name}"
                    for name in (
                        "motor_leads",
                        "motor_cooling",
                        "voltage_delta_v",
                        "ct_speed_range",
                        "thermal_device",
                        "thermal_stops",
                        "ex_protection",
                        "te_s",
                        "relay_trip_lr_s",
                        "area_class",
                        "drive_certificate",
                        "fire_pump_listed",
                        "reverse_hurts",
                        "reversing",
                        "reverse_phase_trip",
                        "physical_condition",
                        "motor_ambient_c",
                        "protection_slash",
                        "combination_listed",
                        "run_by_supply",
                        "input_cable_ampacity_a",
                        "second_fla_a",
                        "second_overload_set_a",
                        "group_listed",
                        "other_motors_a",
                        "measured_start_on",
                        "measured_start_s",
                    )
                ),
            ]
        )
    ),
    "position",
)

DEVICES = SheetPlan(
    "starters",
    ("Starters in service",),
    _columns("""
        Tag = tag : plain
        Starter Serial = device
        Mfg Date = made_on : day
        Starter Status = device_status
        Starter Installed = device_installed_on : day
        FW Version = firmware
        """),
    "position",
)

SETTINGS = SheetPlan(
    "settings",
    ("Settings read from the keypads", ""),
    _columns("""
        Tag = tag : plain
        Starter Serial = device
        Settings Read On = setting_recorded_on
        Setting Recorded By = setting_recorded_by
        Starting Mode = start_mode
        Initial Voltage = initial_voltage_pct
        Ramp Time = ramp_s
        Current Limit = current_limit_xfla
        Start Time Limit = start_time_limit_s
        Bypass Closes = bypass_closes_at
        Stop Mode = stop_mode
        Soft Stop Time = stop_ramp_s
        Programmed FLA = fla_set_a : amps
        Device Overload Setting = device_overload_set_a
        Device Trip Class = device_trip_class
        Reset Mode = overload_reset
        Comms Loss = comms_loss_action
        Minimum Speed = min_speed_pct
        Transition Time = transition_s
        RFI Jumper = drive_filter_off
        """),
    "setting",
)

CATALOGUE = SheetPlan(
    "catalogue",
    ("Starter types, from the makers' lists", ""),
    _columns("""
        Catalogue Number = model
        Starter Make = model_maker
        Type of Starter = device_kind : word
        Run Path = power_path
        Device Rating = rated_current_a : amps
        Starter kW = device_power_kw
        Rated Power Volts = device_power_v : volts
        Voltage Min = voltage_min_v
        Voltage Max = voltage_max_v
        Frequency Min = frequency_min_hz
        Frequency Max = frequency_max_hz
        Built-in Overload = device_overload
        Overload Min = overload_min_a
        Overload Max = overload_max_a
        Available Trip Classes = trip_classes
        Duty Code Marked = duty_code
        Utilization Category = utilization_category
        Permitted Starts = starts_per_hour_max
        SCCR = short_circuit_rating_ka
        Required Protection = line_protection_kind
        Max Protection = line_protection_max_a
        Required Fuse Class = fuse_class_required
        High Speed Fuse Required = semiconductor_fuse_required : flag
        Max Motor Cable (m) = motor_cable_max_m
        Contact Life = electrical_life_ops
        Co-ordination = coordination_type
        Modes = start_modes
        Current Limit Min = current_limit_min_xfla
        Current Limit Max = current_limit_max_xfla
        Coil Voltage = device_control_voltage_v : volts
        Coil AC/DC = device_control_current
        Comms Available = protocols
        Starter Enclosure = device_enclosure
        Max Ambient (C) = ambient_max_c
        Derate Above (C) = derate_above_c
        Derate pct per C = derate_pct_per_c
        Max Altitude (m) = altitude_max_m
        Derate Above (m) = derate_above_m
        Derate pct per 100m = derate_pct_per_100m
        Normal Duty Amps = normal_duty_a
        Heavy Duty Amps = heavy_duty_a
        Drive Input Amps = input_current_a
        device_slash = device_slash
        Product Status = lifecycle
        Replacement Model = successor
        Unit Price = price
        Delivery = lead_time_days
        Design Life = life_years
        """),
    "identified model",
)

CHECKS = SheetPlan(
    "checks",
    ("Checks done", ""),
    _columns("""
        Tag = tag : plain
        Check = record_kind
        Date Done = done_on
        By = done_by
        Outcome = result
        """),
    "record",
)

EVENTS = SheetPlan(
    "trips",
    ("Trips and failures",),
    _columns("""
        Tag = tag : plain
        Date of Failure = happened_on : day
        Failure Mode = failure_mode
        Hours Lost = downtime_h
        """),
    "event",
)

LINEUPS = SheetPlan(
    "lineups",
    ("Lineups and their transformers",),
    _columns("""
        MCC = bus
        MCC Description = bus_description
        System Voltage = bus_voltage_v : volts
        Available Fault (kA) = fault_current_ka
        X/R = x_over_r
        Utility Fault Level = upstream_fault_mva
        XFMR kVA = transformer_kva
        XFMR %Z = transformer_z_pct
        XFMR X/R = transformer_x_over_r
        Bus Bracing = lineup_withstand_ka
        Main Type = main_kind
        Bus Amps = bus_rating_a : amps
        Feeder Ampacity = feeder_ampacity_a : amps
        Main LTPU = main_breaker_pickup_a : amps
        Main LTD = main_breaker_delay_s
        Main Inst = main_breaker_instantaneous_a
        System Grounding = system_earthing
        GFP = main_ground_fault_trip : flag
        Voltage Unbalance (%) = voltage_unbalance_pct
        Max Voltage Dip = dip_limit_pct
        """),
    "bus",
)

SPARE_MOTORS = SheetPlan(
    "spare motors",
    ("Motors in the store",),
    _columns("""
        Motor Serial = motor
        Make = motor_maker
        HP = power_kw : hp
        Volts = motor_voltage_v
        Phase = phases
        Hz = motor_frequency_hz
        Poles = poles
        RPM = speed_rpm
        FLA = fla_a
        SF = service_factor
        Design = design_letter
        Code = code_letter
        LRA/FLA = locked_rotor_ratio
        LRT % = locked_rotor_torque_pct
        BDT % = breakdown_torque_pct
        Eff % = efficiency_pct
        PF = power_factor
        Ins Class = insulation_class
        Temp Rise = temperature_rise_c
        Hot Stall = hot_stall_s
        Cold Stall = cold_stall_s
        Rotor Inertia (kg·m²) = rotor_inertia_kgm2
        Duty Type = duty_type
        Time Rating (min) = duty_run_min
        VFD Rated = inverter_duty : flag
        Encl. = motor_enclosure
        motor_leads = motor_leads
        motor_cooling = motor_cooling
        ex_protection = ex_protection
        thermal_device = thermal_device
        ct_speed_range = ct_speed_range
        Motor Status = motor_status
        """),
    "motor",
    ("motor_status", "in store"),
)

SPARE_DEVICES = SheetPlan(
    "spare starters",
    ("Starters in the store",),
    _columns("""
        Starter Serial = device
        Catalogue Number = model
        Mfg Date = made_on : day
        Starter Status = device_status
        In Store Since = stored_since : day
        Last Powered = last_powered_on : day
        FW Version = firmware
        """),
    "device",
    ("device_status", "in store"),
)

# fmt: off
SHEETS = (
    LINEUPS, CATALOGUE, *LISTS, PROCESS, NAMEPLATES, CABLES, CONTROL, SURVEY, DEVICES, SETTINGS, CHECKS,
    EVENTS, SPARE_MOTORS, SPARE_DEVICES,
)
# fmt: on
