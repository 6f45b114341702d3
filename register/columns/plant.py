"""The plant itself: the site, its buses, and the positions where motors stand."""

from register.columns.model import choice, date, flag, real, table, text  # noqa: F401

LOAD_KINDS = (
    "centrifugal pump|positive-displacement pump|deep-well pump|slurry pump|vacuum pump|"
    "centrifugal fan|axial fan|blower|conveyor|screw conveyor|crusher|mill|mixer|agitator|"
    "reciprocating compressor|screw compressor|centrifugal compressor|centrifuge|hoist|saw|other"
)

SITE = table(
    "site", "the plant, one row", "site",
    text("site", "name of the plant", "plant|facility|works", required=True),
    choice("practice", "us|iec", "body of practice the plant follows", "standard", required=True),
    real("site_frequency_hz", "Hz", 40, 70, "supply frequency of the site", "site hz"),
    real("site_altitude_m", "m", -430, 5500, "altitude of the site", "site altitude"),
    real("site_ambient_c", "°C", -40, 60, "highest usual ambient temperature on site",
         "site ambient|design ambient"),
    text("currency", "currency of all prices, ISO 4217 letters"),
    text("time_zone", "time zone of the site, a name of the IANA data base", "site time zone"),
)  # fmt: skip

BUS = table(
    "bus", "a bus or a motor control centre lineup", "bus",
    text("bus", "name of the bus or lineup",
         "mcc|lineup|switchboard|panel|board|fed from mcc|bucket lineup|mcc no|bus name|bus id|lineup no|"
         "switchgear|mcc id|mcc tag|mcc name", required=True),
    text("bus_description", "where the bus is and what it feeds", "bus description|mcc description|description|location"),
    text("fed_from", "the bus that feeds this one", "fed by|upstream bus|fed from|source|feeder", references="bus"),
    real("bus_voltage_v", "V", 100, 15000, "nominal system voltage of the bus",
         "system voltage|bus voltage|mcc voltage|system v|voltage|volts|nominal voltage|bus volts"),
    real("fault_current_ka", "kA", 0.1, 200, "available three-phase fault current at the bus",
         "fault current|available fault|short circuit current|isc|aic available|available fault current|"
         "fault level|short circuit|ik|isc available|fault ka|available sc"),
    real("x_over_r", "", 0.05, 100, "X/R ratio of the source behind the bus", "x/r|x/r ratio"),
    real("upstream_fault_mva", "MVA", 1, 50000, "fault level upstream of the transformer",
         "fault mva|utility fault level|source mva"),
    real("transformer_kva", "kVA", 5, 100000, "rating of the transformer that feeds the bus",
         "transformer kva|xfmr kva|transformer size"),
    real("transformer_z_pct", "%", 0.5, 25, "impedance of that transformer",
         "transformer impedance|xfmr %z|%z|impedance"),
    real("transformer_x_over_r", "", 0.1, 80, "X/R ratio of that transformer", "xfmr x/r"),
    real("lineup_withstand_ka", "kA", 1, 200, "short-circuit withstand of the lineup's bus bars",
         "bus bracing|withstand|lineup sccr|bracing"),
    real("main_breaker_pickup_a", "A", 10, 10000, "long-time pickup of the main breaker",
         "main pickup|main breaker|main ltpu"),
    real("main_breaker_delay_s", "s", 0.5, 60, "long-time delay of the main breaker at 6 times",
         "main delay|main ltd"),
    real("main_breaker_instantaneous_a", "A", 50, 200000, "instantaneous pickup of the main breaker",
         "main instantaneous|main inst"),
    real("dip_limit_pct", "%", 1, 50, "deepest voltage dip allowed on the bus at a start",
         "dip limit|allowed dip|max voltage dip"),
)  # fmt: skip

