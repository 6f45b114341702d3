"""Files that are no list: a program's text, prose, a page with two words that happen to be headings."""

from __future__ import annotations

from collections.abc import Iterator

from register.intake import concepts
from register.intake.headings import Header
from register.intake.sheet import Sheet
from register.intake.taken import Taken

LONG = 60  # characters of a cell; a list's are shorter, but for its notes
CODE = (
    "def ",
    "import ",
    "return ",
    "class ",
    "#include",
    "function ",
    "var ",
    "SELECT ",
    "public ",
    "private ",
    "</",
    "<?",
)


def is_list(taken: Taken) -> bool:
    """False for text that was cut at its commas: code, sentences, lines of unlike length."""
    sheet, header = taken.sheet, taken.header
    if not header.verbatim and _of_drawings(header):
        return False
    if header.verbatim or sheet.is_book:
        return bool(taken.body.rows) or header.verbatim or len(header.headings) > 2
    texts = list(_texts(sheet))
    if any(text.lstrip().startswith(CODE) for text in texts[:400]):
        return False
    rows = taken.body.rows
    if not rows:
        return len(header.headings) > 2
    inside = sum(any(len(str(c)) for c in sheet.rows[r][1:]) for r in rows)
    if len(header.headings) > 1 and 2 * inside < len(rows):
        return False
    sentences = sum(len(text) > LONG or (text.endswith((".", "!")) and text.count(" ") > 4) for text in texts)
    return 4 * sentences < len(texts)


def _of_drawings(header: Header) -> bool:
    """True for a list of drawings: it numbers them, and says nothing of a motor or a position."""
    numbered = any("drawing" in concepts.said_by(h.text) for h in header.headings)
    return numbered and {h.meant.name for h in header.sure()} <= {"description", "position_notes", "speed_rpm"}


def _texts(sheet: Sheet) -> Iterator[str]:
    return (c for row in sheet.rows for c in row if isinstance(c, str) and c.strip())
