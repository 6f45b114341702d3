"""Cells of an XLSX that are struck out, whole or in part, and rows that are hidden."""

from __future__ import annotations

import re
import zipfile

from register.text import whole

Place = tuple[int, str]  # row counted from 0, letters of the column

_CELL = re.compile(rb"<c ([^>]*)>(?:<v>(\d+)</v>)?")
_HIDDEN_ROW = re.compile(rb'<row [^>]*\bhidden="1"')
_STRIKE = re.compile(rb"<strike(?! val=\"(?:0|false)\")")


def marked(archive: zipfile.ZipFile, part: str) -> tuple[set[Place], int]:
    """The struck-out cells of one sheet's part, and how many of its rows are hidden."""
    there = set(archive.namelist())
    text = archive.read(part) if part in there else b""
    styles = _struck_styles(archive.read("xl/styles.xml")) if "xl/styles.xml" in there else set()
    shared = _struck_texts(archive.read("xl/sharedStrings.xml")) if "xl/sharedStrings.xml" in there else set()
    struck: set[Place] = set()
    for tag, value in _CELL.findall(text) if styles or shared else ():
        style, place = re.search(rb' s="(\d+)"', tag), re.search(rb'r="([A-Z]+)(\d+)"', tag)
        in_text = bool(value) and b't="s"' in tag and whole(value) in shared
        if place and (in_text or (style and whole(style[1]) in styles)):
            struck.add((whole(place[2]) - 1, place[1].decode()))
    return struck, len(_HIDDEN_ROW.findall(text))


def _struck_styles(text: bytes) -> set[int]:
    """The numbers of the cell styles whose font is struck out."""
    fonts = re.search(rb"<fonts\b.*?</fonts>", text, re.DOTALL)
    cells = re.search(rb"<cellXfs\b.*?</cellXfs>", text, re.DOTALL)
    if b"<strike" not in text or not fonts or not cells:
        return set()
    each = re.findall(rb"<font\b(?:[^>]*/>|.*?</font>)", fonts[0], re.DOTALL)
    lined = {n for n, font in enumerate(each) if _STRIKE.search(font)}
    used = (re.search(rb'fontId="(\d+)"', xf) for xf in re.findall(rb"<xf\b[^>]*>", cells[0]))
    return {n for n, found in enumerate(used) if found and whole(found[1]) in lined}


def _struck_texts(text: bytes) -> set[int]:
    """The numbers of the shared texts of which a part is struck out."""
    if b"<strike" not in text:
        return set()
    each = re.findall(rb"<si\b(?:[^>]*/>|.*?</si>)", text, re.DOTALL)
    return {n for n, one in enumerate(each) if _STRIKE.search(one)}
