"""Files that can and cannot be read: every refusal says where, why, and what to do."""

import zipfile

import pytest

from register.errors import SheetError
from register.intake.sheet import letters, number, read

pytest_plugins = ["intake_plant"]

LIST = "Tag,HP,Volts\nP-1,50,460\n"


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("empty.csv", b"", "empty"),
        ("blank.csv", b"\r\n\r\n,,\r\n", "empty"),
        ("list.pdf", b"%PDF-1.7 ...", "PDF"),
        ("nul.csv", b"Tag,HP\nP-1,5\x000\nP-2,60\n", "NUL byte in line 2"),
        ("text.xlsx", b"not a workbook", "no sound workbook"),
        ("torn.xlsx", b"PK\x03\x04torn off", "no sound workbook"),
        (
            "locked.xlsx",
            bytes.fromhex("D0CF11E0A1B11AE1") + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le"),
            "password",
        ),
        ("wide.csv", b"Tag," + b"x," * 1_000_000 + b"\n", "columns"),
        ("cell.csv", b'Tag,HP\n"' + b"x" * 200_000 + b'",1\n', "no sound CSV"),
    ],
)
def test_what_cannot_be_read_is_refused_with_place_cause_remedy(tmp_path, name, data, words):
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(SheetError) as refused:
        read(path)
    (problem,) = refused.value.problems
    assert words in problem.cause
    assert str(path) in problem.place
    assert problem.remedy


def test_missing_files_and_folders(tmp_path):
    with pytest.raises(SheetError, match="no such file"):
        read(tmp_path / "nowhere.csv")
    with pytest.raises(SheetError, match="without a CSV"):
        read(tmp_path)


@pytest.mark.parametrize(
    ("encoding", "note"),
    [
        ("utf-8", ()),
        ("utf-8-sig", ()),
        ("utf-16", ("read as UTF-16",)),
        ("utf-16-le", ("read as UTF-16",)),
        ("latin-1", ("read as Latin-1 (Windows 1252)",)),
    ],
)
def test_text_in_the_encodings_that_programs_save(tmp_path, encoding, note):
    path = tmp_path / "list.csv"
    path.write_bytes("Tag;Leistung\nP-1;Lüfter für Kühlturm\n".encode(encoding))
    (sheet,) = read(path)
    assert sheet.rows[1] == ["P-1", "Lüfter für Kühlturm"]
    assert sheet.notes == note


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
def test_the_delimiter_is_found(tmp_path, mark):
    path = tmp_path / "list.csv"
    path.write_text(LIST.replace(",", mark), encoding="utf-8")
    assert read(path)[0].rows[1] == ["P-1", "50", "460"]


def test_a_workbook_with_macros_is_read_and_said_to_be_one(plant):
    plain = plant.book("plain.xlsx", list=[["Tag", "HP"], ["P-1", 50]])
    macros = plant.folder / "list.xlsm"
    macros.write_bytes(plain.read_bytes())
    with zipfile.ZipFile(macros, "a") as archive:
        archive.writestr("xl/vbaProject.bin", b"\xd0\xcf")
    (sheet,) = read(macros)
    assert sheet.rows[1] == ["P-1", 50.0]
    assert "macros" in sheet.notes[0]


def test_a_used_range_no_machine_can_hold_is_refused_before_it_is_read(plant):
    path = plant.book("far.xlsx", list=[["Tag"]])
    with zipfile.ZipFile(path) as archive:
        parts = {n: archive.read(n) for n in archive.namelist()}
    name = "xl/worksheets/sheet1.xml"
    parts[name] = parts[name].replace(b'ref="A1"', b'ref="A1:XFD1048576"')
    with zipfile.ZipFile(path, "w") as archive:
        for part, data in parts.items():
            archive.writestr(part, data)
    with pytest.raises(SheetError, match="16384 columns"):
        read(path)


def test_errors_of_the_spreadsheet_are_not_blanks(plant):
    path = plant.book("list.xlsx", cover=[["x"]], list=[["Tag", "HP"], ["P-1", "#REF!"]])
    assert read(path)[1].rows[1] == ["P-1", "#REF!"]


def test_ods_is_read(tmp_path):
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.table import Table, TableCell, TableRow
    from odf.text import P

    book, table = OpenDocumentSpreadsheet(), Table(name="MCC-1")
    for line in (["Tag", "HP"], ["P-1", "50 hp"]):
        row = TableRow()
        for text in line:
            cell = TableCell(valuetype="string")
            cell.addElement(P(text=text))
            row.addElement(cell)
        table.addElement(row)
    book.spreadsheet.addElement(table)
    book.save(str(tmp_path / "list.ods"))
    (sheet,) = read(tmp_path / "list.ods")
    assert sheet.rows == [["Tag", "HP"], ["P-1", "50 hp"]]
    assert sheet.address(1, 1) == "MCC-1!B2"


def test_letters_and_numbers_are_each_others_inverse():
    assert all(number(letters(i)) == i for i in range(20_000))
