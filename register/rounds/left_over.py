"""What is left over from taking something back: a list to decide in or correct, one by one, and its reading back."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

import xlsxwriter

from register.errors import Problem, StartrollError
from register.intake.sheet import read
from register.rounds.merge_model import Conflict
from register.rounds.take_round import Refused
from register.store.output_file import write_new
from register.text import neutral

Key = tuple[str, str, str]
HEADINGS = (
    "table", "row", "column", "position", "was", "here", "here by", "here on", "there", "there by", "there on",
    "problem", "what to do", "take",
)  # fmt: skip
ROW_OF_KEY, TAKE = 3, "take"
SIDES = ("ours", "theirs")


def write_list(path: Path, conflicts: Iterable[Conflict], refused: Iterable[Refused] = ()) -> None:
    """Write conflicts and refused answers as a workbook; the column `take` is to be filled."""
    rows: list[list[Any]] = [
        [c.table, c.row, c.column, c.tag, c.base, c.here.value, c.here.who, c.here.when, c.there.value, c.there.who,
         c.there.when, "changed here and there", "ours, theirs, or of a round what is right", ""]
        for c in conflicts
    ] + [
        [r.table, r.row, r.column, r.row, "", "", "", "", r.answer, "", "", r.cause, r.remedy, ""] for r in refused
    ]  # fmt: skip
    made = io.BytesIO()
    with xlsxwriter.Workbook(made, {"in_memory": True}) as book:
        page = book.add_worksheet("left over")
        bold = book.add_format({"bold": True})
        for column, heading in enumerate(HEADINGS):
            page.write_string(0, column, heading, bold)
        for line, row in enumerate(rows, 1):
            for column, value in enumerate(row):
                page.write_string(line, column, str(neutral(value)))
        page.freeze_panes(1, 0)
        page.autofit(300)
    write_new(path, made.getvalue())


def read_list(path: Path) -> dict[Key, str]:
    """What was decided in a list, by cell; StartrollError where it is no such list."""
    try:
        rows = read(path)[0].rows
    except IndexError:
        rows = []
    heads = [str(head or "").strip() for head in rows[0]] if rows else []
    if heads[:ROW_OF_KEY] != list(HEADINGS[:ROW_OF_KEY]) or TAKE not in heads:
        raise StartrollError(
            Problem("this is no list of what was left over", "name the list that --left wrote", str(path))
        )
    at = heads.index(TAKE)
    found: dict[Key, str] = {}
    for row in rows[1:]:
        cells = ["" if cell is None else str(cell).strip() for cell in row] + [""] * len(heads)
        if cells[at]:
            table, key, column = (cell.removeprefix("'") for cell in cells[:ROW_OF_KEY])
            found[table, key, column] = cells[at]
    return found


def decider(listed: Mapping[Key, str], side: str | None) -> Callable[[Key], str | None]:
    """What was decided for a cell: in a list, or else for all of them."""
    return lambda key: listed.get(key, side)


def sides_only(listed: Mapping[Key, str], path: Path | None) -> None:
    """Raise StartrollError for what is neither side: a value cannot be typed where whole rows are merged."""
    wrong = [
        Problem(f"{' '.join(key)}: {take!r} is neither ours nor theirs", "write ours or theirs", str(path))
        for key, take in listed.items()
        if take not in SIDES
    ]
    if wrong:
        raise StartrollError(wrong)
