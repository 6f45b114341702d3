-- What was taken back from a round or a copy: by which change-set (taken_in), from which change made elsewhere (origin);
-- and which change-set another one undoes.
ALTER TABLE change_set ADD COLUMN taken_in INTEGER REFERENCES change_set;
ALTER TABLE change_set ADD COLUMN undoes INTEGER REFERENCES change_set;
ALTER TABLE change ADD COLUMN origin TEXT;
CREATE INDEX change_by_origin ON change(origin) WHERE origin IS NOT NULL;
-- views and triggers: a65e7f4a04abfbb3
