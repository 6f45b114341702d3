"""Files that would take all memory or never end are refused in words before they are read."""

import io
import os
import zipfile

import pytest

from register.errors import SheetError
from register.intake import input_bounds, sheet

# fmt: off
# A cell far out, in each of the forms that XML allows: a reader lays out everything between.
FAR = {
    "where sheets lie": ("xl/worksheets/sheet1.xml", b'<worksheet><sheetData><row r="1048576"><c r="XFD1048576"/></row></sheetData></worksheet>'),
    "elsewhere": ("xl/ws/one.xml", b'<worksheet><sheetData><row><c r="XFD1048576"/></row></sheetData></worksheet>'),
    "at the root": ("other/s.xml", b'<x:worksheet><x:sheetData><x:c r="XFD1048576"/></x:sheetData></x:worksheet>'),
    "single quotes": ("xl/worksheets/sheet1.xml", b"<worksheet><sheetData><c r='XFD1048576'/></sheetData></worksheet>"),
    "a line break before": ("xl/worksheets/sheet1.xml", b'<worksheet><sheetData><c\nr = "XFD1048576"/></sheetData></worksheet>'),
    "small letters": ("xl/worksheets/sheet1.xml", b'<worksheet><sheetData><c r="xfd1048576"/></sheetData></worksheet>'),
    "rows repeated": ("content.xml", b'<table:table-row table:number-rows-repeated="4000000000"><table:table-cell/></table:table-row>'),
    "columns repeated": ("content.xml", b"<table:table-cell table:number-columns-repeated = '900000'/>"),
}
# fmt: on


def book(**parts):
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    return made.getvalue()


@pytest.mark.parametrize("name", FAR)
def test_one_stray_cell_far_out_is_refused_however_it_is_written(tmp_path, name):
    part, text = FAR[name]
    path = tmp_path / "list.xlsx"
    path.write_bytes(book(**{part: text}))
    with pytest.raises(SheetError, match=r"columns and .* rows"):
        sheet.read(path)


def test_what_unpacks_to_too_much_is_refused_unread(tmp_path):
    path = tmp_path / "list.xlsx"
    path.write_bytes(book(**{"xl/sharedStrings.xml": b"0" * 260_000_000}))
    assert path.stat().st_size < 1_000_000
    with pytest.raises(SheetError, match="unpacks to 260 MB; up to 250 MB") as caught:
        sheet.read(path)
    assert "STARTROLL_MOST_MB=200" in caught.value.problems[0].remedy


def test_a_limit_is_raised_by_its_option(tmp_path, monkeypatch):
    path = tmp_path / "list.csv"
    path.write_bytes(b"Tag,HP\nP-1,5\n")
    monkeypatch.setattr(input_bounds, "MOST_MB", 0)
    with pytest.raises(SheetError, match="up to 0 MB"):
        sheet.read(path)
    monkeypatch.setenv("STARTROLL_MOST_MB", "1")
    assert sheet.read(path)[0].rows == [["Tag", "HP"], ["P-1", "5"]]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes of POSIX")
def test_pipes_and_devices_are_no_lists(tmp_path):
    pipe = tmp_path / "list.csv"
    os.mkfifo(pipe)
    endless = tmp_path / "endless.csv"
    endless.symlink_to("/dev/zero")
    for path in (pipe, endless):
        with pytest.raises(SheetError, match="no plain file"):
            sheet.read(path)
