"""Facts that `calc` works out; each is the result of the function of the same name."""

from register.columns.model import YES_NO, Column


def _real(name: str, unit: str, sentence: str) -> Column:
    return Column(name, "real", sentence, unit, origin="derived", table="facts")


def _choice(name: str, choices: tuple[str, ...], sentence: str) -> Column:
    return Column(name, "text", sentence, choices=choices, origin="derived", table="facts")


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
    _real("size_ratio", "", "device rated current over motor full-load current"),
    _real("ct_use_pct", "%", "motor full-load current of the current transformer's primary"),
    # duty
    _real("duty_code_starts_per_hour", "1/h", "starts an hour that the device's duty code allows"),
    _real("standard_starts_allowed_per_hour", "1/h", "starts an hour of the standard's table"),
    _real("motor_rest_needed_s", "s", "rest between starts that the standard's table asks"),
    _real("load_inertia_limit_kgm2", "kg·m²", "largest load inertia the standard's formula allows"),
    _real("inertia_ratio", "", "load inertia over that limit"),
    # overload
    _real("overload_set_a", "A", "setting of the overload that protects the motor"),
    _choice("overload_trip_class", ("5", "10A", "10", "20", "30", "40"),
            "trip class of the overload that protects the motor"),
    _real("overload_range_min_a", "A", "lowest motor current that overload can see"),
    _real("overload_range_max_a", "A", "highest motor current that overload can see"),
    _real("overload_current_a", "A", "motor current that the overload carries at full load"),
    _real("overload_set_max_a", "A", "highest overload setting that practice permits"),
    # line protection and conductors
    _real("branch_protection_pct", "%", "share of that current that the code permits this kind"),
    _real("branch_limit_a", "A", "largest branch protection that the code permits"),
    _real("conductor_needed_a", "A", "conductor ampacity that the code asks"),
    _choice("line_protection_kind_fits", YES_NO,
            "whether the installed kind is one that the device's maker requires"),
    # the load
    _real("start_torque_pct", "%", "torque at standstill with this way of starting, of full load"),
)  # fmt: skip
