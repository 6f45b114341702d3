"""One column of a sheet, read: every cell a value, a blank with its reason, or a refusal."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import partial
from typing import Any, NamedTuple

from register.columns import COLUMNS, Column
from register.intake import composite, dates, numbers, vocabulary
from register.intake.believed import as_share, believable, has_rival
from register.intake.mapping import Answer
from register.intake.units import conversion, converted


class Cell(NamedTuple):
    """What a cell that is no plain value comes to; one of the fields but `text` and `also` is set.

    `unit` is the unit (or the word) a value was read from; `options` are the values of a
    two-voltage nameplate; `question` names what has to be answered before it can be taken;
    `also` holds what the cell says of other columns.
    """

    value: Any = None
    text: str = ""
    unit: str | None = None
    blank: str = ""
    cause: str = ""
    remedy: str = ""
    options: tuple[float, ...] = ()
    question: str = ""
    also: tuple[tuple[str, Any], ...] = ()


@dataclass(slots=True)
class Read:
    """A column as read; the dicts are by place in `values`."""

    column: Column
    values: list[Any]
    special: dict[int, Cell] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Manner:
    """How a column's cells are to be understood."""

    column: Column
    unit: str = ""
    answer: Answer = field(default_factory=Answer)
    practice: str = ""
    verbatim: bool = False
    marks: frozenset[str] = frozenset()
    orders: frozenset[str] = frozenset()


def read_column(cells: Sequence[object], manner: Manner) -> Read:
    """Read a column; each distinct cell is understood once."""
    if any(cell.__class__ is bool for cell in cells):
        cells = [{True: "yes", False: "no"}[c] if c.__class__ is bool else c for c in cells]
    understand = _understanding(cells, manner)
    memo: dict[object, Any] = {None: None, "": None}
    read = Read(manner.column, [])
    put = read.values.append
    for index, raw in enumerate(cells):
        try:
            made = memo[raw]
        except KeyError:
            made = memo[raw] = understand(raw)
        if made.__class__ is Cell:
            read.special[index] = made
            made = made.value
        put(made)
    return read


def _understanding(cells: Sequence[object], manner: Manner) -> Callable[[object], Any]:
    column = manner.column
    if column.kind == "date":
        known = manner.answer.dates or _only(dates.order(set(filter(_is_short, cells))) or manner.orders)
        if not known and manner.practice == "iec":
            known = dates.DAY_FIRST
        return lambda raw: _date(raw, known) if _is_short(raw) else _long(raw, manner)
    if column.choices:
        how = partial(_choice, manner=manner)
    elif column.is_number:
        mark = numbers.POINT if manner.verbatim else manner.answer.decimal or _mark(cells, manner)
        said = conversion(column, manner.unit) or (1.0, 0.0)
        how = partial(_number, manner=manner, mark=mark, said=said)
    else:
        how = partial(_text, manner=manner)
    if manner.verbatim:
        return how
    return lambda raw: _whole(raw, how, manner) if _is_short(raw) else _long(raw, manner)


LONGEST_VALUE = 500  # letters: what is longer is a text, and no number, day or word of a list


def _is_short(raw: object) -> bool:
    return not (isinstance(raw, str) and len(raw) > LONGEST_VALUE)


def _long(raw: object, manner: Manner) -> Any:
    """A text too long to be taken apart: kept where texts are kept, else refused."""
    column, text = manner.column, as_text(raw)
    if not (column.choices or column.is_number or column.kind == "date"):
        return _text(raw, manner)
    start = f"{text[:40]}…"
    return Cell(
        text=start, cause=f"{start!r}, {len(text)} letters, is no value of {column.name}", remedy=column.sentence
    )


UNKNOWN_WORD = "unknown"


