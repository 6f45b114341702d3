-- what a list says besides
ALTER TABLE position ADD COLUMN cubicle TEXT;
ALTER TABLE position ADD COLUMN cable_size TEXT;
ALTER TABLE position ADD COLUMN position_notes TEXT;
ALTER TABLE motor ADD COLUMN frame TEXT;
ALTER TABLE motor ADD COLUMN motor_leads INTEGER;
ALTER TABLE model ADD COLUMN spare_part_number TEXT;
