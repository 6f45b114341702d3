"""How much a file may hold before it is read: what is larger is refused in words, and not by a machine without memory.

A spreadsheet of a few megabytes can unpack to gigabytes, and one stray cell can make a reader lay out a million rows.
All limits stand here. STARTROLL_MOST_MB raises them: they are in proportion to the largest file taken.
"""

from __future__ import annotations

import io
import os
import re
import stat
import zipfile
from collections.abc import Collection, Iterable
from itertools import chain
from pathlib import Path
from typing import Any

from register.columns import COLUMNS
from register.errors import Problem, SheetError
from register.text import whole

MOST_MB = 50
# Of an unpacked workbook, for each megabyte of the largest file taken; of its cells, filled or not.
UNPACKED_MB = 5
CELLS = 400_000
MOST_COLUMNS = 2_000
# Of cells that hold something, and of the memory in which a file is read: for each megabyte likewise.
FILLED_CELLS, MEMORY_MB = 10_000, 13
# So many times as many cells where every heading is a column's name: nothing has to be understood there.
OWN_FORM = 4
# As many as spreadsheet programs let one cell have in a workbook.
CELL_LETTERS = 32_767
LONG_CELL = f"a cell of {{}} letters, which begins {{!r}}; up to {CELL_LETTERS} are read"
# A row or cell that an ODS repeats: a sheet's empty end is repeated, up to the last row that there can be.
MOST_REPEATED_ROWS, MOST_REPEATED_COLUMNS = 1_100_000, 17_000
RAISE = "split the list, or raise the limit: STARTROLL_MOST_MB={}"

_FAR_CELL = re.compile(rb"""\sr\s*=\s*["'](?:[A-Za-z]{3}|[A-Za-z]*\d{6})""")
_COLUMNS = re.compile(rb"""\sr\s*=\s*["']([A-Za-z]+)\d""")
_ROWS = re.compile(rb"""\sr\s*=\s*["'][A-Za-z]*(\d+)["']""")
_SAID = re.compile(rb"""<dimension\s+ref\s*=\s*["'][A-Z]+\d+:([A-Z]+)(\d+)["']""")
_REPEATED = re.compile(rb"""number-(rows|columns)-repeated\s*=\s*["']\s*(\d+)""")


def most_mb() -> int:
    """The largest file that is taken, in MB."""
    said = os.environ.get("STARTROLL_MOST_MB", "")
    return whole(said, most=10**6) if whole(said) > 0 else MOST_MB


def memory_mb() -> int:
    """The most memory in which a file is read, in MB."""
    return MEMORY_MB * most_mb()


def check_filled(path: Path, tables: Collection[list[list[Any]]]) -> None:
    """Refuse a file of more filled cells, or of more text, than can be taken in within a minute."""
    cells = letters = 0
    for table in tables:
        wide = max(map(len, table), default=0)
        if wide * len(table) > CELLS * most_mb():
            raise _too_wide(path, wide, len(table))
    for row in chain.from_iterable(tables):
        for cell in row:
            if cell != "":
                cells += 1
                if isinstance(cell, str):
                    letters += len(cell)
                    if len(cell) > CELL_LETTERS:
                        raise refused(path, LONG_CELL.format(len(cell), cell[:30]), "shorten it, or close its quotes")
    most = FILLED_CELLS * most_mb() * (OWN_FORM if all(map(_is_own_form, tables)) else 1)
    if cells > most:
        raise _too_large(path, f"it has {cells} filled cells; up to {most} are taken in")
    if letters > most_mb() * 1_000_000:
        raise _too_large(path, f"it has {letters / 1e6:.0f} million letters; up to {most_mb()} million are taken in")


def _is_own_form(table: list[list[Any]]) -> bool:
    """Whether the first row has the names of columns and nothing else, as an export has."""
    return not table or all(cell in COLUMNS for cell in table[0] if cell != "")


def refused(path: Path, cause: str, remedy: str) -> SheetError:
    """The error of a file that cannot be read as a list."""
    return SheetError(Problem(cause, remedy, str(path)))


def data_of(path: Path) -> bytes:
    """The bytes of a plain file of bearable size; SheetError for any other."""
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            raise refused(path, "this is no plain file", "name a file that holds the list")
        if found.st_size > most_mb() * 1_000_000:
            raise _too_large(path, f"it has {found.st_size / 1e6:.0f} MB; up to {most_mb()} MB are read")
        return path.read_bytes()
    except FileNotFoundError:
        raise refused(path, "there is no such file", "check the name and the folder") from None
    except OSError as error:
        raise refused(path, f"it cannot be read: {error.strerror}", "check its rights") from None


def check_unpacked(path: Path, data: bytes) -> None:
    """Refuse a workbook that unpacks to too much, before anything is unpacked but one part at a time."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        parts = archive.infolist()
        total_mb = sum(part.file_size for part in parts) / 1e6
        if total_mb > UNPACKED_MB * most_mb():
            raise _too_large(path, f"it unpacks to {total_mb:.0f} MB; up to {UNPACKED_MB * most_mb()} MB are read")
        for part in parts:
            if part.filename.lower().endswith(".xml"):
                _check_part(path, archive.read(part))


def _check_part(path: Path, text: bytes) -> None:
    if b"-repeated" in text:
        _check_repeated(path, text)
    if b"<sheetData" in text or b":sheetData" in text or b"<worksheet" in text:
        _check_range(path, text)


def _check_repeated(path: Path, text: bytes) -> None:
    """Refuse rows and columns of an ODS that are repeated further than a sheet reaches."""
    rows = columns = 0
    for found in _REPEATED.finditer(text):
        if found[1] == b"rows":
            rows = max(rows, whole(found[2]))
        else:
            columns = max(columns, whole(found[2]))
    if rows > MOST_REPEATED_ROWS or columns > MOST_REPEATED_COLUMNS:
        raise _too_wide(path, columns or 1, rows or 1)


def _check_range(path: Path, text: bytes) -> None:
    said = _SAID.search(text[:4096])
    wide, tall = (_number(said[1]), whole(said[2])) if said else (0, 0)
    # One stray cell far out, of which that line need not tell, is range enough.
    if _FAR_CELL.search(text):
        wide = max(wide, _most(map(_number, set(_COLUMNS.findall(text)))))
        tall = max(tall, _most(map(whole, set(_ROWS.findall(text)))))
    if wide > MOST_COLUMNS or wide * tall > CELLS * most_mb():
        raise _too_wide(path, wide, tall)


def _most(numbers: Iterable[int]) -> int:
    return max(numbers, default=0)


def _number(letters: bytes) -> int:
    column = 0
    for letter in letters.upper():
        column = column * 26 + letter - 64
    return column


def _too_wide(path: Path, wide: int, tall: int) -> SheetError:
    remedy = "delete the empty rows and columns to the right and below, and save it again"
    return refused(path, f"a sheet of {wide} columns and {tall} rows", remedy)


def _too_large(path: Path, cause: str) -> SheetError:
    return refused(path, cause, RAISE.format(4 * most_mb()))
