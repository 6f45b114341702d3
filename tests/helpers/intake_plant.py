"""What the intake's tests share: a register to write to, sheets written as lists of cells."""

import csv
import io
from datetime import date, datetime

import pytest
import xlsxwriter

from register.intake.sheet import read
from register.intake.take_in import apply, plan_intake
from register.store.database import create, opened


class Plant:
    """An empty register beside the lists that a test writes."""

    def __init__(self, folder, practice="us"):
        self.folder = folder
        self.path = folder / "plant.db"
        create(self.path, {"site": "Oldmarrow Works", "practice": practice})

    def book(self, name, **sheets):
        """A workbook of sheets, each a list of rows."""
        path = self.folder / name
        with xlsxwriter.Workbook(str(path)) as book:
            days = book.add_format({"num_format": "yyyy-mm-dd"})
            for title, rows in sheets.items():
                page = book.add_worksheet(title.replace("_", " "))
                for i, row in enumerate(rows):
                    for j, cell in enumerate(row):
                        if isinstance(cell, (date, datetime)):
                            page.write_datetime(i, j, datetime(cell.year, cell.month, cell.day), days)
                        elif isinstance(cell, str) and cell.startswith("#") and cell.isupper():
                            page.write_formula(i, j, "=NA()", None, cell)
                        elif isinstance(cell, str) and cell:
                            page.write_string(i, j, cell)
                        elif cell != "" and cell is not None:
                            page.write(i, j, cell)
        return path

    def csv(self, name, rows, delimiter=","):
        text = io.StringIO()
        csv.writer(text, delimiter=delimiter).writerows(rows)
        path = self.folder / name
        path.write_text(text.getvalue(), encoding="utf-8")
        return path

    def plan(self, *paths, mapping=None):
        with opened(self.path) as db:
            return plan_intake(db, [s for p in paths for s in read(p)], mapping)

    def take(self, *paths, mapping=None):
        with opened(self.path, write=True) as db:
            plan = plan_intake(db, [s for p in paths for s in read(p)], mapping)
            apply(db, plan, reason="test", author="t")
            return plan

    def rows(self, query, *params):
        with opened(self.path) as db:
            return list(db.query(query, params))

    def value(self, table, key, column):
        rows = self.rows(f"SELECT {column} AS v FROM {table} WHERE {table_key(table)} = ?", key)
        return rows[0]["v"] if rows else None


def table_key(table):
    return {"position": "tag", "protection": "tag", "bypass": "tag", "control": "tag"}.get(table, table)


@pytest.fixture
def plant(tmp_path):
    return Plant(tmp_path)


@pytest.fixture
def iec_plant(tmp_path):
    return Plant(tmp_path, "iec")
