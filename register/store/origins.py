"""Where each value came from: file, sheet and cell, and the text as it was found.

A row of `source` is a sheet of one intake with the letters of its columns; `source_row` says which
of its rows a row of the register was read from; `found` keeps the cells that had to be understood
(a unit, a fraction, a word), with their text.
"""

from __future__ import annotations

import json
from math import inf

from sqlite_utils import Database

CELLS = ("found", "source_row")


def rename(db: Database, table: str, old: str, new: str) -> None:
    """Let the provenance of a row, and why its blanks are blank, follow its new key."""
    _rename(db, (*CELLS, "blank"), table, old, new)


def rename_cells(db: Database, table: str, old: str, new: str) -> None:
    """Let the provenance of a row follow its new key."""
    _rename(db, CELLS, table, old, new)


def _rename(db: Database, keepers: tuple[str, ...], table: str, old: str, new: str) -> None:
    for keeper in keepers:
        db.conn.execute(
            f"UPDATE OR REPLACE {keeper} SET row_key = ? WHERE table_name = ? AND row_key = ?", (new, table, old)
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
        " ORDER BY s.source",
        [table, row_key],
    ):
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
        "SELECT column_name, change_set, found_text FROM found WHERE table_name = ? AND row_key = ?", [table, row_key]
    )
    return {(column, since): f", there {text!r}" for column, since, text in rows}


def _edits(db: Database, table: str, row_key: str) -> dict[str, float]:
    """The last change-set that changed each column; another program's edit comes after all."""
    last: dict[str, float] = {}
    for change_set, after in db.execute(
        "SELECT change_set, after FROM change WHERE table_name = ? AND row_key = ?"
        " AND action = 'update' ORDER BY change_id",
        [table, row_key],
    ):
        last |= dict.fromkeys(json.loads(after), inf if change_set is None else change_set)
    return last
