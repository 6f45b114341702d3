"""The register as a workbook or a folder of CSV files that the intake reads back unchanged."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import xlsxwriter
from sqlite_utils import Database

from register.columns import TABLES, Column, Table
from register.store.output_file import refuse_taken, write_folder, write_new, write_together
from register.text import neutral


def export(db: Database, target: Path) -> Path:
    """Write every table: `target` ending in .xlsx is a workbook, anything else a folder of CSV.

    Raises StartrollError when the target exists or cannot be written; then nothing stays of it.
    """
    if target.suffix.lower() == ".xlsx":
        refuse_taken(target)
        write_new(target, _workbook(db))
    else:
        _folder(db, target)
    return target


def heading(column: Column) -> str:
    """A column's name with its unit in brackets, as the intake understands it."""
    return f"{column.name} [{column.unit}]" if column.unit else column.name


def exported_columns(table: Table) -> list[Column]:
    """The columns of a table that are written out."""
    return [c for c in table.columns if c.origin != "internal"]


def _rows(db: Database, table: Table) -> Iterator[list[Any]]:
    """The rows in the order they were entered, why a value is missing in place of it."""
    names = [c.name for c in exported_columns(table)]
    key = " || ' | ' || ".join(table.key)
    reasons: dict[tuple[str, str], str] = {
        (row, column): reason
        for row, column, reason in db.execute(
            "SELECT row_key, column_name, reason FROM blank WHERE table_name = ?", [table.name]
        )
    }
    query = f"SELECT {key}, {', '.join(names)} FROM {table.name} ORDER BY rowid"
    for ident, *row in db.execute(query):
        yield [
            neutral(value) if value is not None else reasons.get((ident, name), "")
            for name, value in zip(names, row, strict=True)
        ]


def _workbook(db: Database) -> bytes:
    made = io.BytesIO()
    with TemporaryDirectory() as aside, xlsxwriter.Workbook(made, {"constant_memory": True, "tmpdir": aside}) as book:
        bold = book.add_format({"bold": True})
        for table in TABLES.values():
            page = book.add_worksheet(table.name)
            page.freeze_panes(1, len(table.key))
            for index, column in enumerate(exported_columns(table)):
                page.write_string(0, index, heading(column), bold)
            for line, row in enumerate(_rows(db, table), 1):
                for index, value in enumerate(row):
                    if isinstance(value, str) and value:
                        page.write_string(line, index, value)
                    elif not isinstance(value, str):
                        page.write_number(line, index, value)
    return made.getvalue()


def _folder(db: Database, target: Path) -> None:
    files = {f"{name}.csv": data for name, data in tables_as_csv(db).items()}
    if target.is_dir() and not any(target.iterdir()):
        write_together({target / name: data for name, data in files.items()})
    else:
        write_folder(target, files)


def tables_as_csv(db: Database) -> dict[str, bytes]:
    """Every table's name and its rows as CSV."""
    return {table.name: _csv(db, table) for table in TABLES.values()}


def _csv(db: Database, table: Table) -> bytes:
    text = io.StringIO(newline="")
    sheet = csv.writer(text)
    sheet.writerow([heading(c) for c in exported_columns(table)])
    sheet.writerows(_rows(db, table))
    return text.getvalue().encode()
