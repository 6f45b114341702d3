"""What a crew's filled workbook says, as a saved round."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping
from datetime import date, datetime, time, tzinfo
from pathlib import Path
from typing import Any

from register.columns import TABLES
from register.errors import Problem, StartrollError
from register.intake.correct import believed
from register.intake.sheet import Sheet, read
from register.rounds.book_lines import DAY, DONE_ON, FOUND, KEY, LINE, NOTE, RESULT, WHO, Line, sealed
from register.rounds.saved_file import (
    ACTION_RESULTS,
    RECORD,
    STATES,
    TASK_RESULTS,
    VALUE,
    WORK,
    Answer,
    SavedRound,
    checked,
    saved_text,
)

REMEDY = "write the page anew: startroll crew-page --to FILE.xlsx, and copy the white cells over"


def read_book(path: Path, register: str = "", zone: tzinfo | None = None) -> SavedRound:
    """What a filled workbook says, as the page would have saved it; each answer is of noon of the day that it names.

    Parameters
    ----------
    register : the number of the register that it has to be of.
    zone : the site's time zone, in which that day is.

    Raises StartrollError with every problem, each with its cell, where it is no such workbook or not understood.
    """
    sheets = read(path)
    head, lines = _key(path, sheets)
    problems: list[Problem] = []
    day = next(sheet for sheet in sheets if sheet.name == DAY)
    who, at = _text(_beside(day, WHO)[0]), _instant(day, zone, problems)
    answers: dict[int, Answer] = {}
    for sheet in sheets:
        if sheet.name not in (DAY, KEY):
            for number, answer in _answers(sheet, lines, at, problems):
                answers[number] = answer
    if problems:
        raise StartrollError(problems)
    ordered = tuple(answers[number] for number in sorted(answers))
    made = SavedRound(**head, who=who, saved_at=at, answers=ordered, sha256="")
    return checked(json.loads(saved_text(made)), path, register)


def _key(path: Path, sheets: list[Sheet]) -> tuple[dict[str, str], list[Line]]:
    """The page that it is and its lines; StartrollError where the hidden sheet is not as it was written."""
    by_name = {sheet.name: sheet for sheet in sheets}
    rows = [_text(row[0]) for row in by_name[KEY].rows if row] if by_name.keys() >= {DAY, KEY} else []
    if len(rows) < 2:
        raise StartrollError(Problem("this is no crew's page", "name the workbook that crew-page wrote", str(path)))
    if sealed(rows[:-1]) != rows[-1]:
        raise StartrollError(Problem(f"its hidden sheet {KEY!r} was changed", REMEDY, str(path)))
    return json.loads(rows[0]), [Line(**json.loads(row)) for row in rows[1:-1]]


def _beside(day: Sheet, label: str) -> tuple[Any, str]:
    """The cell to the right of a label on the first sheet, and its address."""
    for number, row in enumerate(day.rows):
        if row and _text(row[0]).casefold() == label:
            return (row[1] if len(row) > 1 else None), day.place(number, 1)
    return None, day.file


def _instant(day: Sheet, zone: tzinfo | None, problems: list[Problem]) -> str:
    cell, place = _beside(day, DONE_ON)
    try:
        on = cell if isinstance(cell, date) else date.fromisoformat(_text(cell))
        on = on.date() if isinstance(on, datetime) else on
    except ValueError:
        problems.append(Problem(f"{_text(cell) or 'nothing'} is not a day", "write it as 2026-12-03", place))
        on = date(1970, 1, 1)
    noon = datetime.combine(on, time(12))
    return (noon.replace(tzinfo=zone) if zone else noon.astimezone()).isoformat()


def _answers(sheet: Sheet, lines: list[Line], at: str, problems: list[Problem]) -> Iterator[tuple[int, Answer]]:
    """The answers of one sheet, each with the number of its line; what is wrong is noted."""
    wanted = (LINE, RESULT, FOUND, NOTE)
    top = next((n for n, row in enumerate(sheet.rows) if set(wanted) <= {_text(cell) for cell in row}), None)
    if top is None:
        problems.append(Problem("the headings of this sheet are gone", REMEDY, sheet.place(0, 0)))
        return
    where = {name: [_text(cell) for cell in sheet.rows[top]].index(name) for name in wanted}
    met: dict[int, int] = {}
    for index in range(top + 1, len(sheet.rows)):
        cells = {name: _cell(sheet.rows[index], col) for name, col in where.items()}
        if not any(_text(cells[name]) for name in (RESULT, FOUND, NOTE)):
            continue
        place = sheet.place(index, where[LINE])
        number = _text(cells[LINE])
        if not (number.isascii() and number.isdecimal() and 1 <= int(number[:9]) <= len(lines)):
            problems.append(Problem(f"{number!r} is the number of no line", REMEDY, place))
        elif met.setdefault(int(number), index) != index:
            problems.append(
                Problem(f"line {number} stands twice, also in row {met[int(number)] + 1}", "keep one", place)
            )
        else:
            try:
                yield int(number), _answer(lines[int(number) - 1], cells, at)
            except StartrollError as error:
                there = sheet.place(index, where[RESULT])
                problems += [Problem(p.cause, p.remedy, there) for p in error.problems]


def _cell(row: list[Any], column: int) -> Any:
    return row[column] if column < len(row) else None


def _text(cell: Any) -> str:
    """A cell as a person reads it; a whole number without its zero, a day in ISO form."""
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15:
        return str(int(cell))
    if isinstance(cell, datetime):
        return cell.date().isoformat() if cell.time() == time(0) else cell.isoformat()
    return "" if cell is None else str(cell).strip()


def _answer(line: Line, cells: Mapping[str, Any], at: str) -> Answer:
    """What one line says; StartrollError where its result is none."""
    typed, found, note = (_text(cells[name]) for name in (RESULT, FOUND, NOTE))
    state, value, unit = _work(line, typed) if line.table in WORK else _value(line, typed)
    seen = _found(line, found) if found else None
    return Answer(
        line.table, line.at, line.column, line.row, line.base, state, value, typed if state == VALUE else "", unit,
        note, at, None, seen, found, line.found_unit if found else "",
    )  # fmt: skip


def _work(line: Line, typed: str) -> tuple[Any, str | None, str]:
    words = TASK_RESULTS if line.table == RECORD else ACTION_RESULTS
    if not typed:
        return "not known", None, ""
    if typed.casefold() not in words:
        raise StartrollError(Problem(f"{typed!r} is no result", f"one of: {', '.join(words)}"))
    return VALUE, typed.casefold(), ""


def _value(line: Line, typed: str) -> tuple[Any, Any, str]:
    """State, value and unit of a setting as left, or of what was read."""
    if not typed or typed.casefold() in STATES[1:]:
        return typed.casefold() or "not known", None, ""
    unit = line.unit if _number(typed) is not None else ""
    return VALUE, believed(line.column, f"{typed} {unit}".strip()), unit


def _found(line: Line, typed: str) -> float | str | None:
    """What was found or measured; None where nobody can make a value of it, and it is kept as typed."""
    if line.table in WORK:
        return _number(typed) if line.found_unit else None
    if TABLES[line.table].column(line.column).unit and _number(typed) is not None:
        typed = f"{typed} {line.unit}"
    try:
        return believed(line.column, typed)
    except StartrollError:
        return None


def _number(typed: str) -> float | None:
    """A number as a person in any country writes it, without marks between thousands."""
    try:
        value = float(typed.replace(",", ".")) if typed.count(",") + typed.count(".") < 2 else math.nan
    except ValueError:
        return None
    return value if math.isfinite(value) else None
