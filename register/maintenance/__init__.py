"""The maintenance programme: conditions, intervals, what falls due, what a year of it showed."""
