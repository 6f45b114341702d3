"""A row entered into a table whose key is a number."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlite_utils import Database


def add(db: Database, table: str, values: Mapping[str, Any]) -> int:
    """Enter a row; its number. Belongs inside `database.writing`."""
    number = db.table(table).insert(dict(values)).last_pk
    assert number is not None, f"{table} has no number"
    return number
