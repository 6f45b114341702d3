"""One report object, and the ways to show it."""
