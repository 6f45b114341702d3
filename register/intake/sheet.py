"""A plant's list as cells: CSV, XLSX, XLSM, XLS or ODS, each cell with its address.

Workbooks are read with python-calamine: one reader for all of their formats, values as typed, no
formula is run and no macro is loaded.
"""

from __future__ import annotations

import csv
import hashlib
import io
import os
import re
import zipfile
import zlib
from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from python_calamine import CalamineError, CalamineWorkbook, PasswordError, ZipError

from register.errors import Problem, SheetError
from register.intake import struck as struck_out
from register.intake.input_bounds import MOST_COLUMNS, check_filled, check_unpacked, data_of, refused
from register.intake.within_bounds import within_bounds
from register.text import whole

ZIP, OLE = b"PK\x03\x04", bytes.fromhex("D0CF11E0A1B11AE1")
FOREIGN = {
    b"%PDF": "a PDF",
    b"SQLite format 3\x00": "a database",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
}
ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
BOOKS = {".xlsx", ".xlsm", ".xls", ".xlsb", ".ods"}
TORN = (zipfile.BadZipFile, zlib.error, EOFError, ValueError, OSError, RuntimeError)
DELIMITERS = ",;\t|"
# Text of that length is read where it is: it holds no more than it says.
IN_PLACE_BYTES = 1_000_000


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table of cells; `name` is the sheet's (a CSV's is the file's stem).

    A list with a row for each value was turned: `turned` says where each cell stood, `folded` how many filled
    cells (a tag on each of its rows) there are no more.
    """

    file: str
    name: str
    rows: list[list[Any]]
    hash: str
    is_book: bool = False
    notes: tuple[str, ...] = ()
    struck: frozenset[tuple[int, int]] = frozenset()
    turned: dict[tuple[int, int], tuple[int, int]] | None = None
    folded: int = 0

    def address(self, row: int, col: int) -> str:
        """The address of a cell counted from 0: `MCC-1!F14`, in a CSV `F14`."""
        row, col = (self.turned or {}).get((row, col), (row, col))
        cell = f"{letters(col)}{row + 1}"
        return f"{self.name}!{cell}" if self.is_book else cell

    def line(self, row: int) -> int:
        """The number of a row in the file, counted from 1."""
        return (self.turned or {}).get((row, 0), (row, 0))[0] + 1

    def place(self, row: int, col: int) -> str:
        """File and address, for a message."""
        return f"{self.file} {self.address(row, col)}"


def letters(col: int) -> str:
    """The spreadsheet letters of a column counted from 0.

    >>> letters(0), letters(26), letters(701), letters(702)
    ('A', 'AA', 'ZZ', 'AAA')
    """
    text = ""
    col += 1
    while col:
        col, rest = divmod(col - 1, 26)
        text = chr(65 + rest) + text
    return text


def number(letters: str) -> int:
    """The column, counted from 0, of spreadsheet letters.

    >>> number("A"), number("AA"), number("AAA")
    (0, 26, 702)
    """
    col = 0
    for letter in letters:
        col = col * 26 + ord(letter) - 64
    return col - 1


def read(path: Path) -> list[Sheet]:
    """Every sheet of a file, or of every CSV in a folder; SheetError when it cannot be read."""
    if path.is_dir():
        files = sorted(path.glob("*.csv"))
        if not files:
            raise refused(path, "a folder without a CSV file", "name the list itself")
        return read_all(files)
    data = data_of(path)
    if not data.strip(b"\x00\r\n\t ,;\xef\xbb\xbf"):
        raise refused(path, "the file is empty", "save the list again and name that file")
    digest = hashlib.sha256(data).hexdigest()
    for mark, what in FOREIGN.items():
        if data.startswith(mark):
            raise refused(path, f"{what}, not a table of cells", "export the list as XLSX or CSV")
    book = data.startswith((ZIP, OLE)) or path.suffix.lower() in BOOKS
    work = partial(_sheets, path, data, digest, book)
    return work() if not book and len(data) < IN_PLACE_BYTES else within_bounds(path, work)


def _sheets(path: Path, data: bytes, digest: str, book: bool) -> list[Sheet]:
    """The sheets of a file, which is refused when they hold too much."""
    sheets = _book(path, data, digest) if book else [_csv(path, data, digest)]
    check_filled(path, [sheet.rows for sheet in sheets])
    return sheets


def read_all(paths: Iterable[Path]) -> list[Sheet]:
    """Every sheet of several files; SheetError with all that is wrong in all of them."""
    sheets: list[Sheet] = []
    problems: list[Problem] = []
    for path in paths:
        try:
            sheets += read(path)
        except SheetError as error:
            problems += error.problems
    if problems:
        raise SheetError(problems)
    return sheets


def _book(path: Path, data: bytes, digest: str) -> list[Sheet]:
    if data.startswith(OLE) and ENCRYPTED in data:
        raise _locked(path)
    try:
        if data.startswith(ZIP):
            check_unpacked(path, data)
        with _panics_as_errors():
            book = CalamineWorkbook.from_filelike(io.BytesIO(data))
            names = book.sheet_names
            tables = [book.get_sheet_by_name(n).to_python(skip_empty_area=False) for n in names]
        _show_errors(data, names, tables)
        struck, hidden_rows = _marked(data, names)
    except PasswordError:
        raise _locked(path) from None
    except (CalamineError, ZipError, *TORN) as error:
        cause = f"no sound workbook ({error})"
        raise refused(path, cause, "open it in a spreadsheet program and save it again") from None
    hidden = {m.name for m in book.sheets_metadata if not str(m.visible).endswith(".Visible")}
    macros = path.suffix.lower() == ".xlsm" or b"vbaProject.bin" in data
    note = ("the workbook carries macros; they were not run",) if macros else ()
    notes = {n: note + ((f"sheet {n!r} is hidden",) if n in hidden else ()) for n in names}
    for name, count in hidden_rows.items():
        notes[name] += (f"sheet {name!r}: {count} hidden rows are read like the others",)
    return [
        Sheet(path.name, name, rows, digest, True, notes[name], frozenset(struck.get(name, ())))
        for name, rows in zip(names, tables, strict=True)
    ]


@contextmanager
def _panics_as_errors() -> Iterator[None]:
    """Have the reader's panic, which is no Exception and prints of itself, be an error like its others."""
    heard = os.dup(2)
    silent = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(silent, 2)
        yield
    except BaseException as error:
        if type(error).__name__ != "PanicException":
            raise
        raise CalamineError("its parts do not fit together") from None
    finally:
        os.dup2(heard, 2)
        os.close(heard)
        os.close(silent)


