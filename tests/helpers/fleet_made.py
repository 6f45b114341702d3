"""What the tests of many plants share: the day, how many plants of how many positions, rows of a summary by name."""

import sys
from datetime import date
from pathlib import Path

from register.fleet.tables import TABLES

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
sys.path.insert(0, str(SAMPLES))

DAY = date(2026, 11, 25)
PLANTS, POSITIONS = 6, 20


def rows(summary, name):
    """The rows of one table of a summary, by column."""
    fields = [field.name for field in TABLES[name]]
    return [dict(zip(fields, row, strict=True)) for row in summary.tables.get(name, ())]
