"""How a position is set, protected, got round, commanded, checked - and what was accepted."""

from register.columns.model import choice, date, flag, integer, real, table, text

TRIP_CLASSES = "5|10A|10|20|30|40"
RECORD_KINDS = (
    "connections verified|safety checks|parameters reviewed|bump test|load test|bypass test|"
    "trip test|insulation test|thermography|parameter backup|visual inspection|"
    "hazardous area inspection"
)
PROTECTION_KINDS = (
    "none|fuse|time-delay fuse|semiconductor fuse|inverse-time breaker|instantaneous breaker|"
    "fuse and breaker"
)

SETTING = table(
    "setting", "what a device is set to, as read on a day", "device setting_recorded_on",
    text("device", "serial number of the device", references="device", required=True),
    date("setting_recorded_on", "day the settings were read", "settings read on", required=True),
    text("setting_recorded_by", "who read the settings"),
    choice("start_mode", "voltage ramp|current limit|limited ramp|torque ramp|direct", "how it starts the motor",
           "start mode|ramp type|starting mode"),
    real("initial_voltage_pct", "%", 0, 100, "voltage at which a ramp begins",
         "initial voltage|start voltage|pedestal"),
    real("tap_pct", "%", 30, 100, "voltage tap of an autotransformer, of line voltage",
         "tap|tap %|autotransformer tap"),
    real("ramp_s", "s", 0, 600, "time of the start ramp", "ramp|ramp time|accel time|start ramp"),
    real("current_limit_xfla", "×FLA", 0.3, 10, "current limit at the start",
         "current limit|limit|start current limit"),
    real("transition_s", "s", 0, 120, "time until a star-delta or autotransformer starter goes over",
         "transition time|changeover time|star time|transfer time"),
    real("initial_torque_pct", "%", 0, 200, "torque at which a torque ramp begins, of full load"),
    real("final_torque_pct", "%", 0, 300, "torque at which a torque ramp ends, of full load"),
    choice("after_torque_ramp", "held torque|full voltage", "what follows the end of a torque ramp",
           "after torque ramp"),
    real("start_time_limit_s", "s", 0, 600,
         "time after which it gives up a start; 0 where it never does",
         "start time limit|max start time|start timeout|stall time setting"),
    choice("bypass_closes_at", "full speed|end of ramp|timer",
           "what closes its internal bypass, or the run contactor round it",
           "bypass closes|up to speed by"),
    choice("stop_mode", "coast|ramp|pump stop|brake", "how it stops the motor", "stop mode"),
    real("stop_ramp_s", "s", 0, 600, "time of the stop ramp", "stop ramp|decel time|soft stop time"),
    real("fla_set_a", "A", 0.05, 5000, "motor full-load current entered in the device",
         "fla setting|programmed fla|motor fla setting"),
    real("device_overload_set_a", "A", 0.05, 5000, "overload setting in the device",
         "device overload setting|built-in overload setting"),
    choice("device_trip_class", TRIP_CLASSES, "trip class set in the device",
           "device trip class|trip class setting"),
    choice("overload_reset", "manual|automatic", "how the overload is reset", "reset|reset mode"),
    choice("comms_loss_action", "stop|run on|preset speed", "what it does when the network is lost",
           "comms loss|loss of comms action"),
)

