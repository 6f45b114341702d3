"""The demo plant's list as somebody kept it: an ugly workbook, with the same plant in it.

Each sheet is a few lines `heading = column : style`. A style says how a value was typed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from random import Random

import xlsxwriter

from making.nameplates import HP_KW
from making.sheets import SHEETS, SheetPlan

Cell = object

WORDS = {
    "across-the-line": ("DOL", "FVNR", "Across the line"),
    "star-delta": ("Wye-delta", "Y-D"),
    "autotransformer": ("Autotransformer",),
    "soft starter": ("Soft start", "RVSS", "Soft starter"),
    "drive": ("VFD", "VSD", "Drive"),
    "critical": ("A",),
    "essential": ("B",),
    "ordinary": ("C",),
}
EMPTY = {"plain": ("",), "or none": ("", "N/A")}
FRACTIONS = {0.5: "1/2", 1.5: "1 1/2", 7.5: "7 1/2"}


@dataclass(frozen=True, slots=True)
class Refusal:
    """A cell that cannot be taken in: what stands there instead of the value."""

    sheet: str
    column: str
    typed: str
    tag: str = ""


REFUSALS = (
    Refusal("nameplates", "efficiency_pct", "see drawing 114-B"),
    Refusal("nameplates", "poles", "4/6"),
    Refusal("MCC-41", "interrupting_ka", "65k or 42k"),
    Refusal("MCC-31", "protection_rating_a", "#REF!"),
    Refusal("MCC-41", "motor_installed_on", "some time in 2014"),
    Refusal("process data", "ambient_c", "hot"),
)

# A position that stands in its list twice, and not the same; the second cannot be taken in.
TWICE = ("MCC-41", "P-4112")


def refused(found: dict[str, list[dict]]) -> list[Refusal]:
    """The refusals, each at a position that has the value, and no seeded fault."""
    plans = {plan.name: plan for plan in SHEETS}
    chosen = []
    for refusal in REFUSALS:
        tags = [
            row["tag"]
            for row in plans[refusal.sheet].rows(found)
            if row.get(refusal.column) is not None and "seeded" not in row
        ]
        chosen.append(replace(refusal, tag=Random(refusal.typed).choice(tags)))
    return chosen


def write_workbook(path: Path, found: dict[str, list[dict]], spoilt: list[Refusal]) -> None:
    """The workbook; every sheet of `SHEETS` with its title, its noise and its rows."""
    found = found | {"identified model": [m for m in found["model"] if "model_maker" in m]}
    rng = Random("how it was typed")
    with xlsxwriter.Workbook(str(path), {"default_date_format": "mm/dd/yyyy"}) as book:
        book.set_properties({"created": datetime(2026, 11, 2), "title": "Motor list"})
        bold = book.add_format({"bold": True})
        for plan in SHEETS:
            sheet = book.add_worksheet(plan.name)
            for index, line in enumerate(_lines(plan, found, spoilt, rng)):
                if index < len(plan.titles) and line[0]:
                    sheet.merge_range(index, 0, index, 8, line[0], bold)
                    continue
                for column, cell in enumerate(line):
                    if cell is not None and cell != "":
                        _put(sheet, index, column, cell)


def _put(sheet, row: int, column: int, cell: Cell) -> None:
    if isinstance(cell, date):
        sheet.write_datetime(row, column, datetime(cell.year, cell.month, cell.day))
    elif isinstance(cell, str):
        sheet.write_string(row, column, cell)
    else:
        sheet.write_number(row, column, cell)


def _lines(plan: SheetPlan, found: dict, spoilt: list[Refusal], rng: Random) -> list[list]:
    headings = [heading for heading, _, _ in plan.columns]
    breaks = {after: list(line) or headings for after, line in plan.breaks}
    lines = [*([title] for title in plan.titles), headings]
    lines += [breaks[0]] if 0 in breaks else []
    for number, row in enumerate(plan.rows(found), 1):
        at = (plan.name, row.get("tag"))
        own = {refusal.column: refusal.typed for refusal in spoilt if (refusal.sheet, refusal.tag) == at}
        lines.append(_typed(plan, row, own, rng))
        if at == TWICE:
            lines.append([row["tag"], "see above?", *lines[-1][2:]])
        if plan.gap and number % plan.gap == 0:
            lines.append([])
        if number in breaks:
            lines.append(breaks[number])
    return lines + [list(line) for line in plan.foot]


def _typed(plan: SheetPlan, row: dict, spoilt: dict[str, str], rng: Random) -> list[Cell]:
    return [spoilt.get(column) or _cell(row.get(column), style, row, rng) for _, column, style in plan.columns]


def _cell(value: object, style: str, row: dict, rng: Random) -> Cell:
    if value is None or str(value).startswith(("unmarked", "unidentified")):
        return rng.choice(EMPTY.get(style, ("", "", "", "?", "illegible")))
    return STYLES[style](value, row, rng)


def _hp(value: object, row: dict, rng: Random) -> Cell:
    hp = round(float(value) / HP_KW, 2)
    if hp % 0.5:  # a size in kW among those in hp
        return f"{float(value):.10g} kW"
    return FRACTIONS.get(hp, hp)


def _hp_typed(value: object, row: dict, rng: Random) -> Cell:
    typed = _hp(value, row, rng)
    if rng.random() < 0.25 or "kW" in str(typed):
        return f"{float(value):.10g} kW"
    return f"{typed:g} HP" if isinstance(typed, float) else f"{typed} hp"


STYLES: dict[str, Callable[[object, dict, Random], Cell]] = {
    "plain": lambda value, row, rng: value,
    "text": lambda value, row, rng: value,
    "or none": lambda value, row, rng: value,
    "hp": _hp,
    "hp typed": _hp_typed,
    "volts": lambda value, row, rng: f"{float(value):.0f}V",
    "amps": lambda value, row, rng: f"{float(value):.10g} A" if rng.random() < 0.2 else value,
    "word": lambda value, row, rng: rng.choice(WORDS.get(str(value), (value,))),
    "flag": lambda value, row, rng: {"yes": "Y", "no": "N"}[str(value)],
    "day": lambda value, row, rng: date.fromisoformat(str(value)),
}
