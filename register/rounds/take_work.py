"""Work taken back: a task becomes a record, an action is closed, what was half done is said; nothing twice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlite_utils import Database

from register.errors import Problem, StartrollError
from register.intake.correct import add_record
from register.intake.slips import refuse_ahead
from register.rounds.found_row import place_now
from register.rounds.merge_model import Conflict, Said
from register.rounds.saved_file import OF_BUS, RECORD, UNDONE, VALUE, Answer
from register.store import actions, clock
from register.store.taken_back import CONFIRMED, KEPT_HERE, note
from register.text import shown

NO_RESULT = "no result is ticked"
TICK = "give it a result on the page or in the workbook, save it and take it again"
DONE = "done"


@dataclass(frozen=True, slots=True)
class Worked:
    """What became of one job: `state` is recorded, closed, undone, same, kept or conflict; `key` is that of its row."""

    state: str
    key: str
    told: str = ""
    conflict: Conflict | None = None


@dataclass(frozen=True, slots=True)
class Source:
    """Whose page it is, under which file it comes back, and how an answer of the same page is known."""

    who: str
    page: str
    file: str
    file_sha256: str


def take_work(db: Database, answer: Answer, source: Source, decided: str | None) -> Worked:
    """Enter the result of one job; belongs inside `database.writing`.

    Parameters
    ----------
    decided : "ours" or "theirs" where a person has decided a conflict.

    Raises StartrollError where no result is ticked, the place is gone, or the day is not to be believed.
    """
    if answer.state != VALUE:
        raise StartrollError(Problem(NO_RESULT, TICK))
    told: list[str] = []
    at = place_now(db, OF_BUS if answer.row == OF_BUS else "position", answer.at, told)
    made = (_record if answer.table == RECORD else _action)(db, answer, at, source, decided)
    return Worked(made.state, made.key, "; ".join(part for part in (*told, made.told) if part), made.conflict)


def said(answer: Answer) -> str:
    """The result in words, with what was measured and the note."""
    measured = answer.found_typed if answer.found is None else shown(answer.found, answer.found_unit)
    return "; ".join(part for part in (str(answer.value or NO_RESULT), measured, answer.note) if part)


# A task.


def _record(db: Database, answer: Answer, at: str, source: Source, decided: str | None) -> Worked:
    """A record of its day: the one that the same page made earlier, changed; or a new one."""
    wanted = _wanted(db, answer, at, source)
    word = f"{at} {answer.column}: {said(answer)}"
    earlier = _of_the_page(db, answer, at, source)
    if earlier is not None:
        return _changed(db, answer, earlier, wanted, source, decided, word)
    alike = ("tag", "bus", "record_kind", "done_on", "result", "done_by", "value", "value_unit", "note")
    where = " AND ".join(f"{name} IS ?" for name in alike)
    same = db.execute(f"SELECT record_id FROM record WHERE {where}", [wanted[name] for name in alike]).fetchone()
    if same is not None:
        note(db, CONFIRMED, RECORD, str(same[0]), {"result": wanted["result"]}, {"result": said(answer)}, wanted["tag"])
        return Worked("same", str(same[0]))
    add_record(
        db, at, answer.column, wanted["result"], subject="bus" if wanted["bus"] else "position",
        on=wanted["done_on"], by=wanted["done_by"] or "",
        note=wanted["note"] or "", value=wanted["value"], unit=wanted["value_unit"] or "",
    )  # fmt: skip
    number = db.execute("SELECT last_insert_rowid()").fetchone()[0]
    return Worked(_state(answer), str(number), word if answer.value in UNDONE else "")


def _wanted(db: Database, answer: Answer, at: str, source: Source) -> dict[str, Any]:
    undone = answer.value in UNDONE
    unread = answer.found_typed if answer.found is None else ""
    half = str(answer.value) if answer.value == UNDONE[0] else ""
    words = ": ".join(part for part in (half, "; ".join(p for p in (unread, answer.note) if p)) if part)
    measured = answer.found is not None
    return {
        "tag": None if answer.row == OF_BUS else at,
        "bus": at if answer.row == OF_BUS else None,
        "record_kind": answer.column,
        "done_on": _day(db, answer),
        "result": "not done" if undone else str(answer.value),
        "done_by": source.who or None,
        "value": float(answer.found) if answer.found is not None else None,
        "value_unit": (answer.found_unit or "as on the page") if measured else None,
        "note": words or None,
    }


def _changed(
    db: Database, answer: Answer, earlier: str, wanted: dict[str, Any], source: Source, decided: str | None, word: str
) -> Worked:
    """The record that an earlier file of this page made, as the page says it now; a conflict where it was edited."""
    row = dict(db.table(RECORD).get(int(earlier)))
    new = {name: value for name, value in wanted.items() if row[name] != value}
    if not new:
        note(db, CONFIRMED, RECORD, earlier, {"result": row["result"]}, {"result": said(answer)}, row["tag"])
        return Worked("same", earlier)
    edited = _edited(db, earlier, source)
    if edited is not None and decided != "theirs":
        if decided == "ours":
            note(db, KEPT_HERE, RECORD, earlier, {"result": row["result"]}, {"result": said(answer)}, row["tag"])
            return Worked("kept", earlier)
        here = Said(f"{row['result']}" + (f": {row['note']}" if row["note"] else ""), *edited)
        there = Said(str(answer.value), source.who, answer.answered_at, answer.note)
        both = Conflict(RECORD, answer.at, answer.column, row["tag"] or row["bus"], "", here, there)
        return Worked("conflict", earlier, conflict=both)
    db.table(RECORD).update(int(earlier), new)
    return Worked(_state(answer), earlier, word if answer.value in UNDONE else "")


def _of_the_page(db: Database, answer: Answer, at: str, source: Source) -> str | None:
    """The number of the record of the same job that this page made."""
    column = "bus" if answer.row == OF_BUS else "tag"
    sql = (
        "SELECT row_key FROM answer JOIN record ON CAST(record_id AS TEXT) = row_key WHERE table_name = 'record'"
        f" AND column_name = ? AND record.{column} = ? AND substr(origin, 1, length(?3)) = ?3"
        " ORDER BY answered_at DESC LIMIT 1"
    )
    found = db.execute(sql, [answer.column, at, f"round {source.page} "]).fetchone()
    return str(found[0]) if found else None


def _edited(db: Database, number: str, source: Source) -> tuple[str, str, str] | None:
    """Who changed a record last, when and why, where it was not this page."""
    row = db.execute(
        "SELECT coalesce(origin, ''), coalesce(author, ''), at, coalesce(reason, 'edited with another program')"
        " FROM change LEFT JOIN change_set USING (change_set) WHERE table_name = 'record' AND row_key = ?"
        " AND action IN ('insert', 'update') ORDER BY change_id DESC LIMIT 1",
        [number],
    ).fetchone()
    return None if row is None or row[0].startswith(f"round {source.page} ") else row[1:]


# An action.


def _action(db: Database, answer: Answer, at: str, source: Source, decided: str | None) -> Worked:
    row = actions.row(db, int(answer.column))
    if (row["subject"], row["tag"]) != (answer.row, at):
        where = f"action {answer.column} is about {row['tag']}, and not about {at}"
        raise StartrollError(Problem(where, "see startroll actions list, and close the right one by hand"))
    word = f"{at} action {answer.column}: {said(answer)}"
    tag = at if answer.row != OF_BUS else None
    closed = {"closed_on": row["closed_on"]}, {"closed_on": said(answer)}
    if row["closed_on"] and (answer.value == DONE or not _closed_by_page(db, answer, source)):
        note(db, CONFIRMED if answer.value == DONE else KEPT_HERE, "action", answer.column, *closed, tag)
        told = f"action {answer.column} was closed by {row['closed_by'] or 'nobody named'} on {row['closed_on']}"
        return (
            Worked("same", answer.column) if answer.value == DONE else Worked("kept", answer.column, f"{word}; {told}")
        )
    if answer.value != DONE:
        if row["closed_on"]:
            gone = dict.fromkeys(("closed_on", "closed_by", "evidence_file", "evidence_hash"))
            actions.change(db, int(answer.column), gone)
        else:
            note(db, KEPT_HERE, "action", answer.column, *closed, tag)
        return Worked("undone", answer.column, word)
    day = _day(db, answer)
    if day < row["assigned_on"]:
        told = f"it was assigned on {row['assigned_on']}, and is said to have been done on {day}"
        raise StartrollError(Problem(told, f"close it by hand: startroll actions close {answer.column}"))
    values = {"closed_on": day, "closed_by": source.who or None}
    values |= {"evidence_file": source.file, "evidence_hash": source.file_sha256}
    actions.change(db, int(answer.column), values)
    return Worked("closed", answer.column)


def _closed_by_page(db: Database, answer: Answer, source: Source) -> bool:
    """Whether it was this page that closed the action."""
    row = db.execute(
        "SELECT origin FROM change WHERE table_name = 'action' AND row_key = ? AND action = 'update'"
        " AND json_extract(after, '$.closed_on') IS NOT NULL ORDER BY change_id DESC LIMIT 1",
        [answer.column],
    ).fetchone()
    return row is not None and (row[0] or "").startswith(f"round {source.page} ")


def _state(answer: Answer) -> str:
    return "undone" if answer.value in UNDONE else "recorded"


def _day(db: Database, answer: Answer) -> str:
    """The day on site on which it was ticked; StartrollError where that is ahead."""
    day = clock.day_of(db, answer.answered_at).isoformat()
    refuse_ahead(db, "done_on", day)
    return day
