"""Numbers as people type them: fractions, units behind, decimal comma or decimal point."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

POINT, COMMA = "point", "comma"
# fmt: off
VULGAR = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅓": " 1/3", "⅔": " 2/3", "⅛": " 1/8",
          "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}
# fmt: on

_FRACTION = re.compile(r"([+-]?)(?:(\d+)[\s-]+)?(\d+)\s*/\s*(2|3|4|8|16|32)(?![\d.,])\s*(.*)")
_DIGITS = r"[+-]?(?:\d{1,3}(?:[ '’]\d{3})+(?:[.,]\d+)?|\d[\d.,]*|[.,]\d+)(?:[eE][+-]?\d+)?"
_NUMBER = re.compile(rf"[$€£]?\s*({_DIGITS})\s*(.*)", re.DOTALL)
_SEVERAL = re.compile(r"\d[\d.,]*(?:\s*[/;]\s*\d[\d.,]*|\s*-\s*\d[\d.,]*(?=\s*/))+")
_EITHER = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}")


@dataclass(frozen=True, slots=True)
class Typed:
    """A number as typed: its digits (or its value, when a fraction) and what stands behind."""

    digits: str
    unit: str
    value: float | None = None


def typed(text: str) -> Typed | None:
    """Split a cell into number and unit; None when it does not begin with a number.

    >>> typed("1 1/2 hp").value, typed("460V").unit, typed("7-1/2").value
    (1.5, 'V', 7.5)
    """
    for mark, spelt in VULGAR.items():
        if mark in text:
            text = text.replace(mark, spelt)
    text = text.replace("−", "-").strip()
    found = _FRACTION.fullmatch(text)
    if found:
        sign, whole, top, bottom, unit = found.groups()
        value = float(whole or 0) + float(top) / int(bottom)
        return Typed(text, unit.strip(), -value if sign == "-" else value)
    found = _NUMBER.fullmatch(text)
    return Typed(found[1], found[2].strip()) if found else None


def several(text: str) -> tuple[list[str], str] | None:
    """The digits of a cell that holds several numbers (230/460), and its unit; or None."""
    found = _SEVERAL.match(text)
    if not found:
        return None
    return re.findall(r"\d[\d.,]*", found[0]), text[found.end() :].strip()


def evidence(digits: Iterable[str]) -> set[str]:
    """Which decimal marks the numbers prove; empty when none of them does."""
    proved = set()
    for text in digits:
        mark = _proved(text)
        if mark:
            proved.add(mark)
    return proved


def _proved(text: str) -> str | None:
    points, commas = text.count("."), text.count(",")
    if points and commas:
        return POINT if text.rindex(".") > text.rindex(",") else COMMA
    if points > 1:
        return COMMA
    if commas > 1:
        return POINT
    if (points or commas) and not is_ambiguous(text):
        return POINT if points else COMMA
    return None


def is_ambiguous(text: str) -> bool:
    """True for 1.770 and 1,770, which are a thousand and more, or less than two."""
    return bool(_EITHER.fullmatch(text))


def value(digits: str, mark: str) -> float | None:
    """The number with that decimal mark; None when it cannot be one."""
    digits = re.sub(r"[ '’]", "", digits)
    other = "," if mark == POINT else "."
    whole, *rest = re.split(r"(?=[eE])", digits, maxsplit=1)
    if other in whole:
        head = whole.split("." if mark == POINT else ",")[0]
        groups = head.lstrip("+-").split(other)
        if not (1 <= len(groups[0]) <= 3 and all(len(g) == 3 for g in groups[1:])):
            return None
        whole = whole.replace(other, "")
    try:
        return float((whole if mark == POINT else whole.replace(",", ".")) + "".join(rest))
    except ValueError:
        return None
