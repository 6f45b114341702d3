"""Headings that stand in two lines, and words merged above them."""

from __future__ import annotations

from collections.abc import Callable

from register.intake.mapping import folded
from register.intake.sheet import Sheet

UNNAMED = "column "
HYPHENS = "-\u00ad\u2010"


def _line(sheet: Sheet, row: int) -> dict[int, str]:
    cells = sheet.rows[row] if 0 <= row < len(sheet.rows) else []
    return {i: folded(str(c)) for i, c in enumerate(cells) if c is not None and str(c).strip()}


def texts(sheet: Sheet, row: int, is_part: Callable[[str], bool]) -> tuple[dict[int, str], int]:
    """The heading of each column, with what the line below adds to it, and how many lines below that takes.

    A column without heading above cells that are filled is called after its letter.
    """
    own, over = _line(sheet, row), _line(sheet, row - 1)
    below = 0
    if _is_broken(own, _line(sheet, row + 1)):
        for index, text in _line(sheet, row + 1).items():
            own[index] = _whole(own.get(index, ""), text)
        below = 1
    under = _line(sheet, row + below + 1)
    if len(under) >= 2 and _continues(own, under, sheet.rows[row + below + 1], is_part):
        for index, text in under.items():
            bracketed = text if text.startswith(("(", "[")) or index not in own else _joined(own[index], text)
            own[index] = f"{own[index]} {bracketed}" if index in own else text
        below += 1
    for index, text in over.items():
        if index not in own and is_part(text):
            own[index] = text
    return dict(sorted(own.items())), below


def _is_broken(own: dict[int, str], under: dict[int, str]) -> bool:
    """True when words of the headings are broken with a hyphen and go on in the line below."""
    broken = [i for i, text in own.items() if len(text) > 2 and text[-1] in HYPHENS]
    goes_on = [i for i in broken if under.get(i, "")[:1].islower()]
    return len(goes_on) >= 2 and not any(c.isdigit() for text in under.values() for c in text)


def _whole(above: str, text: str) -> str:
    """A heading and what stands below it: Nenn- and strom are Nennstrom, cos and phi are cos phi."""
    if above and above[-1] in HYPHENS and text[0].islower():
        return above[:-1] + text
    return f"{above} {text}".strip()


def _joined(above: str, text: str) -> str:
    """A unit below a heading stands in brackets; a word is a word."""
    return f"({text})" if len(text) <= 8 and not (text.isalpha() and len(text) > 3) else text


def _continues(own: dict[int, str], under: dict[int, str], cells: list[object], is_part: Callable[[str], bool]) -> bool:
    """True when the line below says nothing but units and words of headings."""
    first = min(own, default=0)
    if first in under and own[first] and not is_part(under[first]):
        return False
    texts_only = all(isinstance(c, str) or c is None or c == "" for c in cells)
    return texts_only and all(is_part(text) and len(text) <= 24 for text in under.values())


def groups(sheet: Sheet, row: int) -> dict[int, str]:
    """Merged words above the headings ("Motor" over "Volts"), spread over what they cover."""
    if row == 0:
        return {}
    above = [str(c).strip() if c is not None else "" for c in sheet.rows[row - 1]]
    if sum(1 for c in above if c) < 2:
        return {}
    spread, last = {}, ""
    for index in range(len(sheet.rows[row])):
        last = (above[index] if index < len(above) else "") or last
        spread[index] = last
    return spread


def unnamed(sheet: Sheet, named: set[int], rows: list[int]) -> dict[int, int]:
    """Columns without a heading, and how many cells of the rows are filled there."""
    found: dict[int, int] = {}
    for row in rows:
        cells = sheet.rows[row]
        if len(cells) > len(named):
            for index, cell in enumerate(cells):
                if index not in named and cell not in (None, "") and str(cell).strip():
                    found[index] = found.get(index, 0) + 1
    return found
