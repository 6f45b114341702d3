"""The saved file of a round or a crew's page: what was answered in the plant, as the page writes it, and taken back.

The form is `docs/schema/round.schema.json`; JSON in UTF-8. `sha256` is over all else in the canonical form of RFC 8785
(keys in order, no spaces, numbers as ECMAScript writes them), so that the page, which is JavaScript, and this module
come to the same.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Collection, Iterator
from dataclasses import asdict, dataclass
from datetime import datetime
from decimal import Decimal
from itertools import islice
from pathlib import Path
from typing import Any, Literal

from register.columns import RECORD_KINDS, TABLES
from register.columns.model import Column
from register.errors import Problem, StartrollError
from register.resources import small_file

FORM = 2
FORMS = (1, FORM)  # the first knows no work, and nothing as found
State = Literal["value", "illegible", "not there", "not applicable", "not known"]
VALUE: State = "value"
STATES: tuple[State, ...] = (VALUE, "illegible", "not there", "not applicable", "not known")
# Tables of which a round asks; "at" is a bus of the first, a position of all others.
OF_BUS = "bus"
ASKED_OF = (OF_BUS, "position", "motor", "device", "model", "setting", "protection", "bypass", "control")
# Work: a task of the programme, whose column is the kind of its record; an action, whose column is its number.
RECORD, ACTION = "record", "action"
WORK = (RECORD, ACTION)
TASK_RESULTS = ("passed", "failed", "half done", "not done")
ACTION_RESULTS = ("done", "half done", "not done")
UNDONE = ("half done", "not done")
MOST_TOLD = 1_000  # ways in which a file is not in the form: who sees so many needs no more
REMEDY = "save the round again on the page it was filled in on; do not change the file"


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture that is kept beside the saved file: its name, and the SHA-256 of its bytes."""

    file: str
    sha256: str


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer: which cell of the register, what it held when the round was made, and what was found.

    `at` is the tag of the position, or the name of a bus. `row` is the key of the row that held `base` (a motor's, a
    device's), None where there was none: another row there now means that something was replaced meanwhile.
    `value` is in the unit of the register, None in every state but "value", and there too where the page could make
    none of what was typed: that is for a list to correct. `as_typed` is what the person typed, in `unit`. `answered_at`
    is ISO 8601 with offset.

    Of work, `row` is what `at` names (position or bus), and `value` is the result. `found` is a setting as it was
    found, in the unit of the register, or what was measured with a task, in `found_unit`; `found_typed` as typed.
    """

    table: str
    at: str
    column: str
    row: str | None
    base: float | str | None
    state: State
    value: float | str | None
    as_typed: str
    unit: str
    note: str
    answered_at: str
    photo: Photo | None = None
    found: float | str | None = None
    found_typed: str = ""
    found_unit: str = ""


@dataclass(frozen=True, slots=True)
class SavedRound:
    """A saved file, read and found whole.

    `register` is the number of the register the round was made of, `page` that of the round itself: the same in every
    file that was saved from one page.
    """

    register: str
    page: str
    site: str
    title: str
    made_on: str
    who: str
    saved_at: str
    answers: tuple[Answer, ...]
    sha256: str


def read_saved(path: Path, register: str = "") -> SavedRound:
    """The round saved in a file; StartrollError, with every problem, when it is not whole, or of another `register`."""
    try:
        saved = json.loads(small_file(path).decode("utf-8-sig"), parse_constant=_no_number)
    except OSError as error:
        raise _refused(path, f"it cannot be read ({error.strerror})", "name the file that the page saved") from None
    except (ValueError, RecursionError):
        raise _refused(path, "this is no saved round, or a part of it is missing", REMEDY) from None
    return checked(saved, path, register)


def checked(saved: Any, path: Path, register: str = "") -> SavedRound:
    """What a file holds, as a saved round; StartrollError, with every problem, where it is not whole."""
    problems = (
        [*islice(_form_problems(saved), MOST_TOLD)] or [*_hash_problems(saved)] or [*_value_problems(saved, register)]
    )
    if problems:
        raise StartrollError(Problem(p.cause, p.remedy or REMEDY, f"{path.name}{p.place}") for p in problems)
    answers = tuple(Answer(**(a | {"photo": Photo(**a["photo"]) if a["photo"] else None})) for a in saved["answers"])
    return SavedRound(**{k: v for k, v in saved.items() if k != "round"} | {"answers": answers})


def saved_text(saved: SavedRound) -> str:
    """The text of the file for a round; its SHA-256 is worked out anew."""
    data = {"round": FORM} | asdict(saved) | {"answers": [asdict(answer) for answer in saved.answers]}
    return json.dumps(data | {"sha256": fingerprint(data)}, ensure_ascii=False, indent=1) + "\n"


def fingerprint(saved: dict[str, Any]) -> str:
    """The SHA-256 of a saved round without its own "sha256", in hexadecimal digits."""
    rest = {name: value for name, value in saved.items() if name != "sha256"}
    return hashlib.sha256(canonical(rest).encode("utf-8", "surrogatepass")).hexdigest()


def canonical(value: Any) -> str:
    """A JSON value in the canonical form of RFC 8785.

    >>> canonical({"b": [1.0, 1e-7, 0.00001, 1e21, 123456789012345680000.0], "a": "Kvernø\\n"})
    '{"a":"Kvernø\\\\n","b":[1,1e-7,0.00001,1e+21,123456789012345680000]}'
    """
    if isinstance(value, dict):
        return "{" + ",".join(f"{canonical(k)}:{canonical(value[k])}" for k in sorted(value)) + "}"
    if isinstance(value, list | tuple):
        return "[" + ",".join(map(canonical, value)) + "]"
    return _number(value) if isinstance(value, float) else json.dumps(value, ensure_ascii=False)


def _number(value: float) -> str:
    """A number as ECMAScript writes it (ECMA-262, Number::toString)."""
    if value == int(value) and abs(value) < 1e21:
        return str(int(Decimal(repr(value))))
    text = repr(value)
    if 1e-6 <= abs(value) < 1e21:
        return format(Decimal(text), "f")
    digits, _, power = text.partition("e")
    return f"{digits.removesuffix('.0')}e{int(power):+d}"


def _no_number(name: str) -> float:
    raise ValueError(f"{name} is no number")


def _refused(path: Path, cause: str, remedy: str) -> StartrollError:
    return StartrollError(Problem(cause, remedy, str(path)))


Test = Callable[[Any], bool]


def _is_text(value: Any) -> bool:
    return isinstance(value, str)


def _is_cell(value: Any) -> bool:
    return value is None or (isinstance(value, str | int | float) and not isinstance(value, bool))


def _is_instant(value: Any) -> bool:
    try:
        return datetime.fromisoformat(value).tzinfo is not None
    except (TypeError, ValueError):
        return False


def _is_hash(value: Any) -> bool:
    return isinstance(value, str) and len(value) == 64 and not set(value) - set("0123456789abcdef")


def _is_photo(value: Any) -> bool:
    if value is None:
        return True
    whole = isinstance(value, dict) and value.keys() == {"file", "sha256"} and _is_text(value["file"])
    return whole and _is_hash(value["sha256"])


# fmt: off
HEAD: dict[str, Test] = {
    "round": lambda v: v in FORMS and v is not True, "register": _is_text, "page": _is_text,
    "site": _is_text, "title": _is_text, "made_on": _is_instant, "who": _is_text, "saved_at": _is_instant,
    "answers": lambda v: isinstance(v, list), "sha256": _is_hash,
}
ANSWER: dict[str, Test] = {
    "table": lambda v: v in (*ASKED_OF, *WORK), "at": _is_text, "column": _is_text,
    "row": lambda v: v is None or _is_text(v),
    "base": _is_cell, "state": lambda v: v in STATES, "value": _is_cell, "as_typed": _is_text, "unit": _is_text,
    "note": _is_text, "answered_at": _is_instant, "photo": _is_photo,
    "found": _is_cell, "found_typed": _is_text, "found_unit": _is_text,
}
SINCE_2 = {"found", "found_typed", "found_unit"}
# fmt: on


def _form_problems(saved: Any) -> Iterator[Problem]:
    """What is not as the form has it; the version first, because a later one may have any form."""
    if not isinstance(saved, dict) or "round" not in saved:
        yield Problem("this is no saved round")
    elif isinstance(saved["round"], int) and saved["round"] > FORM:
        yield Problem(f"saved by a later version (form {saved['round']})", "bring startroll up to date")
    else:
        yield from _unlike(saved, HEAD, "")
        answers = saved.get("answers")
        for number, answer in enumerate(answers if isinstance(answers, list) else (), 1):
            yield from _unlike(answer, ANSWER, f", answer {number}", SINCE_2 if saved["round"] == 1 else set())


def _unlike(part: Any, form: dict[str, Test], place: str, absent: Collection[str] = ()) -> Iterator[Problem]:
    if not isinstance(part, dict):
        yield Problem("this is no answer", place=place)
        return
    for name in (name for name in form if name not in part and name not in absent):
        yield Problem(f'"{name}" is missing', place=place)
    for name in (name for name in part if name not in form):
        yield Problem(f'"{name}" is nothing that this form has', place=place)
    yield from (
        Problem(f'"{name}" is not as it was saved', place=place)
        for name, holds in form.items()
        if name in part and not holds(part[name])
    )


def _hash_problems(saved: dict[str, Any]) -> Iterator[Problem]:
    if fingerprint(saved) != saved["sha256"]:
        yield Problem("the file was changed or damaged after it was saved: its SHA-256 does not fit")


def _value_problems(saved: dict[str, Any], register: str) -> Iterator[Problem]:
    """Whether it is of this register, and each answer of a column there is and of its kind."""
    if register and saved["register"] != register:
        yield Problem(
            f"this round was made of another register ({saved['site']})", "name the register of that site: --register"
        )
    seen: set[tuple[str, ...]] = set()
    for number, answer in enumerate(saved["answers"], 1):
        # A lineup may have the name of a position; each may have the same task.
        about = (str(answer["row"]),) if answer["table"] in WORK else ()
        cell = (answer["table"], answer["at"], answer["column"], *about)
        place = f", answer {number} ({answer['at']}, {answer['column']})"
        column = (
            None
            if answer["table"] in WORK
            else next((c for c in TABLES[answer["table"]].columns if c.name == answer["column"]), None)
        )
        if answer["table"] in WORK:
            yield from (Problem(cause, place=place) for cause in _unlike_work(answer))
        elif column is None:
            yield Problem("there is no such column", "bring startroll up to date", place)
        elif not _fits(column, answer):
            yield Problem(f"{answer['value']!r} is no value of {column.described()}", place=place)
        if cell in seen:
            yield Problem("the file answers this twice", place=place)
        seen.add(cell)


def _unlike_work(answer: dict[str, Any]) -> Iterator[str]:
    """What is wrong with an answer about work."""
    is_task, value = answer["table"] == RECORD, answer["value"]
    known = answer["column"] in RECORD_KINDS.split("|") if is_task else answer["column"].isdecimal()
    if not known:
        yield "there is no such task" if is_task else "this is no number of an action"
    if answer["row"] not in ("position", OF_BUS):
        yield f"{answer['row']!r} is nothing that such work is done at"
    if value not in ((TASK_RESULTS if is_task else ACTION_RESULTS) if answer["state"] == VALUE else (None,)):
        yield f"{value!r} is no result"
    if is_task and isinstance(answer["found"], str):
        yield f"{answer['found']!r} is nothing that is measured"


def _fits(column: Column, answer: dict[str, Any]) -> bool:
    """Whether its value is of the column's kind; whether it can be believed is for whoever takes it back."""
    value = answer["value"]
    if value is None:
        return answer["state"] != VALUE or bool(answer["as_typed"].strip())
    return answer["state"] == VALUE and isinstance(value, str) != column.is_number
