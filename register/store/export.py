"""The register as a workbook or a folder of CSV files that the intake reads back unchanged."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import xlsxwriter
from sqlite_utils import Database
from xlsxwriter.exceptions import XlsxWriterException

from register.columns import TABLES, Column, Table
from register.errors import IntakeError, Problem


def export(db: Database, target: Path) -> Path:
    """Write every table: `target` ending in .xlsx is a workbook, anything else a folder of CSV.

    Raises IntakeError when the target exists or cannot be written.
    """
    if target.exists() and (target.suffix.lower() == ".xlsx" or any(target.iterdir())):
        raise IntakeError(Problem("there is something of that name", "name another", str(target)))
    try:
        if target.suffix.lower() == ".xlsx":
            _workbook(db, target)
        else:
            _folder(db, target)
    except (OSError, XlsxWriterException) as error:
        raise IntakeError(
            Problem(f"it cannot be written: {error}", "name another place", str(target))
        ) from None
    return target


def heading(column: Column) -> str:
    """A column's name with its unit in brackets, as the intake understands it."""
    return f"{column.name} [{column.unit}]" if column.unit else column.name


def neutral(value: Any) -> Any:
    """A text that no spreadsheet program takes for a formula; numbers stay as they are.

    >>> neutral("=1+1"), neutral(-4.5), neutral("-4.5"), neutral("P-101")
    ("'=1+1", -4.5, '-4.5', 'P-101')
    """
    if isinstance(value, str) and re.match(r"'*[=+\-@\t\r]", value):
        try:
            float(value)
        except ValueError:
            return f"'{value}"
    return value


def _columns(table: Table) -> list[Column]:
    return [c for c in table.columns if c.origin != "internal"]


def _rows(db: Database, table: Table) -> Iterator[list[Any]]:
    """The rows in the order they were entered, why a value is missing in place of it."""
    names = [c.name for c in _columns(table)]
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


def _workbook(db: Database, target: Path) -> None:
    with xlsxwriter.Workbook(str(target), {"constant_memory": True}) as book:
        bold = book.add_format({"bold": True})
        for table in TABLES.values():
            page = book.add_worksheet(table.name)
            page.freeze_panes(1, len(table.key))
            for index, column in enumerate(_columns(table)):
                page.write_string(0, index, heading(column), bold)
            for line, row in enumerate(_rows(db, table), 1):
                for index, value in enumerate(row):
                    if isinstance(value, str) and value:
                        page.write_string(line, index, value)
                    elif not isinstance(value, str):
                        page.write_number(line, index, value)


def _folder(db: Database, target: Path) -> None:
    target.mkdir(parents=True, exist_ok=True)
    for table in TABLES.values():
        with open(target / f"{table.name}.csv", "w", encoding="utf-8", newline="") as file:
            sheet = csv.writer(file)
            sheet.writerow([heading(c) for c in _columns(table)])
            sheet.writerows(_rows(db, table))
