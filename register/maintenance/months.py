"""Months on the calendar."""

from __future__ import annotations

from datetime import date
from functools import lru_cache

from dateutil.relativedelta import relativedelta


@lru_cache(1 << 16)  # a plant has its days in common: outages
def plus_months(day: str, months: int) -> str:
    """The same day of the month so many months later; the month's last day where it has no such day.

    >>> plus_months("2024-02-29", 12), plus_months("2026-08-31", 6), plus_months("2023-02-28", 12)
    ('2025-02-28', '2027-02-28', '2024-02-28')
    """
    return (date.fromisoformat(day) + relativedelta(months=months)).isoformat()
