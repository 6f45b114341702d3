"""A register made of the CSV files that `export` or a review pack has of its tables, each cell as written.

Nothing is recognised, converted or doubted, as `take-in` would: what comes out has the rows that were written out.
"""

from __future__ import annotations

import csv
import io
import re
import sqlite3
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from register.columns import TABLES, Column, Table
from register.errors import Problem, StartrollError
from register.intake.correct import REASONS
from register.intake.export import exported_columns, heading
from register.store.database import create, opened, writing

_MARKED = re.compile(r"'+[=+\-@\t\r]")
_LONGEST_CELL = 10_000_000


def reread(files: Mapping[str, bytes], register: Path) -> None:
    """Make a register of these files, named by table.

    Errors: StartrollError for files that are no tables of a register, with every cell that cannot be one of its column.
    """
    problems: list[Problem] = []
    rows = {table.name: list(_rows(table, files.get(table.name, b""), problems)) for table in TABLES.values()}
    if problems:
        raise StartrollError(problems)
    site = rows.pop("site")
    if len(site) != 1:
        raise StartrollError(Problem(f"{len(site)} rows", "a register has one site", "site.csv"))
    create(register, site[0])
    with opened(register, write=True) as db, writing(db, reason="made of its tables"):
        db.execute("PRAGMA defer_foreign_keys = ON")
        for name, found in rows.items():
            for number, row in enumerate(found, 2):
                _insert(db, TABLES[name], row, number)
        if stray := db.execute("PRAGMA foreign_key_check").fetchall():
            places = sorted({f"{table}.csv" for table, *_ in stray})
            raise StartrollError(
                Problem("a row that another one names is not there", "the files are not of one register", place)
                for place in places
            )


def _rows(table: Table, data: bytes, problems: list[Problem]) -> Iterator[dict[str, Any]]:
    columns = exported_columns(table)
    place = f"{table.name}.csv"
    csv.field_size_limit(_LONGEST_CELL)
    try:
        lines = list(csv.reader(io.StringIO(data.decode(), newline=""), strict=True))
    except (UnicodeDecodeError, csv.Error) as error:
        problems.append(Problem(f"it cannot be read: {error}", "no table of a register", place))
        return
    if not lines or lines[0] != [heading(c) for c in columns]:
        problems.append(Problem("its headings are not those of this version", "no table of a register", place))
        return
    for number, line in enumerate(lines[1:], 2):
        if len(line) != len(columns):
            problems.append(Problem(f"{len(line)} cells, not {len(columns)}", "", f"{place} row {number}"))
            continue
        try:
            yield {c.name: _value(c, text) for c, text in zip(columns, line, strict=True)}
        except ValueError as error:
            problems.append(Problem(str(error), "", f"{place} row {number}"))


class _Blank(str):
    """Why a value is missing."""


def _value(column: Column, text: str) -> Any:
    if text == "":
        return None
    if text in REASONS and text not in column.choices:
        return _Blank(text)
    if column.is_number:
        try:
            return int(text) if column.kind == "integer" else float(text)
        except ValueError:
            raise ValueError(f"{column.name}: {text!r} is no number") from None
    return text[1:] if _MARKED.match(text) else text


def _insert(db: Database, table: Table, row: Mapping[str, Any], number: int) -> None:
    held = {name: None if isinstance(value, _Blank) else value for name, value in row.items()}
    marks = ", ".join("?" * len(held))
    try:
        db.execute(f"INSERT INTO {table.name} ({', '.join(held)}) VALUES ({marks})", list(held.values()))
    except sqlite3.IntegrityError as error:
        raise StartrollError(Problem(str(error), "no row of a register", f"{table.name}.csv row {number}")) from None
    key = " | ".join(str(held[name]) for name in table.key if name in held)
    for name, value in row.items():
        if isinstance(value, _Blank):
            db.execute(
                "INSERT INTO blank (table_name, row_key, column_name, reason) VALUES (?, ?, ?, ?)",
                [table.name, key, name, str(value)],
            )
