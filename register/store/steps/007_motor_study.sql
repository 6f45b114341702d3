-- motor study
ALTER TABLE bus ADD COLUMN bus_load_a REAL;
ALTER TABLE position ADD COLUMN measured_start_on TEXT;
ALTER TABLE position ADD COLUMN measured_start_s REAL;
ALTER TABLE position ADD COLUMN measured_start_peak_a REAL;
ALTER TABLE position ADD COLUMN measured_start_curve TEXT;
ALTER TABLE motor ADD COLUMN maker_curve TEXT;
ALTER TABLE setting ADD COLUMN after_torque_ramp TEXT CHECK (after_torque_ramp IN ('held torque', 'full voltage'));
ALTER TABLE protection ADD COLUMN relay_side TEXT CHECK (relay_side IN ('line', 'motor'));
-- views and triggers: f939991bb12bf8b7
