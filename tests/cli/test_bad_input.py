"""A list or a mapping that will not do: place, cause, remedy, exit code, and nothing taken in."""

import zipfile
from pathlib import Path

import pytest
from refusals import LIST, book, refused

OLE = bytes.fromhex("D0CF11E0A1B11AE1")


def rewritten(path, part, old, new):
    """The same workbook with a few bytes of one part changed."""
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    assert old in parts[part]
    parts[part] = parts[part].replace(old, new, 1)
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in parts.items():
            archive.writestr(name, data)


@pytest.mark.parametrize(
    ("name", "data", "cause", "remedy"),
    [
        ("empty.csv", b"", "the file is empty", "save the list again"),
        ("zeros.csv", b"\0" * 4096, "the file is empty", "save the list again"),
        ("list.pdf", b"%PDF-1.7 ...", "a PDF, not a table", "export the list as XLSX or CSV"),
        ("plate.png", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "a picture, not a table", "export"),
        ("plant.csv", b"SQLite format 3\0" + b"\1\0" * 90, "a database, not a table", "export"),
        (
            "letter.txt",
            b"Dear all,\nthe pump, the old one, hums.\n",
            "no row of headings",
            "name the heading row in a mapping",
        ),
        ("data.json", b'{"tag": "P-1"}', "no row of headings", "name the heading row"),
        ("wide.csv", b"Tag" + b",x" * 1_000_000 + b"\n", "a line of 1000001 columns", "delimiter"),
        ("nul.csv", b"Tag,HP\nP-1,5\x000\n", "a NUL byte in line 2", "save the list as"),
        ("padded.csv", LIST.encode() + b"\0" * 512, "a NUL byte in line 4", "save the list as"),
        ("four.csv", LIST.encode("utf-32"), "a NUL byte in line 1", "save the list as"),
        ("torn.csv", LIST.encode("utf-16") + b"\x0a", "broken UTF-16 text", "UTF-8 CSV"),
        ("text.xlsx", b"not a workbook", "no sound workbook", "save it again"),
        ("torn.xlsx", b"PK\3\4torn", "no sound workbook", "open it in a spreadsheet program"),
        ("torn.xls", OLE + b"\xa5" * 2000, "no sound workbook", "open it in a spreadsheet"),
        (
            "locked.xlsx",
            OLE + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le"),
            "protected by a password",
            "save a copy without one",
        ),
    ],
)
def test_a_list_that_cannot_be_read(startroll, untouched, name, data, cause, remedy):
    path = untouched.with_name(f"given-{name}")
    path.write_bytes(data)
    refused(startroll("take-in", path), 2, path.name, cause, remedy)


def test_a_list_that_is_not_there_and_a_folder_without_one(startroll, untouched):
    refused(startroll("take-in", "gone.csv"), 2, "gone.csv", "no such file", "check the name")
    refused(startroll("take-in", "."), 2, ".", "a folder without a CSV", "name the list itself")


def test_every_list_that_is_wrong_is_named_at_once(startroll, untouched):
    for name in ("one.csv", "two.csv"):
        Path(name).write_bytes(b"")
    for typed in (["one.csv", "two.csv"], ["."]):
        ran = startroll("take-in", *typed)
        assert ran.code == 2
        assert ran.err.count("the file is empty") == 2


@pytest.mark.parametrize("reach", ["XFD1048576", "ZZZZ2", "C1048576"])
def test_a_cell_so_far_out_that_no_machine_holds_the_sheet(startroll, untouched, reach):
    row = ["P-1", 50, *range(60)]
    path = book(untouched.with_name("far.xlsx"), [["Tag", "HP"], row])
    rewritten(path, "xl/worksheets/sheet1.xml", b'<c r="B2"', f'<c r="{reach}"'.encode())
    refused(startroll("take-in", path), 2, "far.xlsx", "columns and", "delete the empty rows")


