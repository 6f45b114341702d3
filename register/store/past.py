"""What happened at a position: every recorded change, value by value, in the order made."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from sqlite_utils import Database

from register.errors import Problem, StartrollError

OUTSIDE = "edited with another program"


@dataclass(frozen=True, slots=True)
class HistoryEntry:
    """One value that changed (or, with no column, a row that came or went)."""

    at: str
    author: str
    reason: str
    source_file: str
    table: str
    row_key: str
    action: str
    column: str
    before: Any
    after: Any


def position_history(db: Database, tag: str) -> list[HistoryEntry]:
    """Every change that touched a position, or an asset while it stood there, oldest first.

    Raises StartrollError when no position of that tag is or was in the register.
    """
    rows = db.query(
        "SELECT c.at, c.table_name, c.row_key, c.action, c.before, c.after, c.change_set,"
        " s.author, s.reason, s.source_file FROM change c LEFT JOIN change_set s"
        " ON s.change_set = c.change_set WHERE c.tag = ? OR c.tag_before = ?"
        " ORDER BY c.change_id",
        [tag, tag],
    )
    entries = [entry for row in rows for entry in _entries(row)]
    if not entries:
        raise StartrollError(
            Problem(f"the register knows no position {tag!r}, now or earlier", "check the tag")
        )
    return entries


def _entries(row: dict[str, Any]) -> list[HistoryEntry]:
    before = json.loads(row["before"] or "{}")
    after = json.loads(row["after"] or "{}")
    names = list(after) if row["action"] == "update" else [""]
    outside = row["change_set"] is None
    return [
        HistoryEntry(
            at=row["at"],
            author=row["author"] or "",
            reason=OUTSIDE if outside else row["reason"],
            source_file=row["source_file"] or "",
            table=row["table_name"],
            row_key=row["row_key"],
            action=row["action"],
            column=name,
            before=before.get(name),
            after=after.get(name),
        )
        for name in names
    ]
