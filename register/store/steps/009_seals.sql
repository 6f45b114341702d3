-- A seal on each change-set, over it, its changes and the seal before; what came before the first one is under it.
CREATE TABLE change_seal (change_set INTEGER PRIMARY KEY REFERENCES change_set, through INTEGER NOT NULL, seal TEXT NOT
  NULL) STRICT;
-- Infinity, which another program may have written, stood in the history as no JSON has it.
UPDATE change SET before = replace(replace(before, ':Inf', ':9e999'), ':-Inf', ':-9e999'), after = replace(replace(after,
  ':Inf', ':9e999'), ':-Inf', ':-9e999') WHERE before GLOB '*:Inf*' OR before GLOB '*:-Inf*' OR after GLOB '*:Inf*' OR after
  GLOB '*:-Inf*';
-- views and triggers: eb9bc6f453101e93
