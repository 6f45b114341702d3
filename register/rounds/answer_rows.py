"""The rows of `answer`: what was answered in the plant, word for word, and the name by which it is known again."""

from __future__ import annotations

import hashlib

from sqlite_utils import Database

from register.rounds.saved_file import WORK, Answer


def name_of(page: str, answer: Answer) -> str:
    """The name of an answer of a page: the same each time that it comes back unchanged."""
    parts: tuple[object, ...] = (
        answer.table,
        answer.at,
        answer.column,
        answer.row,
        answer.state,
        answer.value,
        answer.answered_at,
    )
    parts += (answer.found_typed,) if answer.found_typed else ()
    digest = hashlib.blake2b(repr(parts).encode("utf-8", "surrogatepass"), digest_size=8).hexdigest()
    return f"round {page} {digest}"


def as_found(answer: Answer) -> str:
    """What was found before, or measured, as it was typed."""
    if not answer.found_typed:
        return ""
    what = "measured" if answer.table in WORK else "as found"
    return f"{what} {answer.found_typed} {answer.found_unit}".strip()


def keep_answer(db: Database, change_set: int, answer: Answer, name: str, key: str) -> None:
    """Keep an answer beside the row that it is about; belongs inside `database.writing`."""
    photo = answer.photo
    db.table("answer").insert(
        {
            "origin": name,
            "change_set": change_set,
            "table_name": answer.table,
            "row_key": key,
            "column_name": answer.column,
            "state": answer.state,
            "as_typed": answer.as_typed,
            "unit": answer.unit,
            "note": "; ".join(part for part in (as_found(answer), answer.note) if part),
            "answered_at": answer.answered_at,
            "photo_file": photo.file if photo else None,
            "photo_hash": photo.sha256 if photo else None,
        }
    )
