"""Where the rows of a plan came from, written beside them: file, sheet and cell, the text as found."""

from __future__ import annotations

import json
from typing import Any

from sqlite_utils import Database

from register.intake.plan import Plan, key_text
from register.intake.sheet import Sheet
from register.store.rows import add as add_row


def keep(db: Database, plan: Plan, change_set: int) -> None:
    """Write where the rows of a plan came from."""
    numbers: dict[tuple[int, int], int] = {}
    for table, rows in plan.rows.items():
        entries = []
        for key, origins in rows.origins.items():
            text = key_text(key)
            for sheet, row, letters in origins:
                ident = (sheet, id(letters))
                if ident not in numbers:
                    numbers[ident] = _source(db, plan.sheets[sheet], letters, change_set)
                entries.append((table, text, numbers[ident], plan.sheets[sheet].line(row)))
        db.conn.executemany("INSERT OR REPLACE INTO source_row VALUES (?, ?, ?, ?)", entries)
        cells = [
            (table, key_text(key), column, text, plan.sheets[sheet_of(rows, key)].file, cell, unit, change_set)
            for (key, column), (text, unit, cell) in rows.found.items()
            if key in rows.values
        ]
        db.conn.executemany("INSERT OR REPLACE INTO found VALUES (?, ?, ?, ?, ?, ?, ?, ?)", cells)


def sheet_of(rows: Any, key: Any) -> int:
    """The number of the sheet a row was read from last."""
    return rows.origins[key][-1].sheet


def _source(db: Database, sheet: Sheet, letters: dict[str, str], change_set: int) -> int:
    row = {
        "change_set": change_set,
        "source_file": sheet.file,
        "source_hash": sheet.hash,
        "letters": json.dumps(dict.fromkeys(letters, "") if sheet.turned else letters),
    }
    return add_row(db, "source", row | {"sheet": sheet.name if sheet.is_book else None})