def _whole(raw: object, how: Callable[[object], Any], manner: Manner) -> Any:
    """A cell as its column has it; where that fails, as several things at once, or as the mapping says."""
    if manner.answer.words and isinstance(raw, str):
        said = _answered(as_text(raw), manner)
        if said is not None:
            return said if said.__class__ is Cell else how(said)
    made = how(raw)
    if not isinstance(raw, str):
        return made
    text = as_text(raw)
    plain_text = manner.column.name == "cable_size" and made.__class__ is not Cell
    more = plain_text or composite.says_more(manner.column.name, text)
    if not more and not (made.__class__ is Cell and (made.cause or made.question == "words")):
        return made
    parts = composite.split(manner.column.name, text)
    if parts is None:
        return made
    own = how(parts.own) if parts.own else None
    value, special = (own.value, own) if own.__class__ is Cell else (own, Cell())
    if special.cause or special.question:
        return made
    also = tuple(
        (name, text, read)
        for name, text in parts.also.items()
        if name and (read := read_column([text], Manner(COLUMNS[name], practice="iec"))) is not None
    )
    if any(read.values[0] is None for _, _, read in also):
        return made
    return special._replace(
        value=value, text=text, unit=special.unit or "", also=tuple((n, r.values[0]) for n, _, r in also)
    )


def _answered(text: str, manner: Manner) -> Any:
    """What the mapping says that a text means: another text to read, or a cell; None where it is silent."""
    for word, meaning in manner.answer.words.items():
        if vocabulary.squeezed(word) == vocabulary.squeezed(text):
            if meaning == UNKNOWN_WORD:
                return Cell(text=text, blank="not surveyed")
            return None if manner.column.choices else meaning
    return None


def _only(found: set[str] | frozenset[str]) -> str:
    return next(iter(found)) if len(found) == 1 else ""


def _mark(cells: Sequence[object], manner: Manner) -> str:
    """The column's decimal mark by its own evidence, else by its neighbours'; "" when unknown."""
    return _only(marks(cells) or manner.marks)


def marks(cells: Sequence[object]) -> set[str]:
    """The decimal marks that a column's cells prove."""
    typed = (numbers.typed(c.strip()) for c in set(cells) if isinstance(c, str) and c and _is_short(c))
    return numbers.evidence(t.digits for t in typed if t and t.value is None)


def as_text(raw: object) -> str:
    """A cell as the text a person sees in it."""
    if isinstance(raw, float) and raw.is_integer() and abs(raw) < 1e15:
        return str(int(raw))
    if isinstance(raw, datetime) and raw.time() == time():
        return raw.date().isoformat()
    return " ".join(unicodedata.normalize("NFC", str(raw)).split())


def _missing(text: str) -> Cell | None:
    """A cell that says why it is empty, or a spreadsheet's error; else None."""
    if text in vocabulary.EXCEL_ERRORS or re.fullmatch("#+", text):
        return Cell(
            text=text,
            cause=f"{text} is the spreadsheet's error, not a value",
            remedy="correct the formula in the list, or type the value",
        )
    reason = vocabulary.blank_reason(text)
    if reason is None:
        return None
    return Cell(text=text, blank=reason)


def _text(raw: object, manner: Manner) -> Any:
    column = manner.column
    if isinstance(raw, (date, time, timedelta)) and not manner.verbatim and column.required:
        return Cell(
            text=str(raw),
            cause=f"{raw} is a date where {column.sentence} belongs",
            remedy="the spreadsheet turned it into one: format the cell as text and type it again",
        )
    text = as_text(raw)
    missing = _missing(text)
    if missing:
        return missing if missing.blank or missing.cause else None
    if isinstance(raw, str):
        if manner.verbatim:
            text = raw
        if re.match(r"'+[=+\-@\t\r]", text):
            text = text[1:]
    return text


def _choice(raw: object, manner: Manner) -> Any:
    column, text = manner.column, as_text(raw)
    if text in column.choices:
        return text
    choice = vocabulary.chosen(column, text, manner.answer.words)
    if choice:
        return Cell(choice, text, "")
    missing = _missing(text)
    if missing:
        return missing if missing.blank or missing.cause else None
    if vocabulary.is_code(column, text):
        return Cell(text=text, question="words")
    if not manner.verbatim:
        return Cell(text=text, question="words")
    near = vocabulary.nearest(column, text)
    hint = f"did you mean {near}? else one of: " if near else "one of: "
    return Cell(text=text, cause=f"{text!r} is no word of {column.name}", remedy=hint + ", ".join(column.choices))


def _date(raw: object, known: str) -> Any:
    text = as_text(raw)
    missing = _missing(text)
    if missing:
        return missing if missing.blank or missing.cause else None
    made = dates.day(raw, known or None)
    if made == dates.EITHER:
        return Cell(text=text, question="dates")
    if made is None:
        return Cell(text=text, cause=f"{text!r} is not a date", remedy="write the whole day as 2026-03-01")
    return made if made == text else Cell(made, text, "")


