"""Where each value came from: file, sheet and cell, and the text as it was found.

A row of `source` is a sheet of one intake with the letters of its columns; `source_row` says which
of its rows a row of the register was read from; `found` keeps the cells that had to be understood
(a unit, a fraction, a word), with their text.
"""

from __future__ import annotations

import json
from math import inf
from typing import TYPE_CHECKING, Any

from sqlite_utils import Database

from register.store.plan import Plan, key_text

if TYPE_CHECKING:
    from register.store.sheet import Sheet

TABLES = (
    "CREATE TABLE source (source INTEGER PRIMARY KEY, change_set INTEGER REFERENCES change_set,"
    " source_file TEXT NOT NULL, source_hash TEXT, sheet TEXT, letters TEXT NOT NULL) STRICT",
    "CREATE TABLE source_row (table_name TEXT NOT NULL, row_key TEXT NOT NULL, source INTEGER"
    " NOT NULL REFERENCES source, row_number INTEGER NOT NULL,"
    " PRIMARY KEY (table_name, row_key, source, row_number)) STRICT, WITHOUT ROWID",
)
CELLS = ("found", "source_row")


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
                entries.append((table, text, numbers[ident], row + 1))
        db.conn.executemany("INSERT OR REPLACE INTO source_row VALUES (?, ?, ?, ?)", entries)
        cells = [
            (table, key_text(key), column, text, plan.sheets[sheet_of(rows, key)].file, cell, unit,
             change_set)
            for (key, column), (text, unit, cell) in rows.found.items()
            if key in rows.values
        ]  # fmt: skip
        db.conn.executemany("INSERT OR REPLACE INTO found VALUES (?, ?, ?, ?, ?, ?, ?, ?)", cells)


def sheet_of(rows: Any, key: Any) -> int:
    """The number of the sheet a row was read from last."""
    return rows.origins[key][-1].sheet


def _source(db: Database, sheet: Sheet, letters: dict[str, str], change_set: int) -> int:
    return db.conn.execute(
        "INSERT INTO source (change_set, source_file, source_hash, sheet, letters)"
        " VALUES (?, ?, ?, ?, ?)",
        (change_set, sheet.file, sheet.hash, sheet.name if sheet.is_book else None,
         json.dumps(letters)),
    ).lastrowid  # fmt: skip


def rename(db: Database, table: str, old: str, new: str) -> None:
    """Let the provenance of a row, and why its blanks are blank, follow its new key."""
    _rename(db, (*CELLS, "blank"), table, old, new)


def rename_cells(db: Database, table: str, old: str, new: str) -> None:
    """Let the provenance of a row follow its new key."""
    _rename(db, CELLS, table, old, new)


def _rename(db: Database, keepers: tuple[str, ...], table: str, old: str, new: str) -> None:
    for keeper in keepers:
        db.conn.execute(
            f"UPDATE OR REPLACE {keeper} SET row_key = ? WHERE table_name = ? AND row_key = ?",
            (new, table, old),
        )
        if table == "device":
            db.conn.execute(
                f"UPDATE OR REPLACE {keeper} SET row_key = ? || substr(row_key, ?)"
                " WHERE table_name = 'setting' AND substr(row_key, 1, ?) = ?",
                (new, len(old) + 1, len(old) + 3, f"{old} | "),
            )


def cells_of(db: Database, table: str, row_key: str) -> dict[str, str]:
    """Column → `motor list.xlsx 'MCC-1'!F14` for each value of a row that came from a sheet.

    A value that was edited after its sheet was taken in is not listed.
    """
    cells: dict[str, tuple[int, str]] = {}
    for change_set, file, sheet, letters, row in db.execute(
        "SELECT s.change_set, s.source_file, s.sheet, s.letters, r.row_number FROM source_row r"
        " JOIN source s USING (source) WHERE r.table_name = ? AND r.row_key = ?"
        " ORDER BY s.source", [table, row_key],
    ):  # fmt: skip
        for column, letter in json.loads(letters).items():
            cell = f"{letter}{row}" if letter else f"row {row}"
            cells[column] = (change_set, f"{file} '{sheet}'!{cell}" if sheet else f"{file} {cell}")
    typed = _typed(db, table, row_key)
    edited = _edits(db, table, row_key)
    return {
        column: text + typed.get((column, since), "")
        for column, (since, text) in cells.items()
        if edited.get(column, 0) <= since
    }


def _typed(db: Database, table: str, row_key: str) -> dict[tuple[str, int], str]:
    rows = db.execute(
        "SELECT column_name, change_set, found_text FROM found WHERE table_name = ?"
        " AND row_key = ?", [table, row_key],
    )  # fmt: skip
    return {(column, since): f", there {text!r}" for column, since, text in rows}


def _edits(db: Database, table: str, row_key: str) -> dict[str, float]:
    """The last change-set that changed each column; another program's edit comes after all."""
    last: dict[str, float] = {}
    for change_set, after in db.execute(
        "SELECT change_set, after FROM change WHERE table_name = ? AND row_key = ?"
        " AND action = 'update' ORDER BY change_id", [table, row_key],
    ):  # fmt: skip
        last |= dict.fromkeys(json.loads(after), inf if change_set is None else change_set)
    return last
