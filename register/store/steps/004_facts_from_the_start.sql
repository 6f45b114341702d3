-- What is worked out has its tables before the first audit, empty: a view that reads them is never a broken one.
-- Facts that an earlier version worked out go; the next audit works them out again.
DROP VIEW IF EXISTS gap;
DROP TABLE IF EXISTS gap_reason;
DROP TABLE IF EXISTS facts_state;
DROP TABLE IF EXISTS facts;
CREATE TABLE facts (tag TEXT PRIMARY KEY, gap_reasons TEXT NOT NULL) STRICT;
CREATE TABLE gap_reason (gap_reason INTEGER PRIMARY KEY, column_name TEXT NOT NULL, fields TEXT NOT NULL,
  note TEXT NOT NULL, UNIQUE (column_name, fields, note)) STRICT;
CREATE TABLE facts_state (only_one INTEGER PRIMARY KEY CHECK (only_one = 1), change_id INTEGER NOT NULL,
  method_hash TEXT NOT NULL, not_applicable TEXT NOT NULL) STRICT;
CREATE VIEW gap AS SELECT tag, column_name, fields, note FROM facts, json_each(facts.gap_reasons) AS each
  JOIN gap_reason ON gap_reason = each.value;
-- views and triggers: 1c240d51649b4c19