PROTECTION = table(
    "protection", "a position's line protection and overload", "tag",
    text("tag", "the position", references="position", required=True),
    choice("protection_kind", PROTECTION_KINDS, "line protection as installed",
           "scpd|protection|branch protection|protective device|protection type|branch device|"
           "ocpd type|breaker type|fuse type|disconnect type"),
    real("protection_rating_a", "A", 0.5, 10000, "rating or trip setting of the line protection",
         "breaker size|fuse size|breaker|fuse|trip|breaker rating|fuse rating|protection amps|"
         "ocpd|breaker amps|breaker/fuse|cb size|cb rating|cb|breaker a|fuse amps|breaker trip|"
         "protection size|protection rating"),
    real("instantaneous_a", "A", 3, 100000, "instantaneous pickup of the line protection",
         "inst trip|instantaneous|mag trip|magnetic trip"),
    real("interrupting_ka", "kA", 0.5, 300, "interrupting rating of the line protection",
         "aic|kaic|interrupting|ir|breaking capacity|icu"),
    flag("semiconductor_fuses", "whether semiconductor fuses stand in the line",
         "semiconductor fuses|high speed fuses|fast fuses"),
    real("disconnect_rating_a", "A", 1, 10000, "rated current of the motor's disconnecting means",
         "disconnect amps|disconnect rating|disconnect size|isolator amps|isolator rating"),
    flag("disconnect_in_sight", "whether that stands within sight of motor and load",
         "disconnect in sight|isolator in sight"),
    flag("disconnect_lockable", "whether that can be locked open",
         "disconnect lockable|isolator lockable"),
    choice("overload_place", "device|relay|none", "what protects the motor against overload",
           "overload type|ol type|overload relay"),
    real("relay_set_a", "A", 0.05, 5000, "setting of the separate overload relay",
         "ol setting|overload setting|heater setting|ol set|overload set|ol dial|overload amps|"
         "ol trip setting|olr setting|thermal setting|relay setting"),
    real("relay_min_a", "A", 0.05, 5000, "lowest setting of the separate overload relay",
         "relay min|ol range min"),
    real("relay_max_a", "A", 0.05, 5000, "highest setting of the separate overload relay",
         "relay max|ol range max"),
    choice("relay_trip_class", TRIP_CLASSES, "trip class of the separate overload relay",
           "trip class|ol class|overload class|class|ol trip class"),
    choice("relay_reset", "manual|automatic", "how the separate overload relay is reset",
           "relay reset|ol reset|overload relay reset"),
    flag("relay_for_drive", "whether the relay's maker permits it at the output of a drive",
         "relay ok on drive|ol ok on drive"),
    flag("phase_loss_trip", "whether the overload trips when a phase is lost",
         "phase loss|phase loss protection|single phasing protection"),
    flag("own_overloads", "whether each of several motors has an overload of its own",
         "own overloads|individual overloads"),
    choice("relay_leg", "line|phase",
           "conductors that the overload relay carries, of a star-delta starter",
           "relay position|ol position|relay in|overload in|ol in"),
    choice("relay_side", "line|motor",
           "side of an autotransformer on which its overload relay stands", "relay side"),
    real("ct_primary_a", "A", 1, 10000, "primary current of the current transformers",
         "ct ratio|ct primary|ct|cts|ct size"),
)

BYPASS = table(
    "bypass", "the way round a device", "tag",
    text("tag", "the position", references="position", required=True),
    choice("bypass_arrangement",
           "none|internal only|two-contactor|three-contactor|standby starter",
           "the way round the device", "bypass|bypass arrangement|way round"),
    choice("bypass_starts_by", "across-the-line|star-delta|soft starter|drive",
           "how the motor is started on the way round", "bypass start|bypass method"),
    flag("bypass_own_overload", "whether the way round has an overload of its own",
         "bypass overload|bypass ol"),
    flag("bypass_own_line_protection", "whether the way round has line protection",
         "bypass protection|bypass fuse|bypass breaker"),
    choice("bypass_contactor_category", "AC-1|AC-3|AC-4",
           "utilization category of the bypass contactor", "bypass contactor class"),
    real("bypass_contactor_a", "A", 1, 5000, "rated current of the bypass contactor in it",
         "bypass contactor|bypass contactor amps"),
)

CONTROL = table(
    "control", "how a position is commanded", "tag",
    text("tag", "the position", references="position", required=True),
    choice("control_scheme", "hardwired|network|both", "how start and stop reach the device",
           "control|control type|control scheme"),
    flag("automatic_control", "whether a level, a sequence or a program starts and stops it",
         "auto control|automatic control"),
    choice("comms_loss_need", "stop|run on|preset speed|not decided",
           "what the process wants of it when the network is lost", "comms loss wanted"),
    flag("hand_off_auto", "whether there is a hand-off-auto switch", "hoa|h-o-a"),
    flag("local_stop", "whether there is a stop within sight of the motor", "local stop station"),
    choice("emergency_stop", "hardwired|network|none", "how an emergency stop acts",
           "e-stop|estop|emergency stop circuit"),
    real("control_voltage_v", "V", 5, 690, "control voltage at the position",
         "control voltage|control v|control volts|ctrl voltage"),
    text("control_protocol", "network protocol used", "protocol|network|fieldbus|comms"),
    flag("restarts_by_itself", "whether it may restart without a person, after a dip or a reset",
         "auto restart|automatic restart|restarts automatically"),
)

