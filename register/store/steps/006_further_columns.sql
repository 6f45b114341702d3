-- further columns
ALTER TABLE bus ADD COLUMN main_kind TEXT CHECK (main_kind IN ('breaker', 'fuse', 'time-delay fuse'));
ALTER TABLE bus ADD COLUMN bus_rating_a REAL;
ALTER TABLE bus ADD COLUMN feeder_ampacity_a REAL;
ALTER TABLE bus ADD COLUMN system_earthing TEXT CHECK (system_earthing IN ('solid wye', 'resistance', 'isolated',
  'corner', 'high-leg'));
ALTER TABLE bus ADD COLUMN main_ground_fault_trip TEXT CHECK (main_ground_fault_trip IN ('yes', 'no'));
ALTER TABLE bus ADD COLUMN voltage_unbalance_pct REAL;
ALTER TABLE position ADD COLUMN service_kind TEXT CHECK (service_kind IN ('process', 'fire pump', 'smoke control',
  'other life-safety'));
ALTER TABLE position ADD COLUMN other_motors_a REAL;
ALTER TABLE position ADD COLUMN inchings_per_10min REAL;
ALTER TABLE position ADD COLUMN running_current_at TEXT CHECK (running_current_at IN ('motor', 'device input'));
ALTER TABLE position ADD COLUMN panel_enclosure TEXT;
ALTER TABLE position ADD COLUMN area_class TEXT CHECK (area_class IN ('zone 0', 'zone 1', 'zone 2', 'zone 20', 'zone
  21', 'zone 22', 'division 1', 'division 2'));
ALTER TABLE position ADD COLUMN drive_certificate TEXT CHECK (drive_certificate IN ('yes', 'no'));
ALTER TABLE position ADD COLUMN motor_ambient_c REAL;
ALTER TABLE position ADD COLUMN input_cable_ampacity_a REAL;
ALTER TABLE position ADD COLUMN reverse_hurts TEXT CHECK (reverse_hurts IN ('yes', 'no'));
ALTER TABLE position ADD COLUMN reversing TEXT CHECK (reversing IN ('yes', 'no'));
ALTER TABLE position ADD COLUMN run_by_supply TEXT CHECK (run_by_supply IN ('yes', 'no'));
ALTER TABLE position ADD COLUMN physical_condition TEXT CHECK (physical_condition IN ('1', '2', '3'));
ALTER TABLE motor ADD COLUMN motor_type TEXT CHECK (motor_type IN ('cage', 'wound rotor', 'synchronous', 'permanent
  magnet', 'reluctance', 'direct current'));
ALTER TABLE motor ADD COLUMN no_load_current_a REAL;
ALTER TABLE motor ADD COLUMN voltage_delta_v REAL;
ALTER TABLE motor ADD COLUMN second_fla_a REAL;
ALTER TABLE motor ADD COLUMN thermal_device TEXT CHECK (thermal_device IN ('none', 'thermostat', 'PTC thermistor',
  'RTD', 'thermal protector'));
ALTER TABLE motor ADD COLUMN motor_cooling TEXT CHECK (motor_cooling IN ('own fan', 'separate fan', 'none', 'water'));
ALTER TABLE motor ADD COLUMN ct_speed_range REAL;
ALTER TABLE motor ADD COLUMN ex_protection TEXT CHECK (ex_protection IN ('none', 'Ex d', 'Ex e', 'Ex ec', 'Ex n', 'Ex
  p', 'Ex tb', 'Ex tc', 'explosion-proof', 'dust-ignition-proof', 'purged'));
ALTER TABLE motor ADD COLUMN te_s REAL;
ALTER TABLE motor ADD COLUMN bearing_guard TEXT CHECK (bearing_guard IN ('none', 'shaft earthed', 'insulated bearing',
  'both'));
ALTER TABLE model ADD COLUMN device_power_v REAL;
ALTER TABLE model ADD COLUMN nema_size TEXT CHECK (nema_size IN ('00', '0', '1', '2', '3', '4', '5', '6', '7', '8',
  '9', 'none'));
ALTER TABLE model ADD COLUMN fuse_class_required TEXT;
ALTER TABLE model ADD COLUMN device_control_current TEXT CHECK (device_control_current IN ('AC', 'DC', 'AC or DC'));
ALTER TABLE model ADD COLUMN normal_duty_a REAL;
ALTER TABLE model ADD COLUMN heavy_duty_a REAL;
ALTER TABLE model ADD COLUMN input_current_a REAL;
ALTER TABLE model ADD COLUMN device_slash TEXT CHECK (device_slash IN ('yes', 'no'));
CREATE TABLE rebuilt (model TEXT PRIMARY KEY NOT NULL, model_maker TEXT, device_kind TEXT CHECK (device_kind IN
  ('across-the-line', 'star-delta', 'autotransformer', 'soft starter', 'drive')), power_path TEXT CHECK (power_path IN
  ('internal bypass', 'solid state', 'contactor')), rated_current_a REAL, device_power_kw REAL, voltage_min_v REAL,
  voltage_max_v REAL, frequency_min_hz REAL, frequency_max_hz REAL, device_overload TEXT CHECK (device_overload IN
  ('built in', 'none')), overload_min_a REAL, overload_max_a REAL, trip_classes TEXT, duty_code TEXT,
  utilization_category TEXT CHECK (utilization_category IN ('AC-1', 'AC-2', 'AC-3', 'AC-3e', 'AC-4', 'AC-8a', 'AC-8b',
  'AC-53a', 'AC-53b')), electrical_life_ops REAL, starts_per_hour_max REAL, short_circuit_rating_ka REAL,
  line_protection_kind TEXT CHECK (line_protection_kind IN ('fuse', 'breaker', 'fuse and breaker', 'fuse or
  breaker')), line_protection_max_a REAL, semiconductor_fuse_required TEXT CHECK (semiconductor_fuse_required IN
  ('yes', 'no')), motor_cable_max_m REAL, coordination_type TEXT CHECK (coordination_type IN ('type 1', 'type 2')),
  start_modes TEXT, current_limit_min_xfla REAL, current_limit_max_xfla REAL, device_control_voltage_v REAL, protocols
  TEXT, device_enclosure TEXT, ambient_max_c REAL, derate_above_c REAL, derate_pct_per_c REAL, altitude_max_m REAL,
  derate_above_m REAL, derate_pct_per_100m REAL, lifecycle TEXT CHECK (lifecycle IN ('current', 'ending',
  'withdrawn')), successor TEXT, price REAL, lead_time_days REAL, life_years REAL, spare_part_number TEXT,
  device_power_v REAL, nema_size TEXT CHECK (nema_size IN ('00', '0', '1', '2', '3', '4', '5', '6', '7', '8', '9',
  'none')), fuse_class_required TEXT, device_control_current TEXT CHECK (device_control_current IN ('AC', 'DC', 'AC or
  DC')), normal_duty_a REAL, heavy_duty_a REAL, input_current_a REAL, device_slash TEXT CHECK (device_slash IN ('yes',
  'no'))) STRICT;
INSERT INTO rebuilt (model, model_maker, device_kind, power_path, rated_current_a, device_power_kw, voltage_min_v,
  voltage_max_v, frequency_min_hz, frequency_max_hz, device_overload, overload_min_a, overload_max_a, trip_classes,
  duty_code, utilization_category, electrical_life_ops, starts_per_hour_max, short_circuit_rating_ka,
  line_protection_kind, line_protection_max_a, semiconductor_fuse_required, motor_cable_max_m, coordination_type,
  start_modes, current_limit_min_xfla, current_limit_max_xfla, device_control_voltage_v, protocols, device_enclosure,
  ambient_max_c, derate_above_c, derate_pct_per_c, altitude_max_m, derate_above_m, derate_pct_per_100m, lifecycle,
  successor, price, lead_time_days, life_years, spare_part_number, device_power_v, nema_size, fuse_class_required,
  device_control_current, normal_duty_a, heavy_duty_a, input_current_a, device_slash) SELECT model, model_maker,
  device_kind, power_path, rated_current_a, device_power_kw, voltage_min_v, voltage_max_v, frequency_min_hz,
  frequency_max_hz, device_overload, overload_min_a, overload_max_a, trip_classes, duty_code, utilization_category,
  electrical_life_ops, starts_per_hour_max, short_circuit_rating_ka, line_protection_kind, line_protection_max_a,
  semiconductor_fuse_required, motor_cable_max_m, coordination_type, start_modes, current_limit_min_xfla,
  current_limit_max_xfla, device_control_voltage_v, protocols, device_enclosure, ambient_max_c, derate_above_c,
  derate_pct_per_c, altitude_max_m, derate_above_m, derate_pct_per_100m, lifecycle, successor, price, lead_time_days,
  life_years, spare_part_number, device_power_v, nema_size, fuse_class_required, device_control_current,
  normal_duty_a, heavy_duty_a, input_current_a, device_slash FROM model;
DROP TABLE model;
ALTER TABLE rebuilt RENAME TO model;
ALTER TABLE setting ADD COLUMN min_speed_pct REAL;
ALTER TABLE setting ADD COLUMN drive_filter_off TEXT CHECK (drive_filter_off IN ('yes', 'no'));
CREATE TABLE rebuilt (device TEXT NOT NULL REFERENCES device ON UPDATE CASCADE, setting_recorded_on TEXT NOT NULL,
  setting_recorded_by TEXT, start_mode TEXT CHECK (start_mode IN ('voltage ramp', 'current limit', 'limited ramp',
  'torque ramp', 'direct')), initial_voltage_pct REAL, tap_pct REAL, ramp_s REAL, current_limit_xfla REAL,
  transition_s REAL, initial_torque_pct REAL, final_torque_pct REAL, start_time_limit_s REAL, bypass_closes_at TEXT
  CHECK (bypass_closes_at IN ('full speed', 'end of ramp', 'timer')), stop_mode TEXT CHECK (stop_mode IN ('coast',
  'ramp', 'ramp for pumps', 'brake')), stop_ramp_s REAL, fla_set_a REAL, device_overload_set_a REAL, device_trip_class
  TEXT CHECK (device_trip_class IN ('2', '3', '5', '10A', '10', '15', '20', '25', '30', '40')), overload_reset TEXT
  CHECK (overload_reset IN ('manual', 'automatic')), comms_loss_action TEXT CHECK (comms_loss_action IN ('stop', 'run
  on', 'preset speed')), min_speed_pct REAL, drive_filter_off TEXT CHECK (drive_filter_off IN ('yes', 'no')), PRIMARY
  KEY (device, setting_recorded_on)) STRICT;
INSERT INTO rebuilt (device, setting_recorded_on, setting_recorded_by, start_mode, initial_voltage_pct, tap_pct,
  ramp_s, current_limit_xfla, transition_s, initial_torque_pct, final_torque_pct, start_time_limit_s,
  bypass_closes_at, stop_mode, stop_ramp_s, fla_set_a, device_overload_set_a, device_trip_class, overload_reset,
  comms_loss_action, min_speed_pct, drive_filter_off) SELECT device, setting_recorded_on, setting_recorded_by,
  start_mode, initial_voltage_pct, tap_pct, ramp_s, current_limit_xfla, transition_s, initial_torque_pct,
  final_torque_pct, start_time_limit_s, bypass_closes_at, stop_mode, stop_ramp_s, fla_set_a, device_overload_set_a,
  device_trip_class, overload_reset, comms_loss_action, min_speed_pct, drive_filter_off FROM setting;
DROP TABLE setting;
ALTER TABLE rebuilt RENAME TO setting;
ALTER TABLE protection ADD COLUMN fuse_class TEXT CHECK (fuse_class IN ('CC', 'G', 'J', 'T', 'RK1', 'RK5', 'L', 'K1',
  'K5', 'K9', 'H', 'C', 'plug', 'supplementary', 'semiconductor', 'gG', 'gM', 'aM', 'aR'));
ALTER TABLE protection ADD COLUMN instantaneous_electronic TEXT CHECK (instantaneous_electronic IN ('yes', 'no'));
ALTER TABLE protection ADD COLUMN overload_marked_in TEXT CHECK (overload_marked_in IN ('motor amperes', 'trip
  amperes', 'heater table'));
ALTER TABLE protection ADD COLUMN relay_trip_lr_s REAL;
ALTER TABLE protection ADD COLUMN second_overload_set_a REAL;
ALTER TABLE protection ADD COLUMN protection_slash TEXT CHECK (protection_slash IN ('yes', 'no'));
ALTER TABLE protection ADD COLUMN group_listed TEXT CHECK (group_listed IN ('yes', 'no'));
ALTER TABLE protection ADD COLUMN combination_listed TEXT CHECK (combination_listed IN ('yes', 'no'));
ALTER TABLE protection ADD COLUMN fire_pump_listed TEXT CHECK (fire_pump_listed IN ('yes', 'no'));
ALTER TABLE protection ADD COLUMN relay_compensated TEXT CHECK (relay_compensated IN ('yes', 'no'));
ALTER TABLE protection ADD COLUMN thermal_stops TEXT CHECK (thermal_stops IN ('yes', 'no'));
ALTER TABLE protection ADD COLUMN jam_trip TEXT CHECK (jam_trip IN ('yes', 'no'));
ALTER TABLE protection ADD COLUMN dry_run_trip TEXT CHECK (dry_run_trip IN ('yes', 'no'));
ALTER TABLE protection ADD COLUMN reverse_phase_trip TEXT CHECK (reverse_phase_trip IN ('yes', 'no'));
ALTER TABLE protection ADD COLUMN controller_disconnect_in_sight TEXT CHECK (controller_disconnect_in_sight IN ('yes',
  'no'));
CREATE TABLE rebuilt (tag TEXT PRIMARY KEY NOT NULL REFERENCES position ON UPDATE CASCADE, protection_kind TEXT CHECK
  (protection_kind IN ('none', 'fuse', 'time-delay fuse', 'semiconductor fuse', 'inverse-time breaker', 'instantaneous
  breaker', 'fuse and breaker')), protection_rating_a REAL, instantaneous_a REAL, interrupting_ka REAL,
  semiconductor_fuses TEXT CHECK (semiconductor_fuses IN ('yes', 'no')), disconnect_rating_a REAL, disconnect_in_sight
  TEXT CHECK (disconnect_in_sight IN ('yes', 'no')), disconnect_lockable TEXT CHECK (disconnect_lockable IN ('yes',
  'no')), overload_place TEXT CHECK (overload_place IN ('device', 'relay', 'motor', 'thermistor', 'none')),
  relay_set_a REAL, relay_min_a REAL, relay_max_a REAL, relay_trip_class TEXT CHECK (relay_trip_class IN ('2', '3',
  '5', '10A', '10', '15', '20', '25', '30', '40')), relay_reset TEXT CHECK (relay_reset IN ('manual', 'automatic')),
  relay_for_drive TEXT CHECK (relay_for_drive IN ('yes', 'no')), phase_loss_trip TEXT CHECK (phase_loss_trip IN
  ('yes', 'no')), own_overloads TEXT CHECK (own_overloads IN ('yes', 'no')), relay_leg TEXT CHECK (relay_leg IN
  ('line', 'phase')), ct_primary_a REAL, fuse_class TEXT CHECK (fuse_class IN ('CC', 'G', 'J', 'T', 'RK1', 'RK5', 'L',
  'K1', 'K5', 'K9', 'H', 'C', 'plug', 'supplementary', 'semiconductor', 'gG', 'gM', 'aM', 'aR')),
  instantaneous_electronic TEXT CHECK (instantaneous_electronic IN ('yes', 'no')), overload_marked_in TEXT CHECK
  (overload_marked_in IN ('motor amperes', 'trip amperes', 'heater table')), relay_trip_lr_s REAL,
  second_overload_set_a REAL, protection_slash TEXT CHECK (protection_slash IN ('yes', 'no')), group_listed TEXT CHECK
  (group_listed IN ('yes', 'no')), combination_listed TEXT CHECK (combination_listed IN ('yes', 'no')),
  fire_pump_listed TEXT CHECK (fire_pump_listed IN ('yes', 'no')), relay_compensated TEXT CHECK (relay_compensated IN
  ('yes', 'no')), thermal_stops TEXT CHECK (thermal_stops IN ('yes', 'no')), jam_trip TEXT CHECK (jam_trip IN ('yes',
  'no')), dry_run_trip TEXT CHECK (dry_run_trip IN ('yes', 'no')), reverse_phase_trip TEXT CHECK (reverse_phase_trip
  IN ('yes', 'no')), controller_disconnect_in_sight TEXT CHECK (controller_disconnect_in_sight IN ('yes', 'no')))
  STRICT;
INSERT INTO rebuilt (tag, protection_kind, protection_rating_a, instantaneous_a, interrupting_ka, semiconductor_fuses,
  disconnect_rating_a, disconnect_in_sight, disconnect_lockable, overload_place, relay_set_a, relay_min_a,
  relay_max_a, relay_trip_class, relay_reset, relay_for_drive, phase_loss_trip, own_overloads, relay_leg,
  ct_primary_a, fuse_class, instantaneous_electronic, overload_marked_in, relay_trip_lr_s, second_overload_set_a,
  protection_slash, group_listed, combination_listed, fire_pump_listed, relay_compensated, thermal_stops, jam_trip,
  dry_run_trip, reverse_phase_trip, controller_disconnect_in_sight) SELECT tag, protection_kind, protection_rating_a,
  instantaneous_a, interrupting_ka, semiconductor_fuses, disconnect_rating_a, disconnect_in_sight,
  disconnect_lockable, overload_place, relay_set_a, relay_min_a, relay_max_a, relay_trip_class, relay_reset,
  relay_for_drive, phase_loss_trip, own_overloads, relay_leg, ct_primary_a, fuse_class, instantaneous_electronic,
  overload_marked_in, relay_trip_lr_s, second_overload_set_a, protection_slash, group_listed, combination_listed,
  fire_pump_listed, relay_compensated, thermal_stops, jam_trip, dry_run_trip, reverse_phase_trip,
  controller_disconnect_in_sight FROM protection;
DROP TABLE protection;
ALTER TABLE rebuilt RENAME TO protection;
ALTER TABLE bypass ADD COLUMN bypass_interlock TEXT CHECK (bypass_interlock IN ('none', 'electrical', 'mechanical',
  'both'));
ALTER TABLE bypass ADD COLUMN bypass_overload_set_a REAL;
ALTER TABLE bypass ADD COLUMN bypass_trip_class TEXT CHECK (bypass_trip_class IN ('2', '3', '5', '10A', '10', '15',
  '20', '25', '30', '40'));
ALTER TABLE bypass ADD COLUMN bypass_protection_kind TEXT CHECK (bypass_protection_kind IN ('none', 'fuse',
  'time-delay fuse', 'semiconductor fuse', 'inverse-time breaker', 'instantaneous breaker', 'fuse and breaker'));
ALTER TABLE bypass ADD COLUMN bypass_protection_rating_a REAL;
ALTER TABLE bypass ADD COLUMN bypass_isolated TEXT CHECK (bypass_isolated IN ('yes', 'no'));
ALTER TABLE bypass ADD COLUMN relay_in_both_paths TEXT CHECK (relay_in_both_paths IN ('yes', 'no'));
CREATE TABLE rebuilt (tag TEXT PRIMARY KEY NOT NULL REFERENCES position ON UPDATE CASCADE, bypass_arrangement TEXT
  CHECK (bypass_arrangement IN ('none', 'internal only', 'two-contactor', 'three-contactor', 'standby starter')),
  bypass_starts_by TEXT CHECK (bypass_starts_by IN ('across-the-line', 'star-delta', 'soft starter', 'drive')),
  bypass_own_overload TEXT CHECK (bypass_own_overload IN ('yes', 'no')), bypass_own_line_protection TEXT CHECK
  (bypass_own_line_protection IN ('yes', 'no')), bypass_contactor_category TEXT CHECK (bypass_contactor_category IN
  ('AC-1', 'AC-3', 'AC-3e', 'AC-4')), bypass_contactor_a REAL, bypass_interlock TEXT CHECK (bypass_interlock IN
  ('none', 'electrical', 'mechanical', 'both')), bypass_overload_set_a REAL, bypass_trip_class TEXT CHECK
  (bypass_trip_class IN ('2', '3', '5', '10A', '10', '15', '20', '25', '30', '40')), bypass_protection_kind TEXT CHECK
  (bypass_protection_kind IN ('none', 'fuse', 'time-delay fuse', 'semiconductor fuse', 'inverse-time breaker',
  'instantaneous breaker', 'fuse and breaker')), bypass_protection_rating_a REAL, bypass_isolated TEXT CHECK
  (bypass_isolated IN ('yes', 'no')), relay_in_both_paths TEXT CHECK (relay_in_both_paths IN ('yes', 'no'))) STRICT;
INSERT INTO rebuilt (tag, bypass_arrangement, bypass_starts_by, bypass_own_overload, bypass_own_line_protection,
  bypass_contactor_category, bypass_contactor_a, bypass_interlock, bypass_overload_set_a, bypass_trip_class,
  bypass_protection_kind, bypass_protection_rating_a, bypass_isolated, relay_in_both_paths) SELECT tag,
  bypass_arrangement, bypass_starts_by, bypass_own_overload, bypass_own_line_protection, bypass_contactor_category,
  bypass_contactor_a, bypass_interlock, bypass_overload_set_a, bypass_trip_class, bypass_protection_kind,
  bypass_protection_rating_a, bypass_isolated, relay_in_both_paths FROM bypass;
DROP TABLE bypass;
ALTER TABLE rebuilt RENAME TO bypass;
ALTER TABLE control ADD COLUMN control_current TEXT CHECK (control_current IN ('AC', 'DC'));
ALTER TABLE control ADD COLUMN control_supply TEXT CHECK (control_supply IN ('own transformer', 'common'));
ALTER TABLE control ADD COLUMN control_transformer_fused TEXT CHECK (control_transformer_fused IN ('yes', 'no'));
ALTER TABLE control ADD COLUMN reversing_interlock TEXT CHECK (reversing_interlock IN ('none', 'electrical',
  'mechanical', 'both'));
-- views and triggers: 132f6d53819f9ab3
