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
NO_NUMBER = "?"  # 4O0: it has a place, and no value
HEADS = 2  # labels without a number make a row the head of a table


@dataclass(frozen=True, slots=True)
class _Token:
    """A label or a number, where its middle stands on the straightened plate, how far it reaches, on which line."""

    text: str
    at: float
    reach: float
    line: int
    label: Label | None = None
    percent: bool = False

    @property
    def is_number(self) -> bool:
        """Whether it is one, and not what only has figures in it."""
        return self.label is None and self.text != NO_NUMBER


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
        tokens = [list(_tokens(piece)) for piece in pieces]
        labels = [t for own in tokens for t in own if t.label]
        if len(labels) >= HEADS and not any(t.is_number for own in tokens for t in own):
            head, below = [t for t in labels if t.label and t.label.column], 0
            continue
        beside = _in_row(tokens)
        if head and not beside:
            beside = [r for own in tokens for r in _under(own, head, below)]
            below += 1
        elif beside:
            head = []
        found += beside
    return found


def _in_row(pieces: Sequence[Sequence[_Token]]) -> list[Reading]:
    """What the labels of a row give: first within each piece of text, then between what is left of them."""
    found: list[Reading] = []
    left: list[_Token] = []
    for tokens in pieces:
        own, rest = _beside(tokens)
        found, left = found + own, left + rest
    return found + _beside(left)[0]


def _rows(lines: Sequence[TextLine]) -> list[list[_Piece]]:
    """The pieces of text by rows of the plate, a tilt taken out, each from left to right."""
    long = [line for line in lines if len(line.text) > 3] or list(lines)
    edges = [(line.corners[0], line.corners[1]) for line in long]
    slopes = [atan2(right[1] - left[1], right[0] - left[0]) for left, right in edges]
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
        start, (match, label) = place, _label(text, place)
        match = match or _NUMBER.match(text, place)
        place = match.end() if match else place
        said = match[0] if match else ""
        if label is None:
            place = _end(_CONNECTION, text, place) if match else place
            if match is None or (text[place : place + 1].isalpha() and _label(text, place)[0] is None):
                place = _end(_OTHER, text, place)
                if not any(mark.isdigit() for mark in text[start:place]):
                    continue
                said = NO_NUMBER
        middle, reach = piece.left + step * (start + place) / 2, step * (place - start) / 2 + piece.height / 2
        percent = text[place:].lstrip().startswith("%")
        yield _Token(said, middle, reach, piece.number, label, percent)


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


def _beside(tokens: Sequence[_Token]) -> tuple[list[Reading], list[_Token]]:
    """Each number with the label before it, or else behind it, and the tokens left; no label serves twice."""
    found: list[Reading] = []
    used = _undecided(tokens)
    for place, token in enumerate(tokens):
        if token.label or place in used:
            continue
        before, after = place - 1, place + 1
        has_before = place > 0 and tokens[before].label is not None and before not in used
        has_after = after < len(tokens) and _unit(tokens[after])
        if not has_before and not has_after:
            continue
        own = before if has_before else after
        label = tokens[own].label
        assert label is not None
        if token.text in _LOADS and label.column == "efficiency_pct":
            continue
        used |= {own, place}
        behind = tokens[after].label if has_after else None
        if behind is not None and behind.column == label.column:
            label = behind if not label.factor or behind.factor != 1 else label
            used.add(after)
        last = max(place, *(n for n in used if n <= after))
        said = " ".join(t.text for t in tokens[min(own, place) : last + 1])
        found += _values(token, label, said)
    return found, [token for place, token in enumerate(tokens) if place not in used]


def _undecided(tokens: Sequence[_Token]) -> set[int]:
    """Places of `kW 400 V 28.5 A`: a number is lost, and nothing tells whether units stand before or behind."""
    places: set[int] = set()
    start = 0
    for place in range(1, len(tokens) + 1):
        if place < len(tokens) and bool(tokens[place].label) != bool(tokens[place - 1].label):
            continue
        first, last = tokens[start].label, tokens[place - 1].label
        if place - start > 2 and first and last and first.follows and last.follows and first.column != last.column:
            places |= set(range(start, place))
        start = place
    return places


def _unit(token: _Token) -> bool:
    return token.label is not None and token.label.follows


def _under(tokens: Sequence[_Token], head: Sequence[_Token], below: int) -> Iterator[Reading]:
    """Each number with the label right above it; under a label that was not read it stays unread."""
    for token in tokens:
        over = min(head, key=lambda t: abs(t.at - token.at))
        if abs(over.at - token.at) <= max(over.reach, token.reach) and over.label is not None:
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
        digits = digits.replace(",", ".") if digits.startswith("0") else digits  # 0,959 is no 959
        both = (numbers.POINT,) if digits.startswith("0") else (numbers.POINT, numbers.COMMA)
        marks = dict.fromkeys(numbers.value(digits, mark) for mark in both)
        held = [v * label.factor * percent for v in marks if v is not None]
        fits = [v for v in held if _believable(label.column, v)]
        for value in fits:
            yield Reading(label.column, float(f"{value:.6g}"), text, token.line, row)


def _believable(name: str, value: float) -> bool:
    column = COLUMNS[name]
    return (column.low is None or value >= column.low) and (column.high is None or value <= column.high)
