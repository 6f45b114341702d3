"""The settings sheet as one page to print, of A4 or US Letter."""

from __future__ import annotations

from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from register.figures import shown
from register.planning.model import Line, Sheet
from register.reports.sheet import AFTER, CAUTION, figure_told, input_told, open_rules, rests
from register.reports.short import name

HERE = Path(__file__).parent


def page(sheet: Sheet) -> str:
    """The sheet as HTML that stands by itself; text of the register is escaped and cut to fit."""
    env = Environment(
        loader=FileSystemLoader(HERE), autoescape=True, undefined=StrictUndefined, trim_blocks=True
    )
    env.filters["cut"] = cut
    return env.get_template("sheet.html.jinja").render(
        sheet=sheet, caution=CAUTION, after=AFTER.format(sheet.tag), figure=shown, told=input_told,
        of_figure=figure_told, rests=_rests, told_open=open_rules(sheet), stand_ins=stand_ins, name=name,
    )  # fmt: skip


def cut(text: str, most: int) -> str:
    """The text, or as much of it as there is room for.

    >>> cut("a very long name", 8)
    'a very …'
    """
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _rests(line: Line) -> str:
    return "; ".join(rests(line))


def stand_ins(sheet: Sheet) -> str:
    """What stands in for blanks, each once."""
    return "; ".join(f"{name(i.column)} {input_told(i)}" for i in sheet.assumed)
