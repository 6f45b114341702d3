-- concessions on buses and spares
ALTER TABLE concession ADD COLUMN bus TEXT REFERENCES bus ON UPDATE CASCADE;
ALTER TABLE concession ADD COLUMN device TEXT REFERENCES device ON UPDATE CASCADE;
CREATE TABLE rebuilt (concession_id INTEGER PRIMARY KEY, rule TEXT NOT NULL, tag TEXT CHECK ((tag IS NULL) + (bus IS
  NULL) + (device IS NULL) = 2) REFERENCES position ON UPDATE CASCADE, reason TEXT NOT NULL, asked_by TEXT NOT NULL,
  asked_on TEXT NOT NULL, expires_on TEXT NOT NULL, decision TEXT CHECK (decision IN ('approved', 'refused')),
  decided_by TEXT, decided_on TEXT, decision_note TEXT, withdrawn_by TEXT, withdrawn_on TEXT, withdrawn_why TEXT,
  basis TEXT, bus TEXT REFERENCES bus ON UPDATE CASCADE, device TEXT REFERENCES device ON UPDATE CASCADE) STRICT;
INSERT INTO rebuilt (concession_id, rule, tag, reason, asked_by, asked_on, expires_on, decision, decided_by,
  decided_on, decision_note, withdrawn_by, withdrawn_on, withdrawn_why, basis, bus, device) SELECT concession_id,
  rule, tag, reason, asked_by, asked_on, expires_on, decision, decided_by, decided_on, decision_note, withdrawn_by,
  withdrawn_on, withdrawn_why, basis, bus, device FROM concession;
DROP TABLE concession;
ALTER TABLE rebuilt RENAME TO concession;
CREATE INDEX concession_by_tag ON concession(tag);
ALTER TABLE action ADD COLUMN bus TEXT REFERENCES bus ON UPDATE CASCADE;
ALTER TABLE action ADD COLUMN device TEXT REFERENCES device ON UPDATE CASCADE;
CREATE TABLE rebuilt (action_id INTEGER PRIMARY KEY, tag TEXT CHECK ((tag IS NULL) + (bus IS NULL) + (device IS NULL)
  = 2) REFERENCES position ON UPDATE CASCADE, against_rule TEXT NOT NULL, task TEXT, assigned_to TEXT NOT NULL,
  assigned_by TEXT, assigned_on TEXT NOT NULL, due_on TEXT NOT NULL, closed_on TEXT, closed_by TEXT, evidence_record
  TEXT CHECK (evidence_record IN ('connections verified', 'safety checks', 'parameters reviewed', 'bump test', 'load
  test', 'bypass test', 'trip test', 'insulation test', 'thermography', 'parameter backup', 'visual inspection',
  'hazardous area inspection', 'cleaning', 'contact resistance test', 'breaker test', 'emergency stop test')),
  evidence_on TEXT, evidence_file TEXT, evidence_hash TEXT, bus TEXT REFERENCES bus ON UPDATE CASCADE, device TEXT
  REFERENCES device ON UPDATE CASCADE) STRICT;
INSERT INTO rebuilt (action_id, tag, against_rule, task, assigned_to, assigned_by, assigned_on, due_on, closed_on,
  closed_by, evidence_record, evidence_on, evidence_file, evidence_hash, bus, device) SELECT action_id, tag,
  against_rule, task, assigned_to, assigned_by, assigned_on, due_on, closed_on, closed_by, evidence_record,
  evidence_on, evidence_file, evidence_hash, bus, device FROM action;
DROP TABLE action;
ALTER TABLE rebuilt RENAME TO action;
CREATE INDEX action_by_tag ON action(tag);
-- views and triggers: 26f61ca6a4283e03
