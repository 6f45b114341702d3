"""One sheet as it is being taken apart: its columns read, what is refused, what is asked."""

from __future__ import annotations

from dataclasses import dataclass, field

from register.intake.cells import Cell, Read
from register.intake.data_rows import Body
from register.intake.headings import Header
from register.intake.plan import Doubt, Refusal
from register.intake.sheet import Sheet, letters, number


@dataclass(slots=True)
class Taken:
    """A sheet's columns by name; `letters` says where each stands, "" for a constant.

    `fed` are the columns that each heading's cells fill; `blocked` headings are asked about as a whole;
    `cells_asked` are, by heading, the rows where only a part of the cell is taken; `in_store` is how many
    devices of its type a row counts, and `rows_aside` are left out by an answer, all three by place among
    the data rows; `apart` are tags and buses that are their own, however like another.
    """

    number: int
    sheet: Sheet
    header: Header
    body: Body
    reads: dict[str, Read] = field(default_factory=dict)
    letters: dict[str, str] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    refused: list[Refusal] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    rows_refused: set[int] = field(default_factory=set)
    cells_refused: dict[str, list[int]] = field(default_factory=dict)
    cells_asked: dict[int, set[int]] = field(default_factory=dict)
    rows_asked: set[int] = field(default_factory=set)
    in_store: dict[int, int] = field(default_factory=dict)
    rows_aside: set[int] = field(default_factory=set)
    repeats: set[int] = field(default_factory=set)
    apart: set[str] = field(default_factory=set)
    fed: dict[int, set[str]] = field(default_factory=dict)
    blocked: set[int] = field(default_factory=set)
    own: dict[int, Read] = field(default_factory=dict)
    sections_end: str = ""
    used: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def address(self, column: str, index: int) -> str:
        """The address of a cell, by column name and place among the data rows."""
        row, letter = self.body.rows[index], self.letters.get(column, "")
        if letter:
            return self.sheet.address(row, number(letter))
        return f"{self.sheet.name}!{self.sheet.line(row)}" if self.sheet.is_book else f"{self.sheet.line(row)}"

    def _row(self, index: int) -> str:
        row = f"row {self.sheet.line(self.body.rows[index])}"
        return f"{self.sheet.name} {row}" if self.sheet.is_book else row

    def special_of(self, heading: int) -> dict[int, Cell]:
        """The cells under a heading that were no plain values."""
        return self.own[heading].special if heading in self.own else {}

    def refuse(self, column: str, index: int, read: object, cause: str, remedy: str, beside: int | None = None) -> None:
        """Note that a cell (or, with column "", a row) is not taken."""
        if column:
            self.cells_refused.setdefault(column, []).append(self.body.rows[index])
        else:
            self.rows_refused.add(self.body.rows[index])
        cell = self.address(column, index) if column else self._row(index)
        self._note(column, index, cell, read, cause, remedy, beside)

    def refuse_cell(self, where: int, index: int, read: object, cause: str, remedy: str) -> None:
        """Note that a cell is not taken, by the number of its column in the sheet."""
        cell = self.sheet.address(self.body.rows[index], where)
        self._note(letters(where), index, cell, read, cause, remedy, None)

    def _note(
        self, column: str, index: int, cell: str, read: object, cause: str, remedy: str, beside: int | None
    ) -> None:
        self.refused.append(
            Refusal(
                self.number,
                self.body.rows[index],
                column,
                f"{self.sheet.file} {cell}",
                str(read),
                cause,
                remedy,
                None if beside is None else self.body.rows[beside],
            )
        )

    def ask(
        self,
        place: str,
        heading: str,
        question: str,
        candidates: tuple[str, ...],
        answer: str,
        cells: int = 0,
        *,
        line: str = "",
        under: str = "headings",
        words: tuple[tuple[str, int, str], ...] = (),
    ) -> None:
        """Note a question that only the plant can answer."""
        place = f"{self.sheet.file} {place}"
        self.doubts.append(
            Doubt(self.sheet.name, place, heading, question, candidates, answer, cells, line or answer, under, words)
        )
