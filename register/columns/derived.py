"""Facts that `calc` works out; each is the result of the function of the same name."""

from register.columns.model import YES_NO, Column


def _real(name: str, unit: str, sentence: str) -> Column:
    return Column(name, "real", sentence, unit, origin="derived", table="facts")


def _choice(name: str, choices: tuple[str, ...], sentence: str) -> Column:
    return Column(name, "text", sentence, choices=choices, origin="derived", table="facts")


def _text(name: str, sentence: str) -> Column:
    return Column(name, "text", sentence, origin="derived", table="facts")


def _ends(name: str, unit: str, sentence: str) -> tuple[Column, ...]:
    """A figure with the least and the greatest of its band."""
    stem, _, end = name.rpartition("_")
    words = ("short", "long") if stem.endswith("_time") else ("low", "high")
    low, high = (f"{stem}_{word}_{end}" for word in words)
    return (
        _real(name, unit, sentence),
        _real(low, unit, f"low end of that: {sentence}"),
        _real(high, unit, f"high end of that: {sentence}"),
    )


def _start(prefix: str, how: str) -> tuple[Column, ...]:
    return (
        _choice(f"{prefix}_outcome", ("starts", "may stall", "stalls", "does not turn"),
                f"what becomes of a start {how}"),
        *_ends(f"{prefix}_time_s", "s", f"time to full speed {how}"),
        _real(f"{prefix}_peak_xfla", "×FLA", f"highest line current of a start {how}"),
        *_ends(f"{prefix}_peak_a", "A", f"highest line current of a start {how}"),
        *_ends(f"{prefix}_dip_pct", "%", f"deepest dip of the bus at a start {how}"),
        *_ends(f"{prefix}_motor_heat_pct", "%",
               f"heat of a start {how}, of what the motor withstands at locked rotor"),
        *_ends(f"{prefix}_main_breaker_pct", "%",
               f"share of its long-time trip that the main breaker reaches at a start {how}"),
    )


