"""The rows below the headings: which are data, and which are blank, totals, sections, repeats."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field

from register.columns import languages
from register.intake.sheet import Sheet

_TOTAL = re.compile(r"(grand |sub|sub-|sub )?totals?\b.*|sum:?|(number|count) of .*|averages?:?", re.IGNORECASE)
FEW, MANY = 2, 5  # cells of a line that heads a group, and of the headings above it


@dataclass(frozen=True, slots=True)
class Body:
    """Data rows by number, the section heading above each, and what was passed over."""

    rows: list[int]
    sections: list[str] = field(default_factory=list)
    skipped: Counter[str] = field(default_factory=Counter)
    first_section: int | None = None
    section_rows: tuple[int, ...] = ()

    @property
    def has_sections(self) -> bool:
        """True when a line like "MCC-1", alone in its row, heads a group of rows."""
        return self.first_section is not None


def starts_with(text: str, kind: str) -> bool:
    """True for a line that begins with a word for a total, or for a group of rows, in any language."""
    words = languages.bare(text).split()
    known = languages.line_words(kind)
    return any(" ".join(words[:count]) in known for count in (3, 2, 1))


def body(sheet: Sheet, header_row: int, key_column: int | None, *, verbatim: bool, below: int = 0) -> Body:
    """Sort the rows under `header_row`; in the register's own form only blanks are passed over."""
    header = sheet.rows[header_row]
    made = Body([], [], Counter())
    section, first = "", None
    lines: list[int] = []
    wide = sum(1 for h in header if str(h).strip()) > 2
    numbered = _numbered(sheet, header_row, key_column)
    for number in range(header_row + 1 + below, len(sheet.rows)):
        row = sheet.rows[number]
        filled = len(row) - row.count("") - row.count(None)
        kind = _kind(row, filled, header, key_column, wide=wide, numbered=numbered, verbatim=verbatim)
        if kind == "data":
            made.rows.append(number)
            made.sections.append(section)
        elif kind.startswith("section "):
            section = kind.removeprefix("section ")
            first = number if first is None else first
            lines.append(number)
            made.skipped["section"] += 1
        else:
            made.skipped[kind] += 1
    return Body(made.rows, made.sections, made.skipped, first, tuple(lines))


def _kind(
    row: list[object], filled: int, header: list[object], key: int | None, *, wide: bool, numbered: bool, verbatim: bool
) -> str:
    if filled <= 3 or not isinstance(row[0], float):
        words = [(i, str(c).strip()) for i, c in enumerate(row[:4]) if c != "" and c is not None]
        if not any(text for _, text in words) and not any(str(c).strip() for c in row if c is not None):
            return "blank"
        if verbatim:
            return "data"
        if words and filled < len(header) and _is_total(words[0][1], words[0][0], key):
            return "total"
        named = words[0][1] if words and words[0][0] == (key or 0) else ""
        plain = numbered and named and not any(c.isdigit() for c in named)
        many = len(header) - header.count("") > MANY
        if named and many and 1 < filled <= FEW + bool(plain) and (plain or starts_with(named, "group")):
            return f"section {named}"
        if key is not None and key < len(row) and _is_empty(row[key]):
            return "spare bucket"
    if verbatim or filled > 1:
        return "repeated heading" if not verbatim and row == header else "data"
    where, text = next((i, str(c).strip()) for i, c in enumerate(row) if c is not None and str(c).strip())
    unlike = numbered and not any(c.isdigit() for c in text)
    early = any(c.isalpha() for c in text) and where <= max(2, key or 0)
    alone = wide and early and (where != key or unlike or starts_with(text, "group") or " " in text)
    if not alone:
        return "data"
    return f"section {text}" if len(text) <= 40 else "note"


def _is_empty(cell: object) -> bool:
    """True for a tag that says that nothing is there: spare, reserve, leer."""
    return isinstance(cell, str) and languages.bare(cell) in languages.line_words("empty")


def _is_total(text: str, where: int, key: int | None) -> bool:
    if _TOTAL.fullmatch(text):
        return True
    return starts_with(text, "total") and not (where == key and any(c.isdigit() for c in text))


def _numbered(sheet: Sheet, header_row: int, key: int | None) -> bool:
    """True when the keys of the first rows carry figures, as tags do and section names may not."""
    if key is None:
        return False
    cells = [
        str(r[key])
        for r in sheet.rows[header_row + 1 : header_row + 200]
        if len(r) > key and r[key] not in (None, "") and len(r) - r.count("") > 1
    ]
    return sum(any(c.isdigit() for c in cell) for cell in cells) > 0.9 * len(cells) > 0
