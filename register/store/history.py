"""What happened at a position or to a lineup: every recorded change, value by value, in the order made."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from sqlite_utils import Database

from register.columns import TABLES
from register.errors import Problem, StartrollError
from register.store.origins import BY_GROUP
from register.store.queries import key_text, rows_at
from register.store.taken_back import NOTES

OF_A_LINEUP = ("record", "action", "concession")
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
    change_set: int | None  # by which `undo` takes it back; none where another program made it

    @property
    def group(self) -> str:
        """The group that a value was answered for; empty where it was entered otherwise."""
        return self.source_file if self.source_file.startswith(BY_GROUP) else ""


def position_history(db: Database, tag: str) -> list[HistoryEntry]:
    """Every change that touched a position, an asset while it stood there, or what it shares.

    Shared are the site, the bus, the type of its device: of these only what was changed, not that
    they were entered. Oldest first. Raises StartrollError when no position of that tag is or was.
    """
    keys = _belonging(db, tag)
    rows = db.query(
        "SELECT c.at, c.table_name, c.row_key, c.action, c.before, c.after, c.change_set,"
        " s.author, s.reason, s.source_file FROM change c LEFT JOIN change_set s"
        " ON s.change_set = c.change_set WHERE c.tag = :tag OR c.tag_before = :tag"
        " OR EXISTS (SELECT 1 FROM json_each(:shared) WHERE c.table_name || ' | ' || c.row_key ="
        "   value AND c.action = 'update')"
        " OR EXISTS (SELECT 1 FROM json_each(:own) WHERE c.table_name = 'setting'"
        "   AND substr(c.row_key, 1, length(value)) = value)"
        " OR EXISTS (SELECT 1 FROM json_each(:own) WHERE c.table_name = 'blank' AND substr("
        "   substr(c.row_key, instr(c.row_key, ' | ') + 3), 1, length(value)) = value)"
        " ORDER BY c.change_id",
        {
            "tag": tag,
            "shared": json.dumps(keys),
            "own": json.dumps([key.split(" | ", 1)[1] + " | " for key in keys] + [f"{tag} | "]),
        },
    )
    entries = [entry for row in rows for entry in _entries(row)]
    if not entries:
        raise StartrollError(Problem(f"the register knows no position {tag!r}, now or earlier", "check the tag"))
    return entries


def lineup_history(db: Database, bus: str) -> list[HistoryEntry]:
    """Every change of a lineup, also under its earlier names, and of its records, actions and concessions.

    Oldest first. Raises StartrollError when the register has no such lineup.
    """
    if db.execute("SELECT 1 FROM bus WHERE bus = ?", [bus]).fetchone() is None:
        raise StartrollError(Problem(f"there is no lineup {bus!r}", "check its name"))
    names = [bus]
    renamed = "SELECT json_extract(before, '$.bus') FROM change WHERE table_name = 'bus' AND action = 'update'"
    for name in names:
        found = db.execute(f"{renamed} AND json_extract(after, '$.bus') = ?", [name]).fetchall()
        names += [old for (old,) in found if old is not None and old not in names]
    keys = [f"bus | {name}" for name in names]
    for table in OF_A_LINEUP:
        keys += [f"{table} | {key}" for (key,) in db.execute(f"SELECT {table}_id FROM {table} WHERE bus = ?", [bus])]
    rows = db.query(
        "SELECT c.*, s.author, s.reason, s.source_file FROM change c LEFT JOIN change_set s USING (change_set)"
        " WHERE c.tag IS NULL AND c.tag_before IS NULL AND (c.table_name || ' | ' || c.row_key IN"
        "   (SELECT value FROM json_each(:keys)) OR (c.action = 'delete' AND c.table_name IN"
        "   (SELECT value FROM json_each(:tables)) AND json_extract(c.before, '$.bus') IN"
        "   (SELECT value FROM json_each(:names)))) ORDER BY c.change_id",
        {"keys": json.dumps(keys), "tables": json.dumps(OF_A_LINEUP), "names": json.dumps(names)},
    )
    return [entry for row in rows for entry in _entries(row)]


def _belonging(db: Database, tag: str) -> list[str]:
    """`table | key` of the rows at a position; none when it is there no more."""
    if db.execute("SELECT 1 FROM position WHERE tag = ?", [tag]).fetchone() is None:
        return []
    return [f"{name} | {key_text(TABLES[name], row)}" for name, row in rows_at(db, tag).items()]


def _entries(row: dict[str, Any]) -> list[HistoryEntry]:
    before = json.loads(row["before"] or "{}")
    after = json.loads(row["after"] or "{}")
    names = list(after) if row["action"] in ("update", *NOTES) else [""]
    if row["table_name"] == "blank":
        return [_blank(row)]
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
            change_set=row["change_set"],
        )
        for name in names
    ]


def _blank(row: dict[str, Any]) -> HistoryEntry:
    """A note of why a value is missing, told as a change of that value."""
    table, rest = row["row_key"].split(" | ", 1)
    key, column = rest.rsplit(" | ", 1)
    gone = row["action"] == "delete"
    note = json.loads(row["before" if gone else "after"] or "{}").get("reason")
    return HistoryEntry(
        at=row["at"],
        author=row["author"] or "",
        reason=OUTSIDE if row["change_set"] is None else row["reason"],
        source_file=row["source_file"] or "",
        table=table,
        row_key=key,
        action="note gone" if gone else "note",
        column=column,
        before=note if gone else None,
        after=None if gone else note,
        change_set=row["change_set"],
    )
