"""The rows of concessions: asked for, decided, withdrawn. What writes belongs inside `writing`."""

from __future__ import annotations

from typing import Any

from sqlite_utils import Database

from register.errors import Problem, StartrollError
from register.resources import renamed


def rows(db: Database) -> list[dict[str, Any]]:
    """Every concession, in the order asked for."""
    return [_present(row) for row in db.query("SELECT * FROM concession ORDER BY concession_id")]


def row(db: Database, number: int) -> dict[str, Any]:
    """The concession of that number; StartrollError when there is none."""
    found = next(db.query("SELECT * FROM concession WHERE concession_id = ?", [number]), None)
    if found is None:
        raise StartrollError(Problem(f"there is no concession {number}", "startroll concede list lists them"))
    return _present(found)


def _present(row: dict[str, Any]) -> dict[str, Any]:
    return row | {"rule": renamed().rule(row["rule"])}


def add(db: Database, values: dict[str, Any]) -> int:
    """Enter one that was asked for; its number."""
    names, marks = ", ".join(values), ", ".join("?" * len(values))
    return db.conn.execute(f"INSERT INTO concession ({names}) VALUES ({marks})", list(values.values())).lastrowid


def change(db: Database, number: int, values: dict[str, Any]) -> None:
    """Enter what was decided about one."""
    sets = ", ".join(f"{name} = ?" for name in values)
    db.conn.execute(f"UPDATE concession SET {sets} WHERE concession_id = ?", [*values.values(), number])


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
