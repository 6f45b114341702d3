"""Physics on arrays: NaN in, NaN out; no database, no file, no clock."""
