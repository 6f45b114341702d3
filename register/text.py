"""Values as people read them: sensible digits, with their unit."""

from __future__ import annotations

import re
from math import isinf
from typing import Any

UNKNOWN = "unknown"
_DIGITS = 4
_TIME = {"a": "year", "d": "day"}
# A value and its band, each with its unit: 2.32 × FLA (2.32 × FLA to 2.47 × FLA)
_BAND = re.compile(r"([\d.]+) ([^\d(),]+) \(([\d.]+) \2 to ([\d.]+) \2\)")
# What steers a terminal or turns a line round: C0 but for the line break, C1, the line and
# paragraph separators, the embeddings, overrides and isolates of the bidirectional algorithm.
_STEERING = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")


def number(value: float) -> str:
    """Four digits, more where they stand before the decimal point; never an exponent.

    >>> number(81.25), number(1 / 3), number(123456.7), number(90.0), number(0.00012)
    ('81.25', '0.3333', '123457', '90', '0.00012')
    """
    if value == 0:
        return "0"
    text = f"{value:.{_DIGITS}g}" if abs(value) < 10**_DIGITS else f"{value:.0f}"
    if "e" in text:
        text = f"{value:.12f}".rstrip("0")
    return text


def shown(value: Any, unit: str = "") -> str:
    """A value with its unit; text as it stands; a missing one as `unknown`.

    >>> shown(90.0, "A"), shown(6.5, "×FLA"), shown(14.0, "1/h"), shown(None, "A"), shown("belt")
    ('90 A', '6.5 × FLA', '14 an hour', 'unknown', 'belt')
    >>> shown(15.0, "a"), shown(1.0, "a"), shown(56, "d"), shown(4749.0, "currency")
    ('15 years', '1 year', '56 days', '4 749')
    """
    if value is None:
        return UNKNOWN
    if isinstance(value, str):
        return value
    if isinf(value):
        return "no limit"
    if unit == "1/h":
        return f"{number(value)} an hour"
    if unit in _TIME:
        return f"{number(value)} {_TIME[unit]}{'' if value == 1 else 's'}"
    if unit == "currency":
        return grouped(value)
    return f"{number(value)} {unit.replace('×', '× ')}".rstrip()


def banded(sentence: str) -> str:
    """A text with the unit of each band said once, and no band where it is nil.

    >>> banded("needs 2.32 × FLA (2.32 × FLA to 2.47 × FLA), dips 3 % (3 % to 3 %)")
    'needs 2.32 (2.32 to 2.47) × FLA, dips 3 %'
    """
    return _BAND.sub(_band, sentence)


def _band(found: re.Match[str]) -> str:
    middle, unit, low, high = found.groups()
    return f"{middle} {unit}" if low == high == middle else f"{middle} ({low} to {high}) {unit}"


def counted(count: int, noun: str) -> str:
    """A number of things.

    >>> counted(1, "failure"), counted(2, "failure")
    ('1 failure', '2 failures')
    """
    return f"{count} {noun}{'' if count == 1 else 's'}"


def whole(digits: str | bytes, most: int = 10**15) -> int:
    """The whole number that decimal digits write, `most` where it is larger; -1 for anything else.

    Python refuses to read more than 4300 digits, and calls ² a digit that it cannot read.

    >>> whole("037"), whole(b"12"), whole("9" * 5000, most=100), whole("²"), whole("-1")
    (37, 12, 100, -1, -1)
    """
    text = digits.decode("ascii", "replace") if isinstance(digits, bytes) else digits
    if not text.isdecimal():
        return -1
    return most if len(text.lstrip("0")) > len(str(most)) else min(int(text.lstrip("0") or 0), most)


def visible(text: str) -> str:
    """A text whose control characters are seen and not obeyed; line breaks stay.

    >>> visible("a\x1b[2Jb"), visible("P-\u202e101"), visible("Kvernø 3 × 2")
    ('a␛[2Jb', 'P-\\\\u202e101', 'Kvernø 3 × 2')
    """
    return _STEERING.sub(_symbol, text)


def _symbol(found: re.Match[str]) -> str:
    code = ord(found[0])
    if code < 0x20:
        return chr(0x2400 + code)
    return "␡" if code == 0x7F else f"\\u{code:04x}"


def escaped(text: str) -> str:
    """JSON in which what steers a terminal or turns a line round is escaped; the same JSON.

    >>> escaped('"P-\u202e101"')
    '"P-\\\\u202e101"'
    """
    return _STEERING.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def neutral(value: Any) -> Any:
    """A text that no spreadsheet program takes for a formula; numbers stay as they are.

    >>> neutral("=1+1"), neutral(-4.5), neutral("-4.5"), neutral("P-101")
    ("'=1+1", -4.5, '-4.5', 'P-101')
    """
    if isinstance(value, str) and re.match(r"'*[=+\-@\t\r]", value):
        try:
            float(value)
        except ValueError:
            return f"'{value}"
    return value


def steps(text: str) -> list[str]:
    """A text's numbered steps, each on one line; the whole of one that has none.

    >>> steps("1. Read\\n   it.\\n2. Set it."), steps("Read\\nit.")
    (['1. Read it.', '2. Set it.'], ['Read it.'])
    """
    parts = re.split(r"^\s*(?=\d+\.\s)", text, flags=re.MULTILINE)
    return [" ".join(part.split()) for part in parts if part.strip()]


def natural(text: str) -> list[tuple[int, int, str]]:
    """A key that sorts P-9 before P-10.

    >>> sorted(["P-10", "P-9", "A-2"], key=natural)
    ['A-2', 'P-9', 'P-10']
    """
    pieces = re.split(r"([0-9]+)", text)
    return [(1, whole(p, most=10**18), p) if n % 2 else (0, 0, p) for n, p in enumerate(pieces)]


def two_digits(value: float) -> str:
    """A figure that deserves no more: a rate, a ratio.

    >>> two_digits(0.01234), two_digits(38.49), two_digits(1234.0)
    ('0.012', '38', '1200')
    """
    return number(float(f"{value:.2g}"))


def percent(pct: float) -> str:
    """A share in whole per cent; neither none nor all where it is only nearly so.

    >>> percent(17.3), percent(0.4), percent(99.7), percent(0.0)
    ('17 %', 'under 1 %', 'over 99 %', '0 %')
    """
    if 0 < pct < 1:
        return "under 1 %"
    return "over 99 %" if 99.5 <= pct < 100 else f"{pct:.0f} %"


def share(pct: float | None) -> str:
    """A share in whole per cent, cut off: never 100 % of what is only nearly all.

    >>> share(99.7), share(100.0), share(None)
    ('99 %', '100 %', '–')
    """
    return "–" if pct is None else f"{int(pct)} %"


def money(amount: float | None, currency: str) -> str:
    """An amount with its currency, or with the word that nobody has entered which it is.

    >>> money(4749.0, "USD"), money(1000.0, ""), money(None, "USD")
    ('4 749 USD', '1 000 (currency unknown)', 'unknown')
    """
    return UNKNOWN if amount is None else f"{grouped(amount)} {currency or '(currency unknown)'}"


def grouped(amount: float) -> str:
    """An amount in groups of three digits; cents where there are any.

    >>> grouped(4749.0), grouped(1234567.5), grouped(999)
    ('4 749', '1 234 567.50', '999')
    """
    text = f"{amount:,.2f}".removesuffix(".00")
    return text.replace(",", " ")
