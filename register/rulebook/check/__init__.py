"""Expressions checked: names, types, units, and nothing that hides unknowns."""
