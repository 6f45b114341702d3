"""Files that would take all memory or never end are refused in words before they are read."""

import io
import os
import pickle
import signal
import sys
import time
import zipfile

import pytest
import refusals

from register.errors import Problem, SheetError
from register.intake import input_bounds, sheet
from register.intake.within_bounds import within_bounds

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


LINES = b"Tag,HP\n" + b"".join(b"P-%d,5\n" % number for number in range(200_000))
T = '<table:table-cell office:value-type="string"%s><text:p>%s</text:p></table:table-cell>'


MANIFEST = "<manifest:manifest xmlns:manifest='urn:oasis:names:tc:opendocument:xmlns:manifest:1.0'/>"


def ods(rows):
    space = 'xmlns:%s="urn:oasis:names:tc:opendocument:xmlns:%s:1.0"'
    spaces = " ".join(space % (name, name) for name in ("office", "table", "text"))
    content = (
        f"<office:document-content {spaces}><office:body><office:spreadsheet><table:table table:name='L'>"
        f"{rows}</table:table></office:spreadsheet></office:body></office:document-content>"
    )
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet", zipfile.ZIP_STORED)
        archive.writestr("META-INF/manifest.xml", MANIFEST)
        archive.writestr("content.xml", content)
    return made.getvalue()


# fmt: off
TOO_MUCH = {
    "a line that repeats a million times": ("list.ods", ods(f"<table:table-row table:number-rows-repeated='1000000'>{T % ('', 'P-1') * 40}</table:table-row>")),
    "cells that repeat in every line": ("list.ods", ods(("<table:table-row>" + T % (" table:number-columns-repeated='16000'", "1") + "</table:table-row>") * 20_000)),
    "rows without end": ("list.csv", b"Tag,HP\n" + b"ab,c\n" * 9_000_000),
    "a quote that is not closed": ("list.csv", b'Tag,HP\n"' + b"x,\n" * 10_000_000),
}
# fmt: on


@pytest.mark.skipif(sys.platform != "linux", reason="bounds on a process are those of Linux")
@pytest.mark.parametrize("what", TOO_MUCH)
def test_what_would_take_all_memory_is_refused_by_a_reader_of_its_own(what, tmp_path):
    name, data = TOO_MUCH[what]
    (tmp_path / name).write_bytes(data)
    with pytest.raises(SheetError, match=r"more than 650 MB of memory|field larger than") as caught:
        sheet.read(tmp_path / name)
    assert caught.value.problems[0].place.endswith(name) and caught.value.problems[0].remedy


def test_more_cells_than_are_taken_in_are_refused(tmp_path, monkeypatch):
    (tmp_path / "list.csv").write_bytes(LINES)
    monkeypatch.setattr(input_bounds, "MOST_MB", 3)
    monkeypatch.setattr(input_bounds, "MEMORY_MB", 300)
    with pytest.raises(SheetError, match="it has 400002 filled cells; up to 30000 are taken in"):
        sheet.read(tmp_path / "list.csv")
    monkeypatch.setenv("STARTROLL_MOST_MB", "50")
    assert len(sheet.read(tmp_path / "list.csv")[0].rows) == 200_001


def test_an_export_may_have_four_times_as_many_cells(tmp_path, monkeypatch):
    """What the register itself wrote out is taken back: its headings are columns, which need no understanding."""
    monkeypatch.setenv("STARTROLL_MOST_MB", "1")
    own, other, longer = (tmp_path / f"{name}.csv" for name in ("own", "other", "longer"))
    own.write_text("tag,power_kw\n" + "P-1,11\n" * 10_000)
    assert len(sheet.read(own)[0].rows) == 10_001
    other.write_text("tag,Power kW\n" + "P-1,11\n" * 10_000)
    with pytest.raises(SheetError, match="20002 filled cells; up to 10000 are"):
        sheet.read(other)
    longer.write_text("tag,power_kw\n" + "P-1,11\n" * 20_000)
    with pytest.raises(SheetError, match="40002 filled cells; up to 40000 are"):
        sheet.read(longer)


