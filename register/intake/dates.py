"""Days as people type them, each made ISO 8601; day-first and month-first told apart."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, datetime, timedelta

from register.columns import languages

DAY_FIRST, MONTH_FIRST = "day first", "month first"
EITHER = "either"
_EPOCH = date(1899, 12, 30)
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ].*)?")
_NUMERIC = re.compile(r"(\d{1,2})[-/. ]+(\d{1,2})[-/. ]+(\d{4}|\d{2})(?: .*)?")
_NAMED = re.compile(r"(\d{1,2})[-/. ]*(?:de +)?([^\W\d_]{3,10})[-/., ]*(?:de +)?(\d{4}|\d{2})")
_NAME_FIRST = re.compile(r"([^\W\d_]{3,10})\.? *(\d{1,2})(?:st|nd|rd|th)?,? +(\d{4})")


def order(cells: Iterable[object]) -> set[str]:
    """Which orders the days prove: one with a part above 12 does."""
    proved = set()
    for cell in cells:
        found = _NUMERIC.fullmatch(cell.strip()) if isinstance(cell, str) else None
        if found:
            first, second = int(found[1]), int(found[2])
            if first > 12 >= second:
                proved.add(DAY_FIRST)
            elif second > 12 >= first:
                proved.add(MONTH_FIRST)
    return proved


def day(cell: object, known_order: str | None) -> str | None:
    """The day as ISO text; `EITHER` when day and month look alike; None when no day."""
    if isinstance(cell, datetime):
        return cell.date().isoformat()
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, (int, float)):
        serial = 20000 <= cell <= 80000
        return (_EPOCH + timedelta(days=int(cell))).isoformat() if serial else None
    text = str(cell).strip()
    if found := _ISO.fullmatch(text):
        return _made(found[1], found[2], found[3])
    if found := _NUMERIC.fullmatch(text):
        return _numeric(int(found[1]), int(found[2]), found[3], known_order)
    if found := _NAMED.fullmatch(text):
        return _made(found[3], _month(found[2]), found[1])
    if found := _NAME_FIRST.fullmatch(text):
        return _made(found[3], _month(found[1]), found[2])
    return None


def _month(name: str) -> int:
    """The number of a month by the first letters of its name, in any of the languages; 0 when it is none."""
    word = languages.bare(name)
    known = languages.months()
    return known.get(word) or known.get(word[:4]) or known.get(word[:3], 0)


def _numeric(first: int, second: int, year: str, known_order: str | None) -> str | None:
    if first == second or second > 12:
        return _made(year, first, second)
    if first > 12 or known_order == DAY_FIRST:
        return _made(year, second, first)
    return _made(year, first, second) if known_order == MONTH_FIRST else EITHER


def _made(year: str | int, month: str | int, day: str | int) -> str | None:
    number = int(year)
    if number < 100:
        number += 2000 if number <= 68 else 1900  # as POSIX strptime reads %y
    try:
        return date(number, int(month), int(day)).isoformat()
    except ValueError:
        return None