def test_a_workbook_with_a_flipped_byte_is_refused(startroll, untouched):
    path = book(untouched.with_name("list.xlsx"), [["Tag", "HP"], ["P-1", 50]])
    data = bytearray(path.read_bytes())
    with zipfile.ZipFile(path) as archive:
        start = archive.getinfo("xl/worksheets/sheet1.xml").header_offset
    data[start + 90] ^= 0x55
    path.write_bytes(data)
    refused(startroll("take-in", path), 2, "list.xlsx", "no sound workbook", "save it again")


@pytest.mark.parametrize("encoding", ["utf-8-sig", "latin-1", "utf-16", "utf-16-le", "utf-16-be"])
def test_text_as_programs_save_it_is_read(startroll, plant, encoding):
    path = plant.with_name("liste.csv")
    path.write_bytes("Tag;Area;kW\nP-9;Süßwasser-Kühlturm;15\n".encode(encoding))
    ran = startroll("take-in", path)
    assert ran.code == 0, ran.err
    assert "Süßwasser-Kühlturm" in startroll("show", "P-9", "--json").out


def test_a_workbook_with_macros_is_read_as_data(startroll, plant):
    path = book(plant.with_name("list.xlsm"), [["Tag", "Area"], ["P-9", "Wet end"]])
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr("xl/vbaProject.bin", b"\xd0\xcf")
    ran = startroll("take-in", path)
    assert ran.code == 0
    assert "macros; they were not run" in ran.out
    assert "Wet end" in startroll("show", "P-9", "--json").out


MAPPINGS = [
    ("", "begins with `sheets:`", "see docs/guide"),
    ("sheets: [", "no sound YAML", "correct that line"),
    ("[" * 2000, "brackets inside brackets", "write it plainly"),
    ("[" * 990 + "]" * 990, "brackets inside brackets", "write it plainly"),
    ("sheets: {list: 3}", "answers belong here", "`key: value`"),
    ("sheets: {list: {colour: red}}", "unknown key 'colour'", "one of"),
    ("sheets: {list: {skip: perhaps}}", "skip: 'perhaps'", "one of false, no, true, yes"),
    ("sheets: {list: {sections: [bus]}}", "sections: ['bus']", "one of area, bus, ignore"),
    ("sheets: {list: {header row: first}}", "is no row", "count from 1"),
    ("sheets: {list: {constants: [bus]}}", "constants: answers belong here", "`key: value`"),
    ("sheets: {list: {headings: [HP]}}", "headings: answers belong here", "`key: value`"),
    ("sheets: {list: {headings: {HP: powr_kw}}}", "no column 'powr_kw'", "did you mean power_kw?"),
    ("sheets: {list: {headings: {HP: {column: [a]}}}}", "column: ['a']", "one word"),
    (
        "sheets: {list: {headings: {HP: {column: power_kw, unit: furlong}}}}",
        "'furlong' is not a unit of power_kw",
        "kept in kW",
    ),
    ("sheets: {list: {headings: {FLA: {column: fla_a, unit: kW}}}}", "'kW' is not a unit", "kept in A"),
    ("sheets: {list: {headings: {HP: {unit: kW}}}}", "unit 'kW' of no column", "say `column:`"),
    ("sheets: {list: {headings: {HP: {column: power_kw, words: x}}}}", "words: answers", "key"),
]


@pytest.mark.parametrize(("text", "cause", "remedy"), MAPPINGS, ids=[m[0][:60] for m in MAPPINGS])
def test_a_mapping_that_is_not_sound(startroll, untouched, text, cause, remedy):
    Path("list.csv").write_text(LIST)
    Path("answers.yml").write_text(text)
    ran = startroll("take-in", "list.csv", "--mapping", "answers.yml")
    refused(ran, 2, "answers.yml", cause, remedy)


def test_a_mapping_that_is_no_text(startroll, untouched):
    Path("list.csv").write_text(LIST)
    book("answers.xlsx", [["Tag"]])
    ran = startroll("take-in", "list.csv", "--mapping", "answers.xlsx")
    refused(ran, 2, "answers.xlsx", "not UTF-8 text", "a .yml")
