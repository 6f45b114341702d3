"""Things that come and go at positions: motors, starting devices and their catalogue entries."""

from register.columns.model import choice, date, flag, integer, real, table, text

STATUSES = "in service|in store|failed|scrapped"

MOTOR = table(
    "motor", "a motor, by serial number", "motor",
    text("motor", "serial number of the motor",
         "motor serial|motor serial no|serial|serial no|serial number|motor s/n|s/n|motor id|motor", required=True),
    text("tag", "the position where it stands; blank in store", references="position"),
    text("motor_maker", "maker of the motor",
         "manufacturer|mfr|make|motor make|motor manufacturer|maker|brand|oem"),
    real("power_kw", "kW", 0.02, 30000, "rated output power",
         "kw|hp|horsepower|power|rated power|rating|motor hp|motor kw|motor size|rated output|size|"
         "output|bhp|pn|nameplate hp|nameplate kw|rated hp|rated kw|motor power|nominal power|p2|"
         "motor rating|motor output"),
    real("motor_voltage_v", "V", 100, 15000, "rated voltage on the nameplate",
         "voltage|volts|v|motor voltage|rated voltage|nameplate voltage|un|motor volts|nominal voltage|"
         "nameplate volts|supply voltage|line voltage"),
    integer("phases", "", 1, 3, "number of phases", "phase|ph|no of phases|phase no"),
    real("motor_frequency_hz", "Hz", 40, 70, "rated frequency", "hz|frequency|freq|motor hz|line frequency|rated frequency"),
    integer("poles", "", 2, 48, "number of poles", "no of poles|pole|poles p|motor poles|2p|pole count"),
    real("speed_rpm", "r/min", 50, 3600, "rated speed at full load",
         "rpm|speed|r/min|rated speed|nameplate rpm|full load speed|min-1|n|motor rpm|motor speed|"
         "rated rpm|full load rpm|fl rpm|fl speed|nameplate speed|nn"),
    real("fla_a", "A", 0.05, 5000, "full-load current on the nameplate",
         "fla|flc|full load amps|full load current|amps|rated current|nameplate amps|in|"
         "motor fla|current|rated amps|nameplate current|fl amps|motor amps|motor current|nameplate fla|"
         "motor flc|full load a|rated fla|i nom|nominal current"),
    real("service_factor", "", 1, 2, "service factor", "sf|s.f.|serv factor|svc factor|motor sf"),
    choice("design_letter", "A|B|C|D|N|NY|NE|H|HY|HE", "design letter (NEMA MG 1, IEC 60034-12)",
           "design|nema design|des|nema des|design code|motor design"),
    choice("code_letter", "A|B|C|D|E|F|G|H|J|K|L|M|N|P|R|S|T|U|V",
           "locked-rotor code letter", "code|kva code|lr code|nema code|locked rotor code|nema code letter|kva/hp code"),
    real("locked_rotor_ratio", "×FLA", 1.5, 15, "locked-rotor current as a multiple of FLA",
         "ia/in|lrc ratio|lra/fla|starting current ratio|is/in|lrc/flc|locked rotor current ratio|il/in|"
         "inrush ratio"),
    real("locked_rotor_torque_pct", "%", 10, 500, "locked-rotor torque, of full-load torque",
         "lrt|lrt %|locked rotor torque|starting torque %|ma/mn"),
    real("breakdown_torque_pct", "%", 100, 600, "breakdown torque, of full-load torque",
         "bdt|bdt %|breakdown torque|pull-out torque"),
    real("efficiency_pct", "%", 20, 99.5, "efficiency at full load",
         "efficiency|eff|eff %|nema eff|nom eff|nominal efficiency|eta|motor eff|fl eff|full load eff|"
         "nema nom eff|nema nominal efficiency"),
    real("power_factor", "", 0.2, 0.99, "power factor at full load",
         "pf|cos phi|cosφ|cos φ|p.f.|fl pf|motor pf|full load pf|cos fi|power factor fl|pf %"),
    choice("insulation_class", "A|E|B|F|H", "thermal class of the insulation",
           "insulation|ins class|ins cl|insul|ins|insulation cl|thermal class"),
    real("temperature_rise_c", "K", 20, 150, "marked temperature rise",
         "temp rise|temperature rise|rise"),
    real("hot_stall_s", "s", 1, 120, "safe stall time from running temperature",
         "hot stall|hot stall time|safe stall hot|locked rotor time hot"),
    real("cold_stall_s", "s", 1, 240, "safe stall time from cold", "cold stall|cold stall time"),
    real("rotor_inertia_kgm2", "kg·m²", 1e-6, 1e5, "inertia of the rotor",
         "rotor wk2|motor inertia|rotor inertia|motor wk2"),
    choice("duty_type", "S1|S2|S3|S4|S5|S6|S7|S8|S9|S10", "duty type (IEC 60034-1)",
           "motor duty|duty class"),
    flag("inverter_duty", "whether the motor is made for a drive",
         "inverter rated|vfd rated|inverter duty motor"),
    real("starts_per_hour_limit", "1/h", 0.1, 600, "starts an hour that the motor's maker permits",
         "motor starts limit|max starts motor|motor max starts/hr"),
    text("motor_enclosure", "enclosure or cooling of the motor (TEFC, ODP, IP55)",
         "enclosure|encl|motor encl|ip|protection class|ip rating|ip class|motor enclosure type"),
    choice("motor_status", STATUSES, "where the motor is in its life",
           "motor condition|status|condition|state"),
    date("motor_installed_on", "day the motor was put at this position",
         "installed|install date|motor installed|motor install date|in service since|date installed|"
         "date inst|commissioned|year installed"),
)  # fmt: skip

