-- A seal on each change-set, over it, its changes and the seal before; what came before the first one is under it.
CREATE TABLE change_seal (change_set INTEGER PRIMARY KEY REFERENCES change_set, through INTEGER NOT NULL, seal TEXT NOT
  NULL) STRICT;
-- views and triggers: f939991bb12bf8b7
