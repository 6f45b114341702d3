"""The rows of concessions: asked for, decided, withdrawn. What writes belongs inside `writing`."""

from __future__ import annotations

from typing import Any

from sqlite_utils import Database
from sqlite_utils.db import NotFoundError

from register.columns.renamed import rule_now
from register.errors import Problem, StartrollError
from register.store import about
from register.store.rows import add as add_row


def rows(db: Database) -> list[dict[str, Any]]:
    """Every concession, in the order asked for; `tag` is the key of its `subject`."""
    return [_present(row) for row in db.table("concession").rows_where(order_by="concession_id")]


def row(db: Database, number: int) -> dict[str, Any]:
    """The concession of that number; StartrollError when there is none."""
    try:
        return _present(db.table("concession").get(number))
    except NotFoundError:
        remedy = "startroll concede list lists them"
        raise StartrollError(Problem(f"there is no concession {number}", remedy)) from None


def _present(row: dict[str, Any]) -> dict[str, Any]:
    return about.told(row) | {"rule": rule_now(row["rule"])}


def add(db: Database, values: dict[str, Any]) -> int:
    """Enter one that was asked for, of a `subject` by its key `tag`; its number."""
    return add_row(db, "concession", about.entered(values))


def change(db: Database, number: int, values: dict[str, Any]) -> None:
    """Enter what was decided about one."""
    db.table("concession").update(number, values)


def present_name(db: Database, asset: str, name: str | None, since: int) -> str | None:
    """What a motor or device of that name is called now: a serial may be read, or put right."""
    renamings = db.execute(
        "SELECT json_extract(before, :key), json_extract(after, :key) FROM change"
        " WHERE table_name = :asset AND action = 'update' AND change_id > :since"
        " AND json_extract(before, :key) IS NOT NULL ORDER BY change_id",
        {"asset": asset, "key": f"$.{asset}", "since": since},
    )
    for old, new in renamings:
        name = new if name == old else name
    return name
