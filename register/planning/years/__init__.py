"""Replacements planned over years, within budgets."""