POSITION = table(
    "position", "a place in the plant where a motor stands", "tag",
    text("tag", "tag of the position",
         "tag no|tag number|equipment tag|equip no|equipment number|motor tag|item|item no|position|"
         "motor no|motor number|drive no|eq no|eq id|plant no|device tag|consumer|tag id|equip tag|"
         "equipment id|equip id|asset tag|loop", required=True),
    text("description", "what the motor drives", "service|equipment description|duty|name|load|service description|motor description|"
         "equipment name|driven load|purpose"),
    text("area", "area of the plant", "location|building|department|dept|unit|process area|zone|plant area|area code|section"),
    text("bus", "the bus or lineup that feeds it",
         "mcc|lineup|switchboard|fed from|panel|source|mcc no|feeder|supply|supplied from|power source", references="bus"),
    choice("criticality", "critical|essential|ordinary", "what the plant loses when it stops",
           "crit|critical|priority|importance|criticality class|rank|criticality rating|crit class|abc"),
    flag("must_run_during_repair", "whether the load has to run while its device is repaired",
         "cannot stop|must run|can't stop"),
    choice("standby", "none|installed|shared", "another machine that can take the load over",
           "spare machine|standby machine|duty/standby|redundancy|installed spare"),
    choice("load_kind", LOAD_KINDS, "kind of driven machine",
           "driven equipment|load type|application|driven machine|machine|equipment type"),
    choice("coupling", "direct|belt|gear|chain|fluid", "how the motor drives the load",
           "drive train|transmission|coupling type"),
    choice("speed_need", "fixed|variable|two-speed", "the speeds that the process needs",
           "speed control|speed requirement|speed type"),
    choice("start_condition", "unloaded|loaded", "how the load stands when it is started",
           "starts loaded|start loaded"),
    real("load_inertia_kgm2", "kg·m²", 1e-5, 1e6, "inertia of the load at the motor's speed",
         "load inertia|load wk2|load wr2|load gd2|wk2|wr2|inertia|gd2|j load"),
    real("load_breakaway_pct", "%", 0, 400, "load torque at standstill, of motor full-load torque",
         "breakaway torque|starting torque needed"),
    real("load_torque_pct", "%", 0, 250, "load torque at rated speed, of motor full-load torque",
         "load torque|load %|percent load"),
    choice("load_curve", "constant|linear|square", "how the load torque grows with speed",
           "torque curve|load curve type"),
    flag("fragile_load", "whether the load is hurt by a hard start", "fragile|gentle start needed"),
    flag("surge_risk", "whether a sudden start or stop hammers the pipework",
         "water hammer|hammer|surge"),
    real("starts_per_hour", "1/h", 0, 600, "starts asked of it in its busiest hour",
         "starts/hr|starts/h|starts per hr|starts hr|st/hr|sph|starts|starts per hour|no of starts/hr"),
    real("min_rest_s", "s", 0, 86400, "shortest rest between two starts", "rest time|min off time"),
    real("run_hours_per_year", "h", 0, 8784, "hours run in a year", "run hours|hours/yr|annual hours"),
    real("ambient_c", "°C", -40, 80, "highest usual ambient temperature at the starting device",
         "ambient|ambient temp|room temp|room temperature|ambient temperature"),
    real("altitude_m", "m", -430, 5500, "altitude of the position", "altitude|elevation"),
    flag("hazardous_area", "whether it stands in a classified (explosive) area",
         "hazardous|classified area|haz loc|ex area"),
    text("enclosure_need", "enclosure that the place asks for: IP code or NEMA type",
         "enclosure required|required enclosure"),
    real("cable_length_m", "m", 0, 20000, "length of the motor cable",
         "cable length|run length|cable run|circuit length|length|feeder length|length of cable"),
    real("cable_r_ohm_per_km", "ohm/km", 0.001, 50, "resistance of the motor cable, a phase",
         "cable r|cable resistance"),
    real("cable_x_ohm_per_km", "ohm/km", 0.001, 5, "reactance of the motor cable, a phase",
         "cable x|cable reactance"),
    real("cable_ampacity_a", "A", 1, 5000, "current the motor cable may carry as installed",
         "ampacity|cable ampacity|conductor ampacity|cable amps|cable rating|wire ampacity"),
    real("capacitor_kvar", "kvar", 0, 5000, "power-factor capacitors at the motor",
         "kvar|pf capacitor|capacitor"),
    choice("capacitor_side", "none|line side|load side",
           "where the capacitors are connected, seen from the device", "capacitor location"),
)  # fmt: skip
