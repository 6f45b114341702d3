"""Sheets joined by an asset number that is not the tag: one sheet gives both, others the number alone."""

from __future__ import annotations

from sqlite_utils import Database

from register.columns import COLUMNS
from register.columns.languages.patterns import ASSET
from register.intake.cells import Cell, Read, as_text
from register.intake.headings import KEPT
from register.intake.notes import asset_of
from register.intake.sheet import letters
from register.intake.taken import Taken

MOST_KNOWN = 0.5  # of a column's numbers, for it to be read as asset numbers


def join(db: Database, sheets: list[Taken]) -> None:
    """Give the rows of sheets without a tag the tag that their asset number has elsewhere."""
    waiting = [one for one in sheets if "tag" not in one.reads and _asset(one) is not None]
    if not waiting and not any(_asset(one) is not None for one in sheets):
        return
    known = {
        number: tag
        for tag, text in db.execute("SELECT tag, position_notes FROM position")
        if (number := asset_of(text))
    }
    for one in sheets:
        index = _asset(one)
        if "tag" in one.reads and index is not None:
            tags = one.reads["tag"].values
            pairs = zip(_texts(one, index), tags, strict=True)
            known |= {number: tag for number, tag in pairs if number and tag is not None}
    tags_known = set(known.values())
    for one in sheets:
        index = _asset(one)
        if one in waiting and index is not None:
            _tagged(one, index, known, tags_known)
        elif "tag" in one.reads and index is None:
            _swapped(one, known, tags_known)


def _asset(taken: Taken) -> int | None:
    return next((h.index for h in taken.header.headings if h.state == KEPT and h.kept == ASSET), None)


def _texts(taken: Taken, index: int) -> list[str]:
    rows = (taken.sheet.rows[r] for r in taken.body.rows)
    return [as_text(row[index]) if index < len(row) and row[index] is not None else "" for row in rows]


def _tagged(taken: Taken, index: int, known: dict[str, str], tags: set[str]) -> None:
    numbers = _texts(taken, index)
    heading = next(h for h in taken.header.headings if h.index == index)
    if not any(n in known or n in tags for n in numbers):
        question = f"{heading.text!r}: no list gives the tags of these numbers; are they the tags themselves?"
        where = taken.sheet.address(taken.header.row, index)
        line = f"{heading.text}: {{}}"
        taken.blocked.add(index)
        taken.fed[index] = set()
        taken.ask(where, heading.text, question, ("tag", "note", "ignore"), f"{heading.text}: tag", line=line)
        return
    _read(taken, index, numbers, known, tags, ASSET)


def _swapped(taken: Taken, known: dict[str, str], tags: set[str]) -> None:
    """A column headed like a tag whose cells are asset numbers of another sheet."""
    values = {str(v) for v in taken.reads["tag"].values if v is not None}
    hits = sum(v in known for v in values)
    if values & tags or not hits or hits < MOST_KNOWN * len(values):
        return
    heading = next((h for h in taken.header.sure() if h.meant.name == "tag"), None)
    if heading is not None and not heading.answer.column:
        _read(taken, heading.index, _texts(taken, heading.index), known, tags, heading.text)


def _read(taken: Taken, index: int, numbers: list[str], known: dict[str, str], tags: set[str], name: str) -> None:
    read = Read(COLUMNS["tag"], [])
    for i, number in enumerate(numbers):
        tag = known.get(number) or (number if number in tags else None)
        read.values.append(tag)
        if tag is not None and tag != number:
            read.special[i] = Cell(tag, number, "")
        elif number and tag is None:
            cause = f"{name} {number!r} stands in none of these lists, nor in the register"
            read.special[i] = Cell(
                text=number, cause=cause, remedy="take in the list that gives its tag, or correct it"
            )
    taken.reads["tag"], taken.letters["tag"] = read, letters(index)
    taken.own[index] = read
    taken.fed[index] = {"tag"}
    taken.notes.append(f"{taken.sheet.file} {taken.sheet.name!r}: positions are found by {name}")
