-- The register's own number, by which what left the plant with it (a round, a copy) is known again. Of a register that was
-- made before there was one, it is the moment of its first change and where that came from: the same in every copy.
CREATE TABLE identity (only_one INTEGER PRIMARY KEY CHECK (only_one = 1), register_id TEXT NOT NULL) STRICT;
INSERT INTO identity SELECT 1, coalesce(
  (SELECT 'since ' || made_on || ' ' || substr(coalesce(source_hash, ''), 1, 16) FROM change_set ORDER BY change_set LIMIT 1),
  lower(hex(randomblob(16))));
-- views and triggers: f939991bb12bf8b7
