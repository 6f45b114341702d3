"""One row a position: what was entered, what the catalogue says, what is worked out."""
