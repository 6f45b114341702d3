-- neutral words: what was called a pump stop is a ramp for pumps; the history keeps the word that was entered
CREATE TABLE rebuilt (device TEXT NOT NULL REFERENCES device ON UPDATE CASCADE, setting_recorded_on TEXT NOT NULL,
  setting_recorded_by TEXT, start_mode TEXT CHECK (start_mode IN ('voltage ramp', 'current limit', 'limited ramp',
  'torque ramp', 'direct')), initial_voltage_pct REAL, tap_pct REAL, ramp_s REAL, current_limit_xfla REAL,
  transition_s REAL, initial_torque_pct REAL, final_torque_pct REAL, start_time_limit_s REAL, bypass_closes_at TEXT
  CHECK (bypass_closes_at IN ('full speed', 'end of ramp', 'timer')), stop_mode TEXT CHECK (stop_mode IN ('coast',
  'ramp', 'ramp for pumps', 'brake')), stop_ramp_s REAL, fla_set_a REAL, device_overload_set_a REAL, device_trip_class
  TEXT CHECK (device_trip_class IN ('5', '10A', '10', '20', '30', '40')), overload_reset TEXT CHECK (overload_reset IN
  ('manual', 'automatic')), comms_loss_action TEXT CHECK (comms_loss_action IN ('stop', 'run on', 'preset speed')),
  PRIMARY KEY (device, setting_recorded_on)) STRICT;
INSERT INTO rebuilt (device, setting_recorded_on, setting_recorded_by, start_mode, initial_voltage_pct, tap_pct,
  ramp_s, current_limit_xfla, transition_s, initial_torque_pct, final_torque_pct, start_time_limit_s,
  bypass_closes_at, stop_mode, stop_ramp_s, fla_set_a, device_overload_set_a, device_trip_class, overload_reset,
  comms_loss_action) SELECT device, setting_recorded_on, setting_recorded_by, start_mode, initial_voltage_pct,
  tap_pct, ramp_s, current_limit_xfla, transition_s, initial_torque_pct, final_torque_pct, start_time_limit_s,
  bypass_closes_at, CASE stop_mode WHEN 'pump stop' THEN 'ramp for pumps' ELSE stop_mode END, stop_ramp_s, fla_set_a, device_overload_set_a, device_trip_class, overload_reset,
  comms_loss_action FROM setting;
DROP TABLE setting;
ALTER TABLE rebuilt RENAME TO setting;
-- views and triggers: 1c240d51649b4c19