MODEL = table(
    "model", "a starting device type, from its maker's catalogue", "model",
    text("model", "catalogue number of the device type",
         "catalog no|cat no|catalogue number|catalog number|part number|starter model|device model|"
         "type|starter type no|order number|starter cat no|part no|model no|starter part no|p/n|"
         "device cat no|starter catalog number|drive model|catalog #", required=True),
    text("model_maker", "maker of the device", "starter make|starter mfr|device make|starter maker|manufacturer|mfr|make|maker|brand|drive make|"
         "vendor"),
    choice("device_kind", "across-the-line|star-delta|autotransformer|soft starter|drive",
           "way of starting",
           "starter|starter type|starting method|start method|type of starter|device|device type|"
           "starting device|method|start type|starting|how started|starter kind|control method|controller|"
           "controller type|starting type"),
    choice("power_path", "internal bypass|solid state|contactor",
           "what carries the current once the motor is up to speed",
           "run path|bypass type|internal bypass|construction"),
    real("rated_current_a", "A", 0.1, 5000, "rated current of the device",
         "starter amps|device rating|starter rating|device amps|rated current of starter|rated current|"
         "current rating|amp rating|starter size|starter current|drive amps|amps|rated amps|ie"),
    real("voltage_min_v", "V", 50, 15000, "lowest line voltage it is made for", "voltage min"),
    real("voltage_max_v", "V", 50, 15000, "highest line voltage it is made for", "voltage max"),
    choice("device_overload", "built in|none", "whether it carries a motor overload of its own",
           "built-in overload|internal overload"),
    real("overload_min_a", "A", 0.05, 5000, "lowest motor current its overload can be set to and see",
         "overload min|ol min|range min|ol range min"),
    real("overload_max_a", "A", 0.05, 5000, "highest motor current its overload can be set to and see",
         "overload max|ol max|range max|ol range max"),
    text("trip_classes", "trip classes it offers, separated by commas", "available trip classes"),
    text("duty_code", "rating code of a semiconductor controller, as marked (AC-53b: 3.5-15 : 345)",
         "duty rating|duty code marked|utilization code"),
    choice("utilization_category", "AC-1|AC-2|AC-3|AC-4|AC-53a|AC-53b", "utilization category",
           "utilisation category|ac category"),
    real("starts_per_hour_max", "1/h", 0.1, 3600, "starts an hour that its maker permits",
         "device starts/hr|max starts/hr|permitted starts"),
    real("short_circuit_rating_ka", "kA", 0.5, 200, "short-circuit rating with its line protection",
         "sccr|short circuit rating|device sccr|starter sccr|short circuit current rating|iq"),
    choice("line_protection_kind", "fuse|breaker|fuse and breaker|fuse or breaker",
           "line protection that its maker requires", "required protection"),
    real("line_protection_max_a", "A", 1, 10000, "largest line protection that its maker permits",
         "max protection|max fuse|max breaker"),
    choice("coordination_type", "type 1|type 2", "co-ordination with its line protection",
           "coordination|co-ordination"),
    text("start_modes", "start modes it offers, separated by commas", "modes"),
    real("current_limit_min_xfla", "×FLA", 0.5, 8, "lowest current limit it can be set to"),
    real("current_limit_max_xfla", "×FLA", 1, 10, "highest current limit it can be set to"),
    real("device_control_voltage_v", "V", 5, 690, "control voltage it is made for",
         "coil voltage|device control voltage"),
    text("protocols", "network protocols it speaks, separated by commas", "comms available"),
    text("device_enclosure", "enclosure of the device: IP code or NEMA type",
         "starter enclosure|device encl|starter encl|enclosure|encl"),
    real("ambient_max_c", "°C", 20, 80, "highest ambient it may work in", "max ambient"),
    real("derate_above_c", "°C", 20, 70, "ambient above which its current is derated"),
    real("derate_pct_per_c", "%/K", 0, 10, "current lost for each kelvin above that"),
    real("altitude_max_m", "m", 500, 6000, "highest altitude it may work at", "max altitude"),
    real("derate_above_m", "m", 0, 4000, "altitude above which its current is derated"),
    real("derate_pct_per_100m", "%/100 m", 0, 5, "current lost for each 100 m above that"),
    choice("lifecycle", "current|ending|withdrawn", "whether it can still be bought",
           "life cycle|obsolescence|product status|status|availability"),
    text("successor", "catalogue number that replaces it", "replaced by|replacement model"),
    real("price", "currency", 0, 1e7, "price of one", "cost|unit price|list price|unit cost"),
    real("lead_time_days", "d", 0, 2000, "days from order to delivery", "lead time|delivery"),
    real("life_years", "a", 1, 60, "years it can be expected to last", "expected life|design life"),
    catalogue=True,
)  # fmt: skip

DEVICE = table(
    "device", "a starting device, by serial number", "device",
    text("device", "serial number of the device",
         "starter serial|device serial|starter s/n|device id|starter serial no|device serial no|serial|"
         "serial no|s/n|serial number|drive serial|soft starter serial", required=True),
    text("model", "catalogue number of its type", references="model"),
    date("made_on", "day it was made", "date code|manufactured|mfg date"),
    choice("device_status", STATUSES, "where the device is in its life",
           "starter status|device condition|status|condition|state"),
    text("tag", "the position where it stands; blank in store", references="position"),
    date("device_installed_on", "day the device was put at this position",
         "starter installed|device installed|starter install date|installed|install date|commissioned|"
         "date installed|date inst"),
    date("stored_since", "day it went into store", "in store since"),
    date("reformed_on", "day it was last under voltage in store, to form its capacitors anew;"
         " the day it was stored, if never", "capacitors re-formed|last powered|reformed"),
)  # fmt: skip
