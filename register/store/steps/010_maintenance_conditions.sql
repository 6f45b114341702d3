-- maintenance conditions
ALTER TABLE bus ADD COLUMN bus_physical_condition TEXT CHECK (bus_physical_condition IN ('1', '2', '3'));
ALTER TABLE bus ADD COLUMN bus_criticality_condition TEXT CHECK (bus_criticality_condition IN ('1', '2', '3'));
ALTER TABLE bus ADD COLUMN bus_environment_condition TEXT CHECK (bus_environment_condition IN ('1', '2', '3'));
ALTER TABLE position ADD COLUMN criticality_condition TEXT CHECK (criticality_condition IN ('1', '2', '3'));
ALTER TABLE position ADD COLUMN environment_condition TEXT CHECK (environment_condition IN ('1', '2', '3'));
CREATE TABLE rebuilt (record_id INTEGER PRIMARY KEY, tag TEXT NOT NULL REFERENCES position ON UPDATE CASCADE,
  record_kind TEXT NOT NULL CHECK (record_kind IN ('connections verified', 'safety checks', 'parameters reviewed',
  'bump test', 'load test', 'bypass test', 'trip test', 'insulation test', 'thermography', 'parameter backup', 'visual
  inspection', 'hazardous area inspection', 'cleaning', 'contact resistance test', 'breaker test', 'emergency stop
  test')), done_on TEXT NOT NULL, done_by TEXT, result TEXT NOT NULL CHECK (result IN ('passed', 'failed', 'not
  done')), value REAL, value_unit TEXT, note TEXT) STRICT;
INSERT INTO rebuilt (record_id, tag, record_kind, done_on, done_by, result, value, value_unit, note) SELECT record_id,
  tag, record_kind, done_on, done_by, result, value, value_unit, note FROM record;
DROP TABLE record;
ALTER TABLE rebuilt RENAME TO record;
CREATE INDEX record_by_tag ON record(tag);
CREATE TABLE rebuilt (action_id INTEGER PRIMARY KEY, tag TEXT NOT NULL REFERENCES position ON UPDATE CASCADE,
  against_rule TEXT NOT NULL, task TEXT, assigned_to TEXT NOT NULL, assigned_by TEXT, assigned_on TEXT NOT NULL,
  due_on TEXT NOT NULL, closed_on TEXT, closed_by TEXT, evidence_record TEXT CHECK (evidence_record IN ('connections
  verified', 'safety checks', 'parameters reviewed', 'bump test', 'load test', 'bypass test', 'trip test', 'insulation
  test', 'thermography', 'parameter backup', 'visual inspection', 'hazardous area inspection', 'cleaning', 'contact
  resistance test', 'breaker test', 'emergency stop test')), evidence_on TEXT, evidence_file TEXT, evidence_hash TEXT)
  STRICT;
INSERT INTO rebuilt (action_id, tag, against_rule, task, assigned_to, assigned_by, assigned_on, due_on, closed_on,
  closed_by, evidence_record, evidence_on, evidence_file, evidence_hash) SELECT action_id, tag, against_rule, task,
  assigned_to, assigned_by, assigned_on, due_on, closed_on, closed_by, evidence_record, evidence_on, evidence_file,
  evidence_hash FROM action;
DROP TABLE action;
ALTER TABLE rebuilt RENAME TO action;
CREATE INDEX action_by_tag ON action(tag);
-- views and triggers: e7a8fcb5faa6d602