def _number(raw: object, manner: Manner, mark: str, said: tuple[float, float]) -> Any:
    text = as_text(raw)
    if isinstance(raw, (int, float)):
        return _settled(float(raw), text, manner.unit, manner, said, bare=True)
    missing = _missing(text)
    if missing:
        return missing if missing.blank or missing.cause else None
    column = manner.column
    if column.name == "ct_primary_a":
        text = re.split(r"\s*[:/]\s*[15]\s*A?$", text)[0]
    many = numbers.several(text) if numbers.typed(text) else None
    if many and column.unit in ("V", "A"):
        return _options(many, text, manner, mark, said)
    typed = numbers.typed(text)
    if typed is None or (many and typed.value is None):
        return _no_number(text, column, manner.unit)
    how = said if not typed.unit else conversion(column, typed.unit)
    if how is None and composite.may_hold_words(column.name):
        return Cell(text=text, question="words")
    if how is None and re.search(r"\d", typed.unit):
        return Cell(
            text=text, cause=f"{text!r} is more than one number", remedy=f"write the one that counts, in {column.unit}"
        )
    if how is None:
        return Cell(
            text=text,
            cause=f"{typed.unit!r} is not a unit of {column.name}",
            remedy=f"write it in {column.unit or 'a plain number'}",
        )
    number = typed.value if typed.value is not None else _decimal(typed.digits, mark, column, how)
    if number is None:
        return Cell(text=text, question="decimal")
    if isinstance(number, str):
        return _no_number(text, column, manner.unit)
    return _settled(number, text, typed.unit or manner.unit, manner, how, bare=not typed.unit)


def _no_number(text: str, column: Column, unit: str = "") -> Cell:
    remedy = f"{column.sentence}, in {unit or column.unit or 'plain numbers'}"
    return Cell(text=text, cause=f"{text!r} is not a number", remedy=remedy)


def _decimal(digits: str, mark: str, column: Column, how: tuple[float, float]) -> float | str | None:
    """The number; None when 1,770 could be either; "" when it is none."""
    if not numbers.is_ambiguous(digits):
        proved = _only(numbers.evidence([digits]))
        found = numbers.value(digits, proved or mark or numbers.POINT)
        return "" if found is None else found
    both = [numbers.value(digits, m) for m in ([mark] if mark else [numbers.POINT, numbers.COMMA])]
    fit = [v for v in both if v is not None and (mark or believable(converted(v, how), column))]
    return fit[0] if len(fit) == 1 else None


def _settled(number: float, text: str, unit: str, manner: Manner, how: tuple[float, float], *, bare: bool) -> Any:
    column = manner.column
    if not math.isfinite(number):
        return _no_number(text, column, manner.unit)
    if bare and not manner.unit and not manner.verbatim and has_rival(column, manner.practice):
        return Cell(text=text, question="unit")
    value = converted(number, how)
    if bare and not believable(value, column):
        value, unit = as_share(value, unit, column)
    if not believable(value, column):
        return _unbelievable(value, text, column)
    if column.kind == "integer":
        if not value.is_integer():
            return Cell(text=text, cause=f"{text!r} is no whole number", remedy=column.sentence)
        value = int(value)
    plain = value == number and not (bare is False and unit)
    return value if plain else Cell(value, text, unit)


def _unbelievable(value: float, text: str, column: Column) -> Cell:
    unit = f" {column.unit}" if column.unit else ""
    low = "" if column.low is None else f"{column.low:g}"
    high = "" if column.high is None else f"{column.high:g}"
    remedy = f"{column.sentence}, {low} to {high}{unit}: check value and unit"
    return Cell(text=text, cause=f"{value:g}{unit} cannot be believed", remedy=remedy)


def _options(many: tuple[list[str], str], text: str, manner: Manner, mark: str, said: tuple[float, float]) -> Cell:
    digits, unit = many
    how = conversion(manner.column, unit) if unit else said
    found = [v for d in digits if (v := numbers.value(d, mark or numbers.POINT)) is not None]
    if how is None or len(found) < len(digits):
        return _no_number(text, manner.column)
    values = tuple(converted(v, how) for v in found)
    if not all(believable(v, manner.column) for v in values):
        return _no_number(text, manner.column)
    return Cell(text=text, unit=unit or manner.unit, options=values)