RECORD = table(
    "record", "a check done at a position", "record_id",
    integer("record_id", "", 1, None, "number of the record", origin="internal"),
    text("tag", "the position", references="position", required=True),
    choice("record_kind", RECORD_KINDS, "what was checked",
           "check|test|check type|record type|inspection", required=True),
    date("done_on", "day it was done", "date|date done|checked on|test date|done|inspection date|date of test", required=True),
    text("done_by", "who did it", "by|technician|checked by|initials|tech|inspector|tested by"),
    choice("result", "passed|failed|not done", "how it came out", "outcome|pass/fail|ok",
           required=True),
    real("value", "", None, None, "the value measured, where there is one", "reading|measured"),
    text("value_unit", "unit of that value"),
    text("note", "anything worth reading later", "remarks|comments|notes|comment"),
)

EVENT = table(
    "event", "a failure, a trip or a repair", "event_id",
    integer("event_id", "", 1, None, "number of the event", origin="internal"),
    text("tag", "the position", references="position", required=True),
    date("happened_on", "day it happened", "event date|failure date|date|date of failure|happened|failed on", required=True),
    choice("failure_mode", "FTS|STP|UST|BRD|HIO|LOO|ERO|VIB|NOI|ELU|OHE|PDE|AIR|STD|SER|OTH|UNK",
           "failure mode, ISO 14224 letters", "mode|failure"),
    text("cause", "what was found", "root cause|reason|failure cause"),
    real("downtime_h", "h", 0, 20000, "hours the load was lost", "downtime|down hours|hours lost|downtime hrs|hours down"),
    text("device", "serial of the device concerned", references="device"),
    text("motor", "serial of the motor concerned", references="motor"),
)

CONCESSION = table(
    "concession", "a departure from a rule that was asked for, and what was decided",
    "concession_id",
    integer("concession_id", "", 1, None, "number of the concession", origin="internal"),
    text("rule", "id of the rule", required=True),
    text("tag", "the position", references="position", required=True),
    text("reason", "why the departure can be borne", required=True),
    text("asked_by", "who asked for it", required=True),
    date("asked_on", "day it was asked for", required=True),
    date("expires_on", "last day on which it holds", required=True),
    choice("decision", "approved|refused", "what was decided"),
    text("decided_by", "who decided"),
    date("decided_on", "day it was decided"),
    text("decision_note", "why it was decided so"),
    text("withdrawn_by", "who withdrew it"),
    date("withdrawn_on", "day it was withdrawn"),
    text("withdrawn_why", "why it was withdrawn"),
    text("basis", "the rule, motor, device, margin and values it was asked on, as JSON"),
)

ACTION = table(
    "action", "what someone is to do about a finding, and how it was closed", "action_id",
    integer("action_id", "", 1, None, "number of the action", origin="internal"),
    text("tag", "the position", references="position", required=True),
    text("against_rule", "id of the rule that the position fails", required=True),
    text("task", "what is to be done"),
    text("assigned_to", "who is to do it", required=True),
    text("assigned_by", "who assigned it"),
    date("assigned_on", "day it was assigned", required=True),
    date("due_on", "day by which it is to be done", required=True),
    date("closed_on", "day it was said to be done"),
    text("closed_by", "who said so"),
    choice("evidence_record", RECORD_KINDS, "kind of the record that shows it"),
    date("evidence_on", "day of that record"),
    text("evidence_file", "name of the file that shows it"),
    text("evidence_hash", "SHA-256 of that file, in hexadecimal digits"),
)
