"""The refused rows as a workbook to correct and take in again: same headings, the reason beside."""

from __future__ import annotations

import io
from collections import defaultdict
from datetime import date, datetime

import xlsxwriter

from register.intake.headings import REFUSED_HEADING
from register.intake.plan import Plan, Refusal


def refused_book(plan: Plan) -> bytes:
    """A workbook of every row in which something was refused, as it was found, with the reasons."""
    by_sheet: dict[int, dict[int, list[Refusal]]] = defaultdict(lambda: defaultdict(list))
    for refusal in plan.refused:
        by_sheet[refusal.sheet][refusal.row].append(refusal)
        if refusal.beside is not None:
            _ = by_sheet[refusal.sheet][refusal.beside]  # alone, its double would look sound
    made = io.BytesIO()
    with xlsxwriter.Workbook(made) as book:
        days = book.add_format({"num_format": "yyyy-mm-dd"})
        for number, rows in by_sheet.items():
            sheet = plan.sheets[number]
            page = book.add_worksheet(_sheet_name(book, sheet.name))
            heads = sheet.rows[plan.headings[number][0]]
            wide = max(len(sheet.rows[r]) for r in (*rows, plan.headings[number][0]))
            _line(page, 0, [*heads, *[""] * (wide - len(heads)), REFUSED_HEADING], days)
            for line, (row, refusals) in enumerate(sorted(rows.items()), 1):
                reasons = "; ".join(f"{r.place}: {r.cause} ({r.remedy})" for r in refusals)
                cells = sheet.rows[row]
                _line(page, line, [*cells, *[""] * (wide - len(cells)), reasons], days)
    return made.getvalue()


def _sheet_name(book: xlsxwriter.Workbook, name: str) -> str:
    name = "".join("-" if c in "[]:*?/\\" else c for c in name)[:31].strip("'") or "sheet"
    taken = {page.get_name().casefold() for page in book.worksheets()}
    number, made = 2, name
    while made.casefold() in taken:
        made = f"{name[:27]} {number}"
        number += 1
    return made


def _line(page, line: int, cells: list[object], days) -> None:
    for column, cell in enumerate(cells):
        if isinstance(cell, (datetime, date)):
            page.write_datetime(line, column, datetime(cell.year, cell.month, cell.day), days)
        elif isinstance(cell, (int, float)) and not isinstance(cell, bool):
            page.write_number(line, column, cell)
        elif cell is not None and cell != "":
            page.write_string(line, column, str(cell))
