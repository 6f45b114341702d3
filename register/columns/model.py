"""What a column and a table are; the dictionary itself stands in the sibling files."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

Kind = Literal["text", "real", "integer", "date"]
Origin = Literal["entered", "catalogue", "derived", "internal"]

YES_NO = ("yes", "no")


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name is the same in sheets, register, facts, calculations, rules, reports.

    `unit` is "" for text, dates and pure numbers. `low` and `high` bound what can be believed, not
    what is good practice. `choices` closes a text column. `headings` are the other words by which
    a plant's own list may call it. `references` names the table whose key a text column holds.
    """

    name: str
    kind: Kind
    sentence: str
    unit: str = ""
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()
    headings: tuple[str, ...] = ()
    references: str = ""
    required: bool = False
    origin: Origin = "entered"
    table: str = ""

    @property
    def is_number(self) -> bool:
        """True for a real or an integer column."""
        return self.kind in ("real", "integer")

    def described(self) -> str:
        """Name, meaning and unit in one line, for messages: `fla_a` (full-load current, A)."""
        return f"{self.name} ({self.sentence}{', ' + self.unit if self.unit else ''})"


@dataclass(frozen=True, slots=True)
class Table:
    """One table of the register: what a row is, its key, its columns in reading order.

    Of the columns `one_of` each row fills exactly one.
    """

    name: str
    sentence: str
    key: tuple[str, ...]
    columns: tuple[Column, ...]
    one_of: tuple[str, ...] = ()

    def column(self, name: str) -> Column:
        """The column of that name; KeyError when the table has none."""
        for column in self.columns:
            if column.name == name:
                return column
        raise KeyError(name)


def table(name: str, sentence: str, key: str, *columns: Column, catalogue: bool = False, one_of: str = "") -> Table:
    """A table whose columns know their table; `key` and `one_of` are space-separated column names."""
    origin: Origin = "catalogue" if catalogue else "entered"
    owned = tuple(replace(c, table=name, origin=origin if c.origin == "entered" else c.origin) for c in columns)
    return Table(name, sentence, tuple(key.split()), owned, tuple(one_of.split()))


def _names(words: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in words.split("|") if word.strip())


def text(name: str, sentence: str, headings: str = "", **more) -> Column:
    """A free text column."""
    return Column(name, "text", sentence, headings=_names(headings), **more)


def choice(name: str, choices: str, sentence: str, headings: str = "", **more) -> Column:
    """A text column with a closed list, written `one|two|three`."""
    return Column(name, "text", sentence, choices=_names(choices), headings=_names(headings), **more)


def flag(name: str, sentence: str, headings: str = "", **more) -> Column:
    """A yes or no column; a blank stays unknown."""
    return Column(name, "text", sentence, choices=YES_NO, headings=_names(headings), **more)


def real(
    name: str, unit: str, low: float | None, high: float | None, sentence: str, headings: str = "", **more
) -> Column:
    """A number with a unit and the range in which it can be believed."""
    return Column(name, "real", sentence, unit, low, high, headings=_names(headings), **more)


def integer(
    name: str, unit: str, low: float | None, high: float | None, sentence: str, headings: str = "", **more
) -> Column:
    """A whole number with a unit and a range."""
    return Column(name, "integer", sentence, unit, low, high, headings=_names(headings), **more)


def date(name: str, sentence: str, headings: str = "", **more) -> Column:
    """A day, kept as ISO 8601 text (2026-03-01)."""
    return Column(name, "date", sentence, headings=_names(headings), **more)