DERIVED = (
    # nameplate
    _real("power_hp", "hp", "rated output power in mechanical horsepower"),
    _real("synchronous_speed_rpm", "r/min", "synchronous speed from frequency and poles"),
    _real("poles_from_speed", "", "poles whose synchronous speed lies next above the rated speed"),
    _real("slip_pct", "%", "slip at full load"),
    _real("fla_from_power_a", "A", "full-load current worked out from power, voltage, η and cos φ"),
    _real("fla_mismatch_pct", "%", "nameplate current away from that, of it"),
    _real("implied_efficiency_factor", "", "η·cos φ that the nameplate's kW, V and A imply"),
    _real("table_flc_a", "A", "full-load current of the code table for this power and voltage"),
    _real("fla_to_table_ratio", "", "nameplate current over the table's current"),
    _real("code_current_a", "A", "current by which the code sizes conductors and line protection"),
    _real("locked_rotor_a", "A", "locked-rotor current from the stated ratio"),
    _real("locked_rotor_kva_per_hp", "kVA/hp", "locked-rotor apparent power per horsepower"),
    _real("code_letter_low_kva_per_hp", "kVA/hp", "lower limit of the code letter's band, included"),
    _real("code_letter_high_kva_per_hp", "kVA/hp", "upper limit of that band, excluded"),
    # derating and sizing
    _real("ambient_factor", "", "part of the device's rated current left at this ambient"),
    _real("altitude_factor", "", "part of the device's rated current left at this altitude"),
    _real("derated_current_a", "A", "device rated current left at this ambient and altitude"),
    _text("place_enclosure_need", "enclosure that a place of this kind usually asks for"),
    _choice("device_enclosure_fits", YES_NO,
            "whether the device's enclosure is what the place asks for"),
    _choice("motor_enclosure_fits", YES_NO,
            "whether the motor's enclosure suits the place where it stands"),
    _real("size_ratio", "", "device rated current over motor full-load current"),
    _real("ct_use_pct", "%", "motor full-load current of the current transformer's primary"),
    _choice("panel_enclosure_fits", YES_NO, "whether the panel round the device is what the place asks for"),
    _choice("rotor_wound", YES_NO, "whether the rotor is wound, with slip rings: no where a plate has a letter of cage motors"),
    _real("power_at_bus_kw", "kW", "largest motor that a contactor of this NEMA size starts at the motor's voltage"),
    # service, and the motors on the device
    _choice("load_service", ("process", "fire pump", "smoke control", "other life-safety"),
            "whether it serves the process or saves lives, as far as known"),
    _real("typical_other_motors_a", "A", "current of the other motors, were each as large as the one entered"),
    _real("all_motors_a", "A", "full-load current of all motors on the device"),
    _real("all_code_current_a", "A", "current by which the code sizes what carries all motors on the device"),
    # duty
    _real("duty_code_starts_per_hour", "1/h", "starts an hour that the device's duty code allows"),
    _real("standard_starts_allowed_per_hour", "1/h", "starts an hour of the standard's table"),
    _real("motor_rest_needed_s", "s", "rest between starts that the standard's table asks"),
    _real("load_inertia_limit_kgm2", "kg·m²", "largest load inertia the standard's formula allows"),
    _real("inertia_ratio", "", "load inertia over that limit"),
    _real("contactor_life_a", "a", "years that the contacts last, were every hour the busiest"),
    # overload
    _choice("motor_overload_reset", ("manual", "automatic"),
            "how the overload that protects the motor is reset"),
    _real("overload_set_a", "A", "setting of the overload that protects the motor"),
    _choice("overload_trip_class", ("2", "3", "5", "10A", "10", "15", "20", "25", "30", "40"),
            "trip class of the overload that protects the motor"),
    _real("overload_range_min_a", "A", "lowest motor current that overload can see"),
    _real("overload_range_max_a", "A", "highest motor current that overload can see"),
    _real("overload_current_a", "A", "motor current that the overload carries at full load"),
    _real("overload_set_max_a", "A", "highest overload setting in motor amperes that practice permits"),
    _real("overload_set_most_a", "A", "highest overload setting in trip amperes that practice permits"),
    _real("overload_corrected_max_a", "A",
          "highest overload setting in motor amperes with the capacitors at the terminals"),
    _real("cold_stall_least_s", "s", "time that the cold motor surely withstands with its rotor locked"),
    _real("cold_stall_most_s", "s", "time that the cold motor may withstand with its rotor locked"),
    # line protection and conductors
    _real("branch_protection_pct", "%", "share of that current that the code permits this kind"),
    _real("branch_limit_a", "A", "largest branch protection that the code permits"),
    _real("branch_exception_a", "A", "largest branch protection by the code's exceptions"),
    _real("branch_class_cc_a", "A", "largest branch protection by time-delay fuses of class CC"),
    _real("feeder_share_a", "A", "branch protection by which the motor counts before a feeder"),
    _choice("fuse_class_fits", YES_NO, "whether the fuses are of a class that the device's maker permits"),
    _real("conductor_needed_a", "A", "conductor ampacity that the code asks"),
    _real("typical_bus_load_a", "A", "current that a lineup usually draws, by its main breaker"),
    _choice("line_protection_kind_fits", YES_NO,
            "whether the installed kind is one that the device's maker requires"),
    _real("disconnect_needed_a", "A", "rated current that the code asks of the disconnecting means"),
    _real("fire_pump_hold_a", "A", "current that a fire pump's protection carries for ever"),
    _real("smallest_branch_limit_a", "A", "largest protection that the code permits for the smallest of several motors"),
    _real("group_limit_a", "A", "largest protection that the code permits before a listed group of motors"),
    _real("input_cable_needed_a", "A", "ampacity that the drive's supply cable needs"),
    _real("overload_lead_a", "A", "current that the overload lets flow in a lead of the motor's cable"),
    # the bypass
    _choice("ext_bypass", YES_NO, "whether a bypass or another starter goes round the device"),
    _real("bypass_needed_a", "A", "current that each contactor of the bypass carries"),
    _real("bypass_set_sure_a", "A", "setting of the bypass's overload that is right whatever it is marked in"),
    _real("bypass_set_most_a", "A", "highest setting of the bypass's overload, where it is marked in trip amperes"),
    _real("bypass_branch_limit_a", "A", "largest line protection of the bypass that the code permits"),
    # control
    _choice("protocol_supported", YES_NO, "whether the device speaks the network that is used"),
    # the load and the place
    _choice("load_duty", ("normal", "heavy"), "duty for which a drive of this load is rated"),
    _real("lowest_speed_pct", "%", "lowest speed at which the motor's own fan cools full torque, of rated speed"),
    _choice("ex_fits_area", YES_NO, "whether the classified area accepts the motor's type of protection"),
    _real("motor_place_factor", "", "share of its nameplate power that the motor can give where it stands"),
    # the winding
    _real("usual_delta_voltage_v", "V", "voltage for which such a winding is usually rated in delta"),
    _choice("delta_leads", YES_NO, "whether both ends of each phase are led out"),
    _choice("voltage_pair", YES_NO, "whether the nameplate voltage is the standard one for the system's"),
    _real("full_load_kvar", "kvar", "reactive power that the motor takes at full load"),
    _real("no_load_kvar", "kvar", "reactive power with which the motor magnetises"),
    # the load
    _real("start_torque_pct", "%", "torque at standstill with this way of starting, of full load"),
    _real("typical_load_torque_pct", "%",
          "torque that this kind of load usually asks near rated speed, of full load"),
    _real("typical_breakaway_pct", "%",
          "torque that this kind of load usually asks at standstill, of full load"),
    _choice("typical_load_curve", ("constant", "linear", "square"),
            "how the torque of this kind of load usually grows with speed"),
    _real("unloaded_share_pct", "%",
          "torque at rated speed asked while it is started, of that in service"),
    _real("typical_load_inertia_kgm2", "kg·m²",
          "inertia that this kind of load usually has, at the motor's speed"),
    _real("typical_rotor_inertia_kgm2", "kg·m²", "inertia that a rotor of this size usually has"),
    # the motor by the standards, where its nameplate says less
    _real("standard_fla_a", "A", "full-load current worked out, or of a standard"),
    _real("standard_efficiency_pct", "%", "efficiency worked out, or of a standard"),
    _real("standard_power_factor", "", "power factor worked out"),
    _real("standard_locked_rotor_ratio", "×FLA",
          "locked-rotor current by code letter or standard"),
    _real("standard_locked_rotor_torque_pct", "%", "least locked-rotor torque of the standard"),
    _real("standard_breakdown_torque_pct", "%", "least breakdown torque of the standard"),
    _real("standard_hot_stall_s", "s", "locked-rotor time from running temperature that the standard asks"),
    _choice("study_certainty", ("A", "B", "C", "D", "X"),
            "how sure a study can be: A maker's curves to D little known; X none possible"),
    # the start by the position's own device
    *_start("start", "by its own device"),
    *_ends("start_terminal_pct", "%", "lowest voltage at the motor during the start, of its rating"),
    _choice("start_overload_state", ("holds", "may trip", "trips"),
            "what an overload of the set class does during the start"),
    _real("start_overload_pct", "%", "share of its trip that the quickest overload of that class reaches"),
    _real("start_overload_low_pct", "%", "the same, if the start is as short as the motor's band lets it be"),
    *_ends("start_duty_s", "s", "the start as time at the current multiple of the duty code"),
    _real("start_device_peak_a", "A", "highest current in the device during the start"),
    *_ends("start_torque_margin_pct", "%", "least torque above the load's, of full load"),
    _choice("start_seen", ("yes",),
            "whether this start was seen to work since motor, device and settings are as they are"),
    _real("lowest_limit_xfla", "×FLA", "lowest current limit that takes the motor to speed"),
    _real("lowest_limit_low_xfla", "×FLA", "the same, if torque is high on the way"),
    _real("lowest_limit_high_xfla", "×FLA", "the same, if torque is low on the way"),
    _real("start_changeover_pct", "%", "speed at which a star-delta or autotransformer starter goes over"),
    _real("start_energy_kwh", "kWh", "energy of the start"),
    _real("duty_code_multiple", "", "current of the duty code, of the device's rated current"),
    _real("duty_code_time_s", "s", "time that the duty code allows at that current"),
    _real("locked_rotor_trip_s", "s",
          "trip of the overload with the rotor locked, from cold, by its class's slowest curve"),
    # the start on the bypass
    *_start("failover", "on the bypass"),
    _choice("failover_overload_state", ("holds", "may trip", "trips"),
            "what the bypass's overload does during a start on it"),
)
