-- settings of a bypass
ALTER TABLE bypass ADD COLUMN bypass_start_mode TEXT CHECK (bypass_start_mode IN ('voltage ramp', 'current limit',
  'limited ramp', 'torque ramp', 'direct'));
ALTER TABLE bypass ADD COLUMN bypass_initial_voltage_pct REAL;
ALTER TABLE bypass ADD COLUMN bypass_ramp_s REAL;
ALTER TABLE bypass ADD COLUMN bypass_current_limit_xfla REAL;
ALTER TABLE bypass ADD COLUMN bypass_initial_torque_pct REAL;
ALTER TABLE bypass ADD COLUMN bypass_final_torque_pct REAL;
ALTER TABLE bypass ADD COLUMN bypass_after_torque_ramp TEXT CHECK (bypass_after_torque_ramp IN ('held torque', 'full
  voltage'));
-- views and triggers: 0ffb180cb18d908d
