"""The rows of actions: assigned and closed. What writes belongs inside `writing`."""

from __future__ import annotations

from typing import Any

from sqlite_utils import Database
from sqlite_utils.db import NotFoundError

from register.columns import SUBJECTS
from register.columns.renamed import rule_now
from register.errors import Problem, StartrollError
from register.store import about
from register.store.rows import add as add_row


def rows(db: Database) -> list[dict[str, Any]]:
    """Every action, in the order assigned; `tag` is the key of its `subject`."""
    return [_present(row) for row in db.table("action").rows_where(order_by="action_id")]


def row(db: Database, number: int) -> dict[str, Any]:
    """The action of that number; StartrollError when there is none."""
    try:
        return _present(db.table("action").get(number))
    except NotFoundError:
        raise StartrollError(Problem(f"there is no action {number}", "startroll actions list lists them")) from None


def _present(row: dict[str, Any]) -> dict[str, Any]:
    return about.told(row) | {"against_rule": rule_now(row["against_rule"])}


def open_at(db: Database, rule: str, subject: str, tag: str) -> dict[str, Any] | None:
    """The action against a rule at a position, a bus or a device in store that is not closed yet."""
    asked = (rule, subject, tag, None)
    return next((a for a in rows(db) if (a["against_rule"], a["subject"], a["tag"], a["closed_on"]) == asked), None)


def add(db: Database, values: dict[str, Any]) -> int:
    """Enter a new one, of a `subject` by its key `tag`; its number."""
    return add_row(db, "action", about.entered(values))


def change(db: Database, number: int, values: dict[str, Any]) -> None:
    """Enter what became of one."""
    db.table("action").update(number, values)


def seen_from(db: Database, action: dict[str, Any]) -> int:
    """The change from which on the register holds an action as it stands now."""
    # The tag of a change, by which it is found sooner, is a position's.
    tag = action["tag"] if action["subject"] == "position" else None
    return db.execute(
        "SELECT coalesce(max(change_id), 0) FROM change WHERE table_name = 'action' AND row_key = ? AND tag IS ?",
        [str(action["action_id"]), tag],
    ).fetchone()[0]


def has_record(db: Database, subject: str, tag: str, kind: str, day: str) -> bool:
    """Whether the register holds a record of that kind and day of a `subject`, by its key `tag`."""
    where = f"{_of_record(subject)} = ? AND record_kind = ? AND done_on = ?"
    return db.table("record").count_where(where, [tag, kind, day]) > 0


def latest_record(db: Database, subject: str, tag: str, kind: str) -> tuple[str, str] | None:
    """Day and result of the latest record of that kind of a `subject`, by its key `tag`."""
    return db.execute(
        f"SELECT done_on, result FROM record WHERE {_of_record(subject)} = ? AND record_kind = ?"
        " ORDER BY done_on DESC, record_id DESC LIMIT 1",
        [tag, kind],
    ).fetchone()


def _of_record(subject: str) -> str:
    """The column of a record that has its place; nothing is recorded of a device in store."""
    return SUBJECTS[subject].key if subject in ("position", "bus") else "NULL"
