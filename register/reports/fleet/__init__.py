"""A roll-up of many plants written to files."""
