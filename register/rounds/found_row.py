"""The row of the register that an answer is about: the same one as when the round was made, or why it is not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlite_utils import Database

from register.columns import TABLES, Column
from register.errors import Problem, StartrollError
from register.rounds.saved_file import OF_BUS, Answer
from register.store.queries import STANDING, key_text, rows_at


@dataclass(frozen=True, slots=True)
class Last:
    """The last change of a cell."""

    origin: str
    author: str
    at: str
    reason: str


@dataclass(frozen=True, slots=True)
class Found:
    """What a cell holds now: `at` is the tag through which it is set, `key` its row's, empty where there is none."""

    column: Column
    at: str
    tag: str | None
    key: str
    value: Any
    reason: str | None
    last: Last | None
    told: tuple[str, ...] = ()


def find(db: Database, answer: Answer) -> Found:
    """The cell that an answer is about; StartrollError where its position is gone, or another asset is there."""
    table = TABLES[answer.table]
    told: list[str] = []
    at = _at(db, answer, told)
    row = rows_at(db, at).get(answer.table)
    key = key_text(table, row) if row else ""
    if answer.row is not None and answer.table in (*STANDING, "setting", "model"):
        _refuse_other(db, answer, at, key)
    sql = "SELECT reason FROM blank WHERE table_name = ? AND row_key = ? AND column_name = ?"
    reason = db.execute(sql, [answer.table, key, answer.column]).fetchone()
    value = (row or {}).get(answer.column)
    tag = None if answer.table in (OF_BUS, "model", "setting") else at
    last = _last(db, answer, key)
    return Found(table.column(answer.column), at, tag, key, value, reason and reason[0], last, tuple(told))


def _at(db: Database, answer: Answer, told: list[str]) -> str:
    """A position through which the cell is set; the present tag of one that was renamed."""
    if answer.table == OF_BUS:
        found = db.execute("SELECT tag FROM position WHERE bus = ? ORDER BY tag LIMIT 1", [answer.at]).fetchone()
        if found is None:
            raise _gone(db, "bus", answer.at)
        return str(found[0])
    return place_now(db, "position", answer.at, told)


def place_now(db: Database, table: str, name: str, told: list[str]) -> str:
    """The present tag of a position, or the name of a bus; StartrollError where it is gone.

    That it has another name now goes into `told`.
    """
    sql = f"SELECT 1 FROM {table} WHERE {TABLES[table].key[0]} = ?"
    if db.execute(sql, [name]).fetchone():
        return name
    renamed = _called_now(db, table, name)
    if renamed == name or not db.execute(sql, [renamed]).fetchone():
        raise _gone(db, table, name)
    told.append(f"{name} is called {renamed} now")
    return renamed


def _gone(db: Database, table: str, name: str) -> StartrollError:
    """Why there is no such position or bus any more."""
    row = db.execute(
        "SELECT substr(at, 1, 10), author, reason FROM change LEFT JOIN change_set USING (change_set)"
        " WHERE table_name = ? AND row_key = ? AND action = 'delete' ORDER BY change_id DESC LIMIT 1",
        [table, name],
    ).fetchone()
    if row is None:
        remedy = "startroll history tells what became of it"
        return StartrollError(Problem(f"there is no {table} {name} any more", remedy))
    cause = f"{name} was retired or removed on {row[0]} by {row[1] or 'another program'}: {row[2] or 'no reason given'}"
    return StartrollError(
        Problem(cause, f"bring it back, then take the round again: startroll bring-back {name} --reason WHY")
    )


def _refuse_other(db: Database, answer: Answer, at: str, key: str) -> None:
    """Refuse what was read on a motor or device that is no longer there."""
    asset = "device" if answer.table == "setting" else answer.table
    was, now = str(answer.row), key
    if answer.table == "setting":
        was, now = was.rpartition(" | ")[0], now.rpartition(" | ")[0]
    if now in (was, _called_now(db, asset, was)):
        return
    place = ""
    if asset in STANDING:
        row = db.execute(f"SELECT tag, {STANDING[asset]} FROM {asset} WHERE {asset} = ?", [was]).fetchone()
        place = f"; that one is {row[0] or row[1] or 'nowhere'} now" if row else "; that one is in the register no more"
    raise StartrollError(
        Problem(
            f"the {asset} at {at} was {was} when the round was made, and is {now or 'not known'} now{place}",
            "see which of them the answer was read on, and enter it there: startroll correct",
        )
    )


def _called_now(db: Database, table: str, name: str) -> str:
    """What a row of that key is called now: a serial may have been read, a tag put right."""
    key = f"$.{TABLES[table].key[0]}"
    sql = (
        "SELECT json_extract(before, ?1), json_extract(after, ?1) FROM change WHERE table_name = ?2"
        " AND action = 'update' AND json_extract(after, ?1) IS NOT NULL ORDER BY change_id"
    )
    for old, new in db.execute(sql, [key, table]).fetchall():
        name = new if name == old else name
    return name


def _last(db: Database, answer: Answer, key: str) -> Last | None:
    row = db.execute(
        "SELECT coalesce(origin, ''), coalesce(author, ''), at, coalesce(reason, 'edited with another program')"
        " FROM change LEFT JOIN change_set USING (change_set) WHERE table_name = ? AND row_key = ?"
        " AND action = 'update' AND json_type(after, '$.' || ?) IS NOT NULL ORDER BY change_id DESC LIMIT 1",
        [answer.table, key, answer.column],
    ).fetchone()
    return Last(*row) if row else None
