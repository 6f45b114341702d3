"""The settings sheet as one page to print, of A4 or US Letter."""

from __future__ import annotations

from register.planning.model import SettingLine, Sheet
from register.reports.page.document import environment
from register.reports.terminal.settings_sheet import CAUTION, after, figure_told, input_told, open_rules, rests
from register.reports.terminal.short_names import name
from register.text import shown


def page(sheet: Sheet) -> str:
    """The sheet as HTML that stands by itself; text of the register is escaped and cut to fit."""
    made = environment()
    made.filters |= {"cut": cut, "whole_days": lambda text: text.replace("-", "\u2011")}
    return made.get_template("settings.html.jinja").render(
        sheet=sheet,
        caution=CAUTION,
        after=after(cut(sheet.tag, 32)),
        figure=shown,
        told=input_told,
        of_figure=figure_told,
        rests=_rests,
        told_open=open_rules(sheet),
        assumed=assumed,
        name=name,
    )


def cut(text: str, most: int) -> str:
    """The text, or as much of it as there is room for.

    >>> cut("a very long name", 8)
    'a very …'
    """
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _rests(line: SettingLine) -> str:
    return "; ".join(rests(line))


def assumed(sheet: Sheet) -> str:
    """What is assumed for blanks, each once."""
    return "; ".join(f"{name(i.column)} {input_told(i)}" for i in sheet.assumed)
