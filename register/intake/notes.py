"""What has no column: kept in the position's notes with its heading and cell, and found there by `show`."""

from __future__ import annotations

import re

from register.columns import COLUMNS
from register.columns.languages.patterns import ASSET
from register.intake.cells import Read, as_text
from register.intake.headings import KEPT, STOCK
from register.intake.taken import Taken

_PIECE = re.compile(r"(?:^|; )([^;:\[\]]+): ([^\[\]]*?) \[([^\[\]]+)\]")
HOLDERS = ("cause", "note")  # of a sheet of failures, of a sheet of checks


def keep(taken: Taken) -> None:
    """Append what stands under headings without a column to the notes of each row."""
    kept = [h for h in taken.header.headings if h.state == KEPT and h.kept != STOCK]
    if not kept:
        return
    name = "cause" if "happened_on" in taken.reads else "note" if "done_on" in taken.reads else "position_notes"
    if name == "position_notes" and "tag" not in taken.reads:
        return  # nothing to keep it with: the cells are refused, each with its place
    read = taken.reads.get(name)
    if read is None:
        read = taken.reads[name] = Read(COLUMNS[name], [None] * len(taken.body.rows))
        taken.letters[name] = ""
    for index, row in enumerate(taken.body.rows):
        cells = taken.sheet.rows[row]
        pieces = [read.values[index]] if read.values[index] else []
        for h in kept:
            raw = cells[h.index] if h.index < len(cells) else None
            if raw is not None and (text := as_text(raw)):
                label = ASSET if h.kept == ASSET else h.text
                pieces.append(piece(label, text, taken.sheet.address(row, h.index)))
        read.values[index] = "; ".join(pieces) or None
    for h in kept:
        taken.fed[h.index] = {name}


def piece(heading: str, text: str, address: str) -> str:
    """A note of what stood under a heading, with its cell."""
    clean = [re.sub(r"[\[\];]", ",", part) for part in (heading.replace(":", ""), text)]
    return f"{clean[0]}: {clean[1]} [{address}]"


def asset_of(notes: str | None) -> str | None:
    """The asset number that a position's notes keep."""
    found = re.search(rf"(?:^|; ){ASSET}: (.*?) \[", notes or "")
    return found[1] if found else None


def joined(before: str | None, after: str) -> str:
    """Old and new notes as one: what is kept under a heading gives way to its newer text, nothing else is lost.

    >>> joined("leaks; Paint: RAL 5010 [A!F3]", "Paint: RAL 7000 [A!F9]")
    'leaks; Paint: RAL 7000 [A!F9]'
    """
    if not before or before == after:
        return after
    old, new = _pieces(before), _pieces(after)
    for heading, (text, _) in list(new.items()):
        if heading in old and old[heading][0] == text:
            new[heading] = old[heading]
    plain = _PIECE.sub("", after).strip("; ") or _PIECE.sub("", before).strip("; ")
    parts = [f"{heading}: {text} [{cell}]" for heading, (text, cell) in (old | new).items()]
    return "; ".join([plain, *parts] if plain else parts)


def _pieces(text: str) -> dict[str, tuple[str, str]]:
    return {m[1]: (m[2], m[3]) for m in _PIECE.finditer(text)}