def test_empty_cells_without_end_are_refused(tmp_path, monkeypatch):
    (tmp_path / "list.csv").write_bytes(b"Tag,HP\n" + (b"," * 1900 + b"\n") * 700)
    monkeypatch.setattr(input_bounds, "CELLS", 20_000)
    with pytest.raises(SheetError, match="a sheet of 1901 columns and 701 rows"):
        sheet.read(tmp_path / "list.csv")


def raising(error):
    def work():
        raise error

    return work


@pytest.mark.skipif(sys.platform != "linux", reason="bounds on a process are those of Linux")
@pytest.mark.parametrize(
    ("work", "cause"),
    [
        (os.abort, "more than 650 MB of memory"),
        (raising(MemoryError()), "more than 650 MB of memory"),
        (lambda: bytearray(900 * 2**20), "more than 650 MB of memory"),
        (lambda: os.kill(os.getpid(), signal.SIGXCPU), "longer than 60 s"),
        (lambda: os._exit(3), "its reader ended with 3"),
    ],
)
def test_however_a_reader_ends_it_is_told(work, cause, tmp_path, capfd):
    with pytest.raises(SheetError, match=cause) as caught:
        within_bounds(tmp_path / "list.xls", work)
    assert caught.value.problems[0].place.endswith("list.xls") and caught.value.problems[0].remedy
    assert capfd.readouterr().err == ""


def test_what_a_reader_finds_and_raises_comes_back_whole(tmp_path):
    assert within_bounds(tmp_path, lambda: [["P-1", 5.0, True, ""]]) == [["P-1", 5.0, True, ""]]
    with pytest.raises(ZeroDivisionError):
        within_bounds(tmp_path, lambda: 1 / 0)
    told = SheetError([Problem("a", "b", "c"), Problem("d", "e", "f")], summary="two")
    with pytest.raises(SheetError) as caught:
        within_bounds(tmp_path, raising(told))
    assert caught.value.problems == told.problems and str(caught.value) == str(told)


@pytest.mark.skipif(sys.platform != "linux", reason="a child process of Linux")
def test_an_interrupt_leaves_no_reader_behind(tmp_path, monkeypatch):
    def interrupted(_):
        raise KeyboardInterrupt

    fork, begun = os.fork, []

    def noted():
        begun.append(fork())
        return begun[-1]

    monkeypatch.setattr(os, "fork", noted)
    monkeypatch.setattr(pickle, "load", interrupted)
    with pytest.raises(KeyboardInterrupt):
        within_bounds(tmp_path, lambda: time.sleep(600))
    assert len(begun) == 1
    with pytest.raises(ChildProcessError):  # it has ended and was waited for
        os.waitpid(begun[0], os.WNOHANG)


@pytest.mark.parametrize("suffix", ["csv", "xlsx"])
def test_a_cell_longer_than_any_is_refused(suffix, tmp_path):
    """32,767 letters are the most in one cell of a workbook (Microsoft, Excel specifications and limits)."""
    path = tmp_path / f"list.{suffix}"
    for letters in (32_767, 32_768):
        if suffix == "csv":
            path.write_text(f"Tag,HP,Remarks\nP-1,5,{'x' * letters}\n")
        else:
            refusals.book(path, [["Tag", "HP", "Remarks"], ["P-1", 5]])
            long_text_in(path, "P-1", "x" * letters)
        if letters == 32_767:
            assert sheet.read(path)
    with pytest.raises(SheetError, match=r"a cell of 32768 letters, which begins 'xxx.*'; up to 32767 are read"):
        sheet.read(path)


def long_text_in(path, old, new):
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    parts["xl/sharedStrings.xml"] = parts["xl/sharedStrings.xml"].replace(old.encode(), new.encode())
    path.write_bytes(book(**parts))
