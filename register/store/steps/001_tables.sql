-- The register as version 0.1.0 made it.
CREATE TABLE site (site TEXT PRIMARY KEY NOT NULL, practice TEXT NOT NULL CHECK (practice IN ('us', 'iec')),
  site_frequency_hz REAL, site_altitude_m REAL, site_ambient_c REAL, currency TEXT, time_zone TEXT) STRICT;
CREATE TABLE bus (bus TEXT PRIMARY KEY NOT NULL, bus_description TEXT, fed_from TEXT REFERENCES bus ON UPDATE CASCADE,
  bus_voltage_v REAL, fault_current_ka REAL, x_over_r REAL, upstream_fault_mva REAL, transformer_kva REAL,
  transformer_z_pct REAL, transformer_x_over_r REAL, lineup_withstand_ka REAL, main_breaker_pickup_a REAL,
  main_breaker_delay_s REAL, main_breaker_instantaneous_a REAL, dip_limit_pct REAL) STRICT;
CREATE TABLE position (tag TEXT PRIMARY KEY NOT NULL, description TEXT, area TEXT, bus TEXT REFERENCES bus ON UPDATE
  CASCADE, criticality TEXT CHECK (criticality IN ('critical', 'essential', 'ordinary')), must_run_during_repair TEXT
  CHECK (must_run_during_repair IN ('yes', 'no')), standby TEXT CHECK (standby IN ('none', 'installed', 'shared')),
  load_kind TEXT CHECK (load_kind IN ('centrifugal pump', 'positive-displacement pump', 'deep-well pump', 'slurry
  pump', 'vacuum pump', 'centrifugal fan', 'axial fan', 'blower', 'conveyor', 'screw conveyor', 'crusher', 'mill',
  'mixer', 'agitator', 'reciprocating compressor', 'screw compressor', 'centrifugal compressor', 'centrifuge',
  'hoist', 'saw', 'other')), coupling TEXT CHECK (coupling IN ('direct', 'belt', 'gear', 'chain', 'fluid')),
  speed_need TEXT CHECK (speed_need IN ('fixed', 'variable', 'two-speed')), start_condition TEXT CHECK
  (start_condition IN ('unloaded', 'loaded')), load_inertia_kgm2 REAL, load_breakaway_pct REAL, load_torque_pct REAL,
  load_curve TEXT CHECK (load_curve IN ('constant', 'linear', 'square')), fragile_load TEXT CHECK (fragile_load IN
  ('yes', 'no')), surge_risk TEXT CHECK (surge_risk IN ('yes', 'no')), restart_hurts TEXT CHECK (restart_hurts IN
  ('yes', 'no')), full_speed_bearable TEXT CHECK (full_speed_bearable IN ('yes', 'no')), motors_on_device INTEGER,
  starts_per_hour REAL, longest_run_min REAL, inching TEXT CHECK (inching IN ('yes', 'no')), running_current_a REAL,
  min_rest_s REAL, run_hours_per_year REAL, ambient_c REAL, altitude_m REAL, device_place TEXT CHECK (device_place IN
  ('indoor', 'indoor dusty', 'indoor wet', 'washdown', 'outdoor')), motor_place TEXT CHECK (motor_place IN ('indoor',
  'indoor dusty', 'indoor wet', 'washdown', 'outdoor')), hazardous_area TEXT CHECK (hazardous_area IN ('yes', 'no')),
  enclosure_need TEXT, device_connection TEXT CHECK (device_connection IN ('in line', 'inside delta')), cable_length_m
  REAL, cable_r_ohm_per_km REAL, cable_x_ohm_per_km REAL, cable_ampacity_a REAL, output_filter TEXT CHECK
  (output_filter IN ('yes', 'no')), capacitor_kvar REAL, capacitor_side TEXT CHECK (capacitor_side IN ('none', 'line
  side', 'load side'))) STRICT;
CREATE TABLE motor (motor TEXT PRIMARY KEY NOT NULL, tag TEXT REFERENCES position ON UPDATE CASCADE, motor_maker TEXT,
  power_kw REAL, motor_voltage_v REAL, phases INTEGER, motor_frequency_hz REAL, poles INTEGER, speed_rpm REAL, fla_a
  REAL, service_factor REAL, design_letter TEXT CHECK (design_letter IN ('A', 'B', 'C', 'D', 'N', 'NY', 'NE', 'H',
  'HY', 'HE')), code_letter TEXT CHECK (code_letter IN ('A', 'B', 'C', 'D', 'E', 'F', 'G', 'H', 'J', 'K', 'L', 'M',
  'N', 'P', 'R', 'S', 'T', 'U', 'V')), locked_rotor_ratio REAL, locked_rotor_torque_pct REAL, breakdown_torque_pct
  REAL, efficiency_pct REAL, power_factor REAL, insulation_class TEXT CHECK (insulation_class IN ('A', 'E', 'B', 'F',
  'H')), temperature_rise_c REAL, hot_stall_s REAL, cold_stall_s REAL, rotor_inertia_kgm2 REAL, duty_type TEXT CHECK
  (duty_type IN ('S1', 'S2', 'S3', 'S4', 'S5', 'S6', 'S7', 'S8', 'S9', 'S10')), duty_run_min REAL, inverter_duty TEXT
  CHECK (inverter_duty IN ('yes', 'no')), starts_per_hour_limit REAL, motor_enclosure TEXT, motor_status TEXT CHECK
  (motor_status IN ('in service', 'in store', 'failed', 'scrapped')), motor_installed_on TEXT) STRICT;
CREATE TABLE model (model TEXT PRIMARY KEY NOT NULL, model_maker TEXT, device_kind TEXT CHECK (device_kind IN
  ('across-the-line', 'star-delta', 'autotransformer', 'soft starter', 'drive')), power_path TEXT CHECK (power_path IN
  ('internal bypass', 'solid state', 'contactor')), rated_current_a REAL, device_power_kw REAL, voltage_min_v REAL,
  voltage_max_v REAL, frequency_min_hz REAL, frequency_max_hz REAL, device_overload TEXT CHECK (device_overload IN
  ('built in', 'none')), overload_min_a REAL, overload_max_a REAL, trip_classes TEXT, duty_code TEXT,
  utilization_category TEXT CHECK (utilization_category IN ('AC-1', 'AC-2', 'AC-3', 'AC-4', 'AC-53a', 'AC-53b')),
  electrical_life_ops REAL, starts_per_hour_max REAL, short_circuit_rating_ka REAL, line_protection_kind TEXT CHECK
  (line_protection_kind IN ('fuse', 'breaker', 'fuse and breaker', 'fuse or breaker')), line_protection_max_a REAL,
  semiconductor_fuse_required TEXT CHECK (semiconductor_fuse_required IN ('yes', 'no')), motor_cable_max_m REAL,
  coordination_type TEXT CHECK (coordination_type IN ('type 1', 'type 2')), start_modes TEXT, current_limit_min_xfla
  REAL, current_limit_max_xfla REAL, device_control_voltage_v REAL, protocols TEXT, device_enclosure TEXT,
  ambient_max_c REAL, derate_above_c REAL, derate_pct_per_c REAL, altitude_max_m REAL, derate_above_m REAL,
  derate_pct_per_100m REAL, lifecycle TEXT CHECK (lifecycle IN ('current', 'ending', 'withdrawn')), successor TEXT,
  price REAL, lead_time_days REAL, life_years REAL) STRICT;
CREATE TABLE device (device TEXT PRIMARY KEY NOT NULL, model TEXT REFERENCES model ON UPDATE CASCADE, made_on TEXT,
  device_status TEXT CHECK (device_status IN ('in service', 'in store', 'failed', 'scrapped')), tag TEXT REFERENCES
  position ON UPDATE CASCADE, device_installed_on TEXT, stored_since TEXT, last_powered_on TEXT, firmware TEXT)
  STRICT;
CREATE TABLE setting (device TEXT NOT NULL REFERENCES device ON UPDATE CASCADE, setting_recorded_on TEXT NOT NULL,
  setting_recorded_by TEXT, start_mode TEXT CHECK (start_mode IN ('voltage ramp', 'current limit', 'limited ramp',
  'torque ramp', 'direct')), initial_voltage_pct REAL, tap_pct REAL, ramp_s REAL, current_limit_xfla REAL,
  transition_s REAL, initial_torque_pct REAL, final_torque_pct REAL, start_time_limit_s REAL, bypass_closes_at TEXT
  CHECK (bypass_closes_at IN ('full speed', 'end of ramp', 'timer')), stop_mode TEXT CHECK (stop_mode IN ('coast',
  'ramp', 'pump stop', 'brake')), stop_ramp_s REAL, fla_set_a REAL, device_overload_set_a REAL, device_trip_class TEXT
  CHECK (device_trip_class IN ('5', '10A', '10', '20', '30', '40')), overload_reset TEXT CHECK (overload_reset IN
  ('manual', 'automatic')), comms_loss_action TEXT CHECK (comms_loss_action IN ('stop', 'run on', 'preset speed')),
  PRIMARY KEY (device, setting_recorded_on)) STRICT;
CREATE TABLE protection (tag TEXT PRIMARY KEY NOT NULL REFERENCES position ON UPDATE CASCADE, protection_kind TEXT
  CHECK (protection_kind IN ('none', 'fuse', 'time-delay fuse', 'semiconductor fuse', 'inverse-time breaker',
  'instantaneous breaker', 'fuse and breaker')), protection_rating_a REAL, instantaneous_a REAL, interrupting_ka REAL,
  semiconductor_fuses TEXT CHECK (semiconductor_fuses IN ('yes', 'no')), disconnect_rating_a REAL, disconnect_in_sight
  TEXT CHECK (disconnect_in_sight IN ('yes', 'no')), disconnect_lockable TEXT CHECK (disconnect_lockable IN ('yes',
  'no')), overload_place TEXT CHECK (overload_place IN ('device', 'relay', 'none')), relay_set_a REAL, relay_min_a
  REAL, relay_max_a REAL, relay_trip_class TEXT CHECK (relay_trip_class IN ('5', '10A', '10', '20', '30', '40')),
  relay_reset TEXT CHECK (relay_reset IN ('manual', 'automatic')), relay_for_drive TEXT CHECK (relay_for_drive IN
  ('yes', 'no')), phase_loss_trip TEXT CHECK (phase_loss_trip IN ('yes', 'no')), own_overloads TEXT CHECK
  (own_overloads IN ('yes', 'no')), relay_leg TEXT CHECK (relay_leg IN ('line', 'phase')), ct_primary_a REAL) STRICT;
CREATE TABLE bypass (tag TEXT PRIMARY KEY NOT NULL REFERENCES position ON UPDATE CASCADE, bypass_arrangement TEXT
  CHECK (bypass_arrangement IN ('none', 'internal only', 'two-contactor', 'three-contactor', 'standby starter')),
  bypass_starts_by TEXT CHECK (bypass_starts_by IN ('across-the-line', 'star-delta', 'soft starter', 'drive')),
  bypass_own_overload TEXT CHECK (bypass_own_overload IN ('yes', 'no')), bypass_own_line_protection TEXT CHECK
  (bypass_own_line_protection IN ('yes', 'no')), bypass_contactor_category TEXT CHECK (bypass_contactor_category IN
  ('AC-1', 'AC-3', 'AC-4')), bypass_contactor_a REAL) STRICT;
CREATE TABLE control (tag TEXT PRIMARY KEY NOT NULL REFERENCES position ON UPDATE CASCADE, control_scheme TEXT CHECK
  (control_scheme IN ('hardwired', 'network', 'both')), automatic_control TEXT CHECK (automatic_control IN ('yes',
  'no')), comms_loss_need TEXT CHECK (comms_loss_need IN ('stop', 'run on', 'preset speed', 'not decided')),
  hand_off_auto TEXT CHECK (hand_off_auto IN ('yes', 'no')), local_stop TEXT CHECK (local_stop IN ('yes', 'no')),
  emergency_stop TEXT CHECK (emergency_stop IN ('hardwired', 'network', 'none')), control_voltage_v REAL,
  control_protocol TEXT, restarts_by_itself TEXT CHECK (restarts_by_itself IN ('yes', 'no'))) STRICT;
CREATE TABLE record (record_id INTEGER PRIMARY KEY, tag TEXT NOT NULL REFERENCES position ON UPDATE CASCADE,
  record_kind TEXT NOT NULL CHECK (record_kind IN ('connections verified', 'safety checks', 'parameters reviewed',
  'bump test', 'load test', 'bypass test', 'trip test', 'insulation test', 'thermography', 'parameter backup', 'visual
  inspection', 'hazardous area inspection')), done_on TEXT NOT NULL, done_by TEXT, result TEXT NOT NULL CHECK (result
  IN ('passed', 'failed', 'not done')), value REAL, value_unit TEXT, note TEXT) STRICT;
CREATE TABLE event (event_id INTEGER PRIMARY KEY, tag TEXT NOT NULL REFERENCES position ON UPDATE CASCADE, happened_on
  TEXT NOT NULL, failure_mode TEXT CHECK (failure_mode IN ('FTS', 'STP', 'UST', 'BRD', 'HIO', 'LOO', 'ERO', 'VIB',
  'NOI', 'ELU', 'OHE', 'PDE', 'AIR', 'STD', 'SER', 'OTH', 'UNK')), cause TEXT, downtime_h REAL, device TEXT REFERENCES
  device ON UPDATE CASCADE, motor TEXT REFERENCES motor ON UPDATE CASCADE) STRICT;
CREATE TABLE concession (concession_id INTEGER PRIMARY KEY, rule TEXT NOT NULL, tag TEXT NOT NULL REFERENCES position
  ON UPDATE CASCADE, reason TEXT NOT NULL, asked_by TEXT NOT NULL, asked_on TEXT NOT NULL, expires_on TEXT NOT NULL,
  decision TEXT CHECK (decision IN ('approved', 'refused')), decided_by TEXT, decided_on TEXT, decision_note TEXT,
  withdrawn_by TEXT, withdrawn_on TEXT, withdrawn_why TEXT, basis TEXT) STRICT;
CREATE TABLE action (action_id INTEGER PRIMARY KEY, tag TEXT NOT NULL REFERENCES position ON UPDATE CASCADE,
  against_rule TEXT NOT NULL, task TEXT, assigned_to TEXT NOT NULL, assigned_by TEXT, assigned_on TEXT NOT NULL,
  due_on TEXT NOT NULL, closed_on TEXT, closed_by TEXT, evidence_record TEXT CHECK (evidence_record IN ('connections
  verified', 'safety checks', 'parameters reviewed', 'bump test', 'load test', 'bypass test', 'trip test', 'insulation
  test', 'thermography', 'parameter backup', 'visual inspection', 'hazardous area inspection')), evidence_on TEXT,
  evidence_file TEXT, evidence_hash TEXT) STRICT;
CREATE TABLE change_set (change_set INTEGER PRIMARY KEY, made_on TEXT NOT NULL, author TEXT, reason TEXT NOT NULL,
  source_file TEXT, source_hash TEXT) STRICT;
CREATE TABLE open_change_set (only_one INTEGER PRIMARY KEY CHECK (only_one = 1), change_set INTEGER NOT NULL
  REFERENCES change_set) STRICT;
CREATE TABLE change (change_id INTEGER PRIMARY KEY, change_set INTEGER REFERENCES change_set, at TEXT NOT NULL,
  table_name TEXT NOT NULL, row_key TEXT NOT NULL, tag TEXT, tag_before TEXT, action TEXT NOT NULL, before TEXT, after
  TEXT) STRICT;
CREATE INDEX change_by_tag ON change(tag);
CREATE INDEX change_by_row ON change(table_name, row_key) WHERE action = 'update';
CREATE TABLE found (table_name TEXT NOT NULL, row_key TEXT NOT NULL, column_name TEXT NOT NULL, found_text TEXT,
  source_file TEXT, source_cell TEXT, unit_from TEXT, change_set INTEGER REFERENCES change_set, PRIMARY KEY
  (table_name, row_key, column_name, change_set)) STRICT;
CREATE TABLE blank (table_name TEXT NOT NULL, row_key TEXT NOT NULL, column_name TEXT NOT NULL, reason TEXT NOT NULL
  CHECK (reason IN ('not surveyed', 'illegible', 'not published', 'not applicable')), noted_on TEXT, noted_by TEXT,
  PRIMARY KEY (table_name, row_key, column_name)) STRICT;
CREATE TABLE audit (audit_id INTEGER PRIMARY KEY, made_at TEXT NOT NULL, made_by TEXT NOT NULL, today TEXT NOT NULL,
  change_id INTEGER NOT NULL, change_set INTEGER NOT NULL REFERENCES change_set, program_version TEXT NOT NULL,
  method_hash TEXT NOT NULL, pack_hash TEXT NOT NULL, register_hash TEXT NOT NULL, limits TEXT NOT NULL, scope TEXT
  NOT NULL, rules TEXT NOT NULL, counts TEXT NOT NULL) STRICT;
CREATE TABLE verdict (audit_id INTEGER NOT NULL REFERENCES audit, tag TEXT NOT NULL, outcomes TEXT NOT NULL,
  provisional TEXT NOT NULL, PRIMARY KEY (audit_id, tag)) STRICT;
CREATE TABLE finding (audit_id INTEGER NOT NULL REFERENCES audit, tag TEXT NOT NULL, rule TEXT NOT NULL, grade TEXT
  NOT NULL, provisional TEXT NOT NULL, margin REAL, detail TEXT NOT NULL, PRIMARY KEY (audit_id, tag, rule)) STRICT;
CREATE TABLE content (content_hash TEXT PRIMARY KEY, bytes BLOB NOT NULL) STRICT;
CREATE TABLE pack_file (pack_hash TEXT NOT NULL, path TEXT NOT NULL, content_hash TEXT NOT NULL REFERENCES content,
  PRIMARY KEY (pack_hash, path)) STRICT, WITHOUT ROWID;
CREATE TABLE source (source INTEGER PRIMARY KEY, change_set INTEGER REFERENCES change_set, source_file TEXT NOT NULL,
  source_hash TEXT, sheet TEXT, letters TEXT NOT NULL) STRICT;
CREATE TABLE source_row (table_name TEXT NOT NULL, row_key TEXT NOT NULL, source INTEGER NOT NULL REFERENCES source,
  row_number INTEGER NOT NULL, PRIMARY KEY (table_name, row_key, source, row_number)) STRICT, WITHOUT ROWID;
CREATE INDEX record_by_tag ON record(tag);
CREATE INDEX event_by_tag ON event(tag);
CREATE INDEX device_by_model ON device(model);
CREATE INDEX device_by_status ON device(device_status);
CREATE UNIQUE INDEX one_motor_a_position ON motor(tag) WHERE tag IS NOT NULL AND motor_status IS NOT 'scrapped';
CREATE UNIQUE INDEX one_device_a_position ON device(tag) WHERE tag IS NOT NULL AND device_status IS NOT 'scrapped';
