"""From the text of a nameplate to values: pure, and nothing is put right by guessing.

A number counts only with a label or a unit beside it, or above it in a plate that is a table. What cannot be
read as it stands (4O0 V) stays unread.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import atan2, cos, hypot, sin
from statistics import median

from register.columns import COLUMNS
from register.intake import numbers
from register.intake.nameplate.labels import CONTINUOUS, LABELS, WORDS, Label
from register.intake.nameplate.model import Reading, TextLine

_ONE = r"\d+(?:[.,]\d+)*|[.,]\d+"
_NUMBER = re.compile(rf"\d{{1,2}}[ -]\d/\d{{1,2}}(?![\d.,])|(?:{_ONE})(?:\s?[/-]\s?(?:{_ONE}))*")
_CONNECTION = re.compile(r"\s?[YDΔ△∆λ]+(?:\s?/\s?[YDΔ△∆λ]+)?(?!\w)")
_OTHER = re.compile(r"\w[\w./\-]*|.", re.DOTALL)
# Shares of load that stand beside efficiencies.
_LOADS = ("100", "75", "50", "4/4", "3/4", "1/2")
HEADS = 2  # labels without a number make a row the head of a table


@dataclass(frozen=True, slots=True)
class _Token:
    """A label or a number, where it stands on the straightened plate, and on which line."""

    text: str
    at: float
    line: int
    label: Label | None = None
    percent: bool = False


@dataclass(frozen=True, slots=True)
class _Piece:
    """A line of text on the straightened plate."""

    number: int
    text: str
    left: float
    middle: float
    width: float
    height: float


def readings(lines: Sequence[TextLine]) -> list[Reading]:
    """Return every value that the text of a plate gives, in the order in which it stands.

    Parameters
    ----------
    lines : the pieces of text with their corners in pixels, in any order

    Examples
    --------
    >>> line = TextLine("kW 15,0   400 V  cos φ 0,84", ((0, 0), (200, 0), (200, 20), (0, 20)))
    >>> [(r.column, r.value) for r in readings([line])]
    [('power_kw', 15.0), ('motor_voltage_v', 400.0), ('power_factor', 0.84)]
    """
    found: list[Reading] = []
    head: list[_Token] = []
    below = 0
    for row in _rows(lines):
        pieces = []
        for piece in row:
            words, rest = _words(piece)
            found += words
            pieces.append(replace(piece, text=rest))
        tokens = [token for piece in pieces for token in _tokens(piece)]
        if len([t for t in tokens if t.label]) >= HEADS and all(t.label for t in tokens):
            head, below = [t for t in tokens if t.label and t.label.column], 0
            continue
        beside = list(_beside(tokens))
        if head and not beside:
            beside = list(_under(tokens, head, below))
            below += 1
        elif beside:
            head = []
        found += beside
    return found


def _rows(lines: Sequence[TextLine]) -> list[list[_Piece]]:
    """The pieces of text by rows of the plate, a tilt taken out, each from left to right."""
    long = [line for line in lines if len(line.text) > 3] or list(lines)
    slopes = [atan2(r[1] - l[1], r[0] - l[0]) for l, r in ((line.corners[0], line.corners[1]) for line in long)]
    angle = median(slopes) if slopes else 0.0
    pieces = []
    for number, line in enumerate(lines):
        turned = [(x * cos(angle) + y * sin(angle), y * cos(angle) - x * sin(angle)) for x, y in line.corners]
        left = (turned[0][0] + turned[3][0]) / 2
        middle = sum(y for _, y in turned) / 4
        width = hypot(line.corners[1][0] - line.corners[0][0], line.corners[1][1] - line.corners[0][1])
        text = unicodedata.normalize("NFKC", line.text).replace("−", "-")
        pieces.append(_Piece(number, text, left, middle, width, abs(turned[3][1] - turned[0][1])))
    rows: list[list[_Piece]] = []
    for piece in sorted(pieces, key=lambda p: p.middle):
        if rows and piece.middle - median(p.middle for p in rows[-1]) < 0.5 * median(p.height for p in rows[-1]):
            rows[-1].append(piece)
        else:
            rows.append([piece])
    return [sorted(row, key=lambda p: p.left) for row in rows]


def _words(piece: _Piece) -> tuple[list[Reading], str]:
    """The values that are words, and the text with blanks in their places."""
    found, text = [], piece.text
    for column, pattern in WORDS:
        for match in pattern.finditer(text):
            value: str = match[1] if column == "motor" else match[1].upper().replace(" ", "")
            if column == "duty_type" and not re.fullmatch(r"S\d+", value):
                value = CONTINUOUS
            found.append(Reading(column, value.rstrip(".-/"), match[0].strip(), piece.number))
            text = text[: match.start()] + " " * len(match[0]) + text[match.end() :]
    return found, text


def _tokens(piece: _Piece) -> Iterator[_Token]:
    """Labels and numbers of a piece of text, each with its middle; other words are passed over."""
    text, place = piece.text, 0
    step = piece.width / max(1, len(text))
    while place < len(text):
        match, label = _label(text, place)
        match = match or _NUMBER.match(text, place)
        if match is None:
            place = _end(_OTHER, text, place)
            continue
        middle = piece.left + step * (match.start() + match.end()) / 2
        place = match.end()
        if label is None:
            place = _end(_CONNECTION, text, place)
            if text[place : place + 1].isalpha() and _label(text, place)[0] is None:
                place = _end(_OTHER, text, place)
                continue  # 4O0, 160M: not a number
            percent = text[place:].lstrip().startswith("%")
            yield _Token(match[0], middle, piece.number, percent=percent)
        else:
            yield _Token(match[0], middle, piece.number, label)


def _end(pattern: re.Pattern[str], text: str, place: int) -> int:
    """Where what the pattern finds there ends."""
    found = pattern.match(text, place)
    return found.end() if found else place


def _label(text: str, place: int) -> tuple[re.Match[str] | None, Label | None]:
    if place and text[place - 1].isalpha() and text[place].isalpha():
        return None, None
    for pattern, label in LABELS:
        match = pattern.match(text, place)
        if match:
            return match, label
    return None, None


def _beside(tokens: Sequence[_Token]) -> Iterator[Reading]:
    """Each number with the label before it, or else behind it; no label serves twice."""
    used: set[int] = set()
    for place, token in enumerate(tokens):
        if token.label:
            continue
        before = place - 1 if place and tokens[place - 1].label and place - 1 not in used else None
        after = place + 1 if place + 1 < len(tokens) and _unit(tokens[place + 1]) else None
        own = before if before is not None else after
        if own is None:
            continue
        label = tokens[own].label
        assert label is not None
        used.add(own)
        if after is not None and after != own:
            unit = tokens[after].label
            if unit is not None and unit.column == label.column:
                label = unit if not label.factor or unit.factor != 1 else label
                used.add(after)
        if token.text in _LOADS and label.column == "efficiency_pct":
            used.discard(own)
            continue
        first, last = sorted((own, place))
        yield from _values(token, label, " ".join(t.text for t in tokens[first : last + 1]))


def _unit(token: _Token) -> bool:
    return token.label is not None and token.label.follows


def _under(tokens: Sequence[_Token], head: Sequence[_Token], below: int) -> Iterator[Reading]:
    """Each number with the label above it."""
    for token in tokens:
        over = min(head, key=lambda t: abs(t.at - token.at))
        others = [abs(t.at - over.at) for t in head if t is not over]
        if abs(over.at - token.at) < 0.5 * min(others, default=0.0):
            assert over.label is not None
            for read in _values(token, over.label, f"{over.text} {token.text}"):
                yield replace(read, row=read.row + below)


def _values(token: _Token, label: Label, text: str) -> Iterator[Reading]:
    """The values of a number as written: one, or one for each rating; none that its column cannot hold."""
    if not label.column or not label.factor:
        return
    fraction = numbers.typed(token.text) if label.column == "power_kw" else None
    if fraction is not None and fraction.value is not None:
        yield Reading(label.column, fraction.value * label.factor, text, token.line)
        return
    percent = 0.01 if token.percent and label.column in ("power_factor", "service_factor") else 1.0
    for row, digits in enumerate(re.findall(_ONE, token.text)):
        marks = dict.fromkeys(numbers.value(digits, mark) for mark in (numbers.POINT, numbers.COMMA))
        held = [v * label.factor * percent for v in marks if v is not None]
        fits = [v for v in held if _believable(label.column, v)]
        for value in fits:
            yield Reading(label.column, float(f"{value:.6g}"), text, token.line, row)


def _believable(name: str, value: float) -> bool:
    column = COLUMNS[name]
    return (column.low is None or value >= column.low) and (column.high is None or value <= column.high)