def _marked(data: bytes, names: list[str]) -> tuple[dict[str, set[tuple[int, int]]], dict[str, int]]:
    """By sheet of an XLSX: the cells that are struck out, and how many rows are hidden."""
    struck: dict[str, set[tuple[int, int]]] = {}
    hidden: dict[str, int] = {}
    if not data.startswith(ZIP) or b"xl/" not in data:
        return struck, hidden
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        for name, part in zip(names, _parts(archive), strict=False):
            cells, count = struck_out.marked(archive, part)
            if count:
                hidden[name] = count
            if cells:
                struck[name] = {(row, number(column)) for row, column in cells}
    return struck, hidden


def _show_errors(data: bytes, names: list[str], tables: list[list[list[Any]]]) -> None:
    """Put #REF! and its like back: the reader makes them blank, and a blank is not an error."""
    if not data.startswith(ZIP) or b"xl/" not in data:
        return
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        for name, part in zip(names, _parts(archive), strict=False):
            text = archive.read(part) if part in archive.namelist() else b""
            if b't="e"' not in text:
                continue
            rows = tables[names.index(name)]
            for tag, value in _ERROR_CELL.findall(text):
                found = re.search(rb'r="([A-Z]+)(\d+)"', tag)
                if b't="e"' in tag and found:
                    row, col = whole(found[2]) - 1, number(found[1].decode())
                    if row < len(rows) and col < len(rows[row]):
                        rows[row][col] = value.decode()


_ERROR_CELL = re.compile(rb"<c ([^>]*)>(?:<f[^>]*/>|<f[^>]*>[^<]*</f>)?<v>(#[^<]*)</v>")


def _parts(archive: zipfile.ZipFile) -> list[str]:
    """The files of an XLSX's sheets, in the order of its tabs."""
    space = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
    try:
        book = ElementTree.fromstring(archive.read("xl/workbook.xml"))
        links = ElementTree.fromstring(archive.read("xl/_rels/workbook.xml.rels"))
    except (KeyError, ElementTree.ParseError):
        return []
    target = {link.get("Id"): str(link.get("Target")) for link in links}
    sheets = [node for node in book.iter() if node.tag.endswith("}sheet")]
    paths = [target.get(node.get(space), "") for node in sheets]
    return [p.lstrip("/") if p.startswith("/") else f"xl/{p}" for p in paths]


def _locked(path: Path) -> SheetError:
    return refused(path, "the workbook is protected by a password", "save a copy without one and name that")


def _csv(path: Path, data: bytes, digest: str) -> Sheet:
    text, note = _decoded(path, data)
    delimiter = _delimiter(text)
    try:
        rows: list[list[Any]] = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    except csv.Error as error:
        raise refused(path, f"no sound CSV ({error})", "save it again as CSV") from None
    wide = max(map(len, rows), default=0)
    if wide > MOST_COLUMNS:
        raise refused(
            path,
            f"a line of {wide} columns; {MOST_COLUMNS} can be read",
            "check the delimiter, or that this is the right file",
        )
    return Sheet(path.name, path.stem, rows, digest, False, note)


def _decoded(path: Path, data: bytes) -> tuple[str, tuple[str, ...]]:
    encoding = _wide(data)
    if encoding:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            raise refused(path, "broken UTF-16 text", "save it again as UTF-8 CSV") from None
        if "\x00" not in text:
            return text, ("read as UTF-16",)
    if b"\x00" in data:
        line = data[: data.index(b"\x00")].count(b"\n") + 1
        cause = f"a NUL byte in line {line}: this is no text file"
        raise refused(path, cause, "save the list as XLSX or CSV")
    try:
        return data.decode("utf-8-sig"), ()
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace"), ("read as Latin-1 (Windows 1252)",)


def _wide(data: bytes) -> str:
    """The encoding of text in two bytes a character; most of them have one that is NUL."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    even, odd = data[0:400:2].count(0), data[1:400:2].count(0)
    if max(even, odd) < 0.2 * len(data[0:400:2]) or min(even, odd) > 0.2 * max(even, odd):
        return ""
    return "utf-16-le" if odd > even else "utf-16-be"


def _delimiter(text: str) -> str:
    """The mark that splits the first lines into the same number of cells most often."""
    lines = text.splitlines()[:60]

    def regular(mark: str) -> tuple[int, int]:
        widths = Counter(len(row) for row in csv.reader(lines, delimiter=mark) if len(row) > 1)
        return widths.most_common(1)[0][::-1] if widths else (0, 0)

    try:
        return max(DELIMITERS, key=regular)
    except csv.Error:
        return ","
