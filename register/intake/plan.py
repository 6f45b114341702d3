"""What an intake would do: rows added and changed, what is refused, what has to be answered."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

from register.columns import TABLES
from register.errors import Problem

if TYPE_CHECKING:
    from register.intake.sheet import Sheet

Key = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """A value that is known already and would become another; `before` None fills a blank."""

    table: str
    key: Key
    column: str
    before: Any
    after: Any
    place: str


@dataclass(frozen=True, slots=True)
class Refusal:
    """A cell (or, with no column, a row) that is not taken, why, and what to do.

    `beside` is another row that has to be looked at with it.
    """

    sheet: int
    row: int
    column: str
    place: str
    read: str
    cause: str
    remedy: str
    beside: int | None = None

    def problem(self) -> Problem:
        """The refusal as a problem to print."""
        return Problem(self.cause, self.remedy, self.place)


@dataclass(frozen=True, slots=True)
class Doubt:
    """A question that the list leaves open; `answer` is the line of the mapping that settles it.

    `line` is that line with `{}` where the choice belongs; `under` says where it stands in the mapping:
    below the sheet's `headings`, or below the sheet itself. `words` are texts to be given a meaning, each
    with how often it stands and the likeliest meaning.
    """

    sheet: str
    place: str
    heading: str
    question: str
    candidates: tuple[str, ...]
    answer: str
    cells: int = 0
    line: str = ""
    under: str = "headings"
    words: tuple[tuple[str, int, str], ...] = ()

    def said(self, choice: str) -> str | None:
        """The line of the mapping that gives this answer; None where only a person can write it."""
        if "{}" in self.line:
            return self.line.replace("{}", choice)
        return self.answer if choice in self.candidates[:1] else None

    def worded(self, meanings: dict[str, str]) -> str | None:
        """The line that gives words their meaning; None where none has one."""
        if not meanings:
            return None
        head, mark, _ = self.answer.partition("words: ")
        pairs = ", ".join(f"{json.dumps(text, ensure_ascii=False)}: {json.dumps(m)}" for text, m in meanings.items())
        return f"{head}{mark}{{{pairs}}}}}" if mark else None

    def problem(self) -> Problem:
        """The doubt as a problem to print."""
        where = "every sheet, '*'" if self.sheet == "*" else f"sheet {self.sheet!r}"
        return Problem(self.question, f"in the mapping, {where}: {self.answer}", self.place)


class Origin(NamedTuple):
    """The cells that a row was read from: sheet number, row number, letter by column."""

    sheet: int
    row: int
    letters: dict[str, str]


@dataclass(slots=True)
class Rows:
    """The rows of one table as the sheets give them."""

    values: dict[Key, dict[str, Any]] = field(default_factory=dict)
    origins: dict[Key, list[Origin]] = field(default_factory=dict)
    found: dict[tuple[Key, str], tuple[str, str, str]] = field(default_factory=dict)
    blanks: dict[tuple[Key, str], str] = field(default_factory=dict)
    verbatim: bool = False


@dataclass(frozen=True, slots=True)
class Plan:
    """The whole of it; nothing has been written yet."""

    sheets: tuple[Sheet, ...]
    rows: dict[str, Rows]
    added: dict[str, list[Key]]
    changed: tuple[Change, ...]
    unchanged: Counter[str]
    renamed: tuple[tuple[str, str, str], ...]
    refused: tuple[Refusal, ...]
    doubts: tuple[Doubt, ...]
    notes: tuple[str, ...]
    skipped: Counter[str]
    headings: dict[int, tuple[int, tuple[str, ...]]]
    mapping_draft: str
    state: int = 0
    cells: dict[str, Counter[str]] = field(default_factory=dict)

    def added_rows(self) -> Iterator[tuple[str, Key, dict[str, Any]]]:
        """(table, key, values) of every row that is new, tables in their order."""
        for table in TABLES:
            for key in self.added.get(table, ()):
                yield table, key, self.rows[table].values[key]

    def problems(self) -> list[Problem]:
        """Everything refused or in doubt."""
        return [d.problem() for d in self.doubts] + [r.problem() for r in self.refused]

    def counts(self) -> dict[str, dict[str, int]]:
        """By table: rows added, rows changed, rows unchanged."""
        changed: dict[str, set[Key]] = {table: set() for table in TABLES}
        for change in self.changed:
            changed[change.table].add(change.key)
        return {
            table: {
                "added": len(self.added.get(table, ())),
                "changed": len(changed[table]),
                "unchanged": self.unchanged[table],
            }
            for table in TABLES
            if table in self.rows
        }


@dataclass(frozen=True, slots=True)
class Applied:
    """What was written, under which change-set."""

    change_set: int
    added: int
    changed: int


def key_text(key: Key) -> str:
    """A key as the history and the provenance write it."""
    return " | ".join(str(part) for part in key)
