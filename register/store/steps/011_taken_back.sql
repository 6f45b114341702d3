-- What was taken back from a round or a copy: by which change-set (taken_in), from which change made elsewhere (origin);
-- and which change-set another one undoes.
ALTER TABLE change_set ADD COLUMN taken_in INTEGER REFERENCES change_set;
ALTER TABLE change_set ADD COLUMN undoes INTEGER REFERENCES change_set;
ALTER TABLE change ADD COLUMN origin TEXT;
CREATE INDEX change_by_origin ON change(origin) WHERE origin IS NOT NULL;
CREATE TABLE answer (origin TEXT NOT NULL, change_set INTEGER NOT NULL REFERENCES change_set, table_name TEXT NOT NULL,
  row_key TEXT NOT NULL, column_name TEXT NOT NULL, state TEXT NOT NULL, as_typed TEXT NOT NULL, unit TEXT NOT NULL,
  note TEXT NOT NULL, answered_at TEXT NOT NULL, photo_file TEXT, photo_hash TEXT,
  PRIMARY KEY (origin, change_set)) STRICT;
-- views and triggers: 7d1bc76282e34088
