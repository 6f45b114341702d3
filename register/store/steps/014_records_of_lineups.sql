-- records of lineups
ALTER TABLE record ADD COLUMN bus TEXT REFERENCES bus ON UPDATE CASCADE;
CREATE TABLE rebuilt (record_id INTEGER PRIMARY KEY, tag TEXT CHECK ((tag IS NULL) + (bus IS NULL) = 1) REFERENCES
  position ON UPDATE CASCADE, record_kind TEXT NOT NULL CHECK (record_kind IN ('connections verified', 'safety
  checks', 'parameters reviewed', 'bump test', 'load test', 'bypass test', 'trip test', 'insulation test',
  'thermography', 'parameter backup', 'visual inspection', 'hazardous area inspection', 'cleaning', 'contact
  resistance test', 'breaker test', 'emergency stop test')), done_on TEXT NOT NULL, done_by TEXT, result TEXT NOT NULL
  CHECK (result IN ('passed', 'failed', 'not done')), value REAL, value_unit TEXT, note TEXT, bus TEXT REFERENCES bus
  ON UPDATE CASCADE) STRICT;
INSERT INTO rebuilt (record_id, tag, record_kind, done_on, done_by, result, value, value_unit, note, bus) SELECT
  record_id, tag, record_kind, done_on, done_by, result, value, value_unit, note, bus FROM record;
DROP TABLE record;
ALTER TABLE rebuilt RENAME TO record;
CREATE INDEX record_by_tag ON record(tag);
-- views and triggers: 85924004a2071cf4
