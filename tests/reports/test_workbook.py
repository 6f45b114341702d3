"""The workbook: read back by another library and by another program, equal to the report."""

import io
import os
import shutil
import subprocess

import pytest
from python_calamine import CalamineWorkbook
from report_cases import HOSTILE, demo, hostile

from register.reports import book, workbook
from register.text import neutral, visible

# How far a number in a cell may lie from the one that was worked out.
DIGITS = 5e-6  # six figures
WORKED_OUT = 5e-3  # three figures of what was worked out: more would be more than anyone has read
SHEETS = [
    "summary",
    "charts",
    "to carry",
    "findings",
    "values",
    "can't tell",
    "fields to read",
    "concessions",
    "actions",
    "rules",
    "to verify",
    "limits",
]


def _read(data):
    book = CalamineWorkbook.from_filelike(io.BytesIO(data))
    return {name: book.get_sheet_by_name(name).to_python() for name in book.sheet_names}


def _columns(sheet):
    return dict(zip(sheet[0], zip(*sheet[1:], strict=True), strict=True))


@pytest.fixture(scope="module")
def written(demo_report):
    return workbook.workbook(demo_report)


def test_the_sheets_and_their_sums(written, demo_report):
    read = _read(written)
    assert list(read) == SHEETS
    findings, rules = _columns(read["findings"]), _columns(read["rules"])
    assert list(findings["tag"]) == [f.at for f in demo_report.findings]
    assert sum(rules["failed"]) == len(demo_report.findings)
    assert sum(rules["can't tell"]) == len(read["can't tell"]) - 1
    assert [f.verdicts for f in demo_report.fields] == list(_columns(read["fields to read"])["verdicts"])
    to_verify = _columns(read["to verify"])
    assert list(to_verify["clause"]) == [v.clause for v in demo_report.to_verify]
    assert [int(n) for n in to_verify["failed majors"]] == [v.failed_majors for v in demo_report.to_verify]


def test_numbers_are_numbers_with_their_unit_beside_them(written, demo_report):
    findings = _columns(_read(written)["findings"])
    for found, margin, unit in zip(demo_report.findings, findings["margin"], findings["margin unit"], strict=True):
        assert unit == found.margin_unit
        assert margin == ("" if found.margin is None else pytest.approx(found.margin, rel=WORKED_OUT))
    values = _columns(_read(written)["values"])
    assert any(isinstance(value, float) for value in values["value"])


def test_the_same_report_gives_the_same_bytes(written, demo_report):
    assert workbook.workbook(demo_report) == written


@pytest.mark.parametrize("kind", HOSTILE)
def test_hostile_text_is_no_formula_and_whole_its_control_characters_seen(kind):
    text = HOSTILE[kind]
    data = workbook.workbook(hostile(text))
    read = _read(data)
    wanted = neutral(visible(text))
    kinds = [row[4] for row in read["values"][1:] if row[2] == "device_kind"]
    if len(text) <= book.CELL:
        assert kinds == [wanted]
    else:
        assert kinds[0].startswith(wanted[:1000]) and "long texts" in kinds[0]
        number = int(kinds[0].rsplit(" ", 1)[1])
        assert "".join(r[2] for r in read["long texts"][1:] if r[0] == number) == wanted
    for name in read:
        assert not any(str(cell).startswith(("=", "@")) for row in read[name] for cell in row)


def test_what_has_no_room_on_a_sheet_goes_on_in_another(monkeypatch, demo_report):
    monkeypatch.setattr(book, "LINES", 50)
    read = _read(workbook.workbook(demo_report))
    rows = [row for name in read if name.startswith("can't tell") for row in read[name][1:]]
    assert len(rows) == len(demo_report.evidence.unknowns)


@pytest.mark.dear
@pytest.mark.skipif(not shutil.which("soffice"), reason="LibreOffice is not installed here")
def test_libreoffice_opens_it_and_gives_it_back_equal(tmp_path, tmp_path_factory):
    part = demo(tmp_path_factory.mktemp("part"), area="Woodyard")
    if os.environ.get("STARTROLL_EXAMPLES"):
        odd = {kind: hostile(text) for kind, text in HOSTILE.items()}
    else:  # all in one, but for "long": LibreOffice measures a cell of 32,767 letters for three quarters of a minute
        odd = {"hostile": hostile(*(text for kind, text in HOSTILE.items() if kind != "long"))}
    made = {kind: workbook.workbook(report) for kind, report in {"an area": part, **odd}.items()}
    for kind, data in made.items():
        (tmp_path / f"{kind}.xlsx").write_bytes(data)
    subprocess.run(
        [
            "soffice",
            f"-env:UserInstallation=file://{tmp_path}/profile",
            "--headless",
            "--convert-to",
            "ods",
            "--outdir",
            tmp_path,
            *(tmp_path / f"{kind}.xlsx" for kind in made),
        ],
        check=True,
        capture_output=True,
        timeout=300,
    )
    for kind, data in made.items():
        came_back = _read((tmp_path / f"{kind}.ods").read_bytes())
        for name, rows in _read(data).items():
            assert _trimmed(came_back[name]) == _alike(_trimmed(rows)), (kind, name)


def _trimmed(rows):
    """Rows without the empty cells at their end."""
    made = []
    for row in rows:
        row = list(row)
        while row and row[-1] == "":
            row.pop()
        made.append(row)
    while made and not made[-1]:
        made.pop()
    return made


def _alike(rows):
    """The same rows, each number within the digits of a cell."""
    return [[pytest.approx(c, rel=DIGITS) if isinstance(c, float) else c for c in row] for row in rows]


def test_it_prints_on_paper_with_wrapped_text_heads_and_feet_and_days_are_days(written, demo_report):
    """ECMA-376: paper size 8 is A3, 9 is A4; a day is a number with a format of days."""
    from datetime import date
    from zipfile import ZipFile

    with ZipFile(io.BytesIO(written)) as book:
        styles = book.read("xl/styles.xml").decode()
        pages = [book.read(name).decode() for name in book.namelist() if name.startswith("xl/worksheets/sheet")]
    assert 'wrapText="1"' in styles and "yyyy-mm-dd" in styles
    for page in pages:
        assert 'orientation="landscape"' in page and ('paperSize="8"' in page or 'paperSize="9"' in page)
        assert demo_report.scope.site in page and "&amp;P / &amp;N" in page
    days = [row[1] for row in _read(written)["summary"] if row[0] == "day"]
    assert days == [date.fromisoformat(demo_report.scope.today)]


def test_links_lead_to_the_row_that_they_name_and_back(written, demo_report):
    """Read with the file format's own words (ECMA-376, 18.3.1.47): each link's place holds the text that led there."""
    sheets, links = _read(written), _links(written)
    for name, there in links.items():
        for cell, (sheet, row) in there.items():
            assert sheet in sheets and row <= len(sheets[sheet]), (name, cell)
    do_first = [row[0] for row in sheets["summary"]]
    start = do_first.index("do first") + 1
    for number in range(start, start + 10):
        sheet, row = links["summary"][f"A{number + 1}"]
        assert sheet == "findings" and sheets[sheet][row - 1][0] == do_first[number]
    for number, found in enumerate(demo_report.findings):
        sheet, row = links["findings"][f"A{number + 2}"]
        carried = sheets[sheet][row - 1]
        assert (sheet, carried[2], carried[5]) == ("to carry", found.at, neutral(visible(found.sentence)))
        assert links["to carry"][f"C{row}"] == ("findings", number + 2)
    assert all(links[name]["A1"] == ("summary", 1) for name in SHEETS[1:])


def _links(data):
    """sheet → cell → (sheet, row) to which it leads."""
    import re
    from zipfile import ZipFile

    made = {}
    with ZipFile(io.BytesIO(data)) as packed:
        names = re.findall(r'<sheet name="([^"]*)"', packed.read("xl/workbook.xml").decode())
        for number, name in enumerate(names, 1):
            text = packed.read(f"xl/worksheets/sheet{number}.xml").decode()
            found = re.findall(r'<hyperlink ref="(\w+)" location="\'(.*?)\'!A(\d+)"', text)
            made[name.replace("&apos;", "'")] = {cell: (sheet, int(row)) for cell, sheet, row in found}
    return made


def test_a_crew_walks_lineup_by_lineup_with_all_that_stands(written, demo_report):
    carried = _columns(_read(written)["to carry"])
    lineups = list(dict.fromkeys(carried["lineup"]))
    assert sorted(carried["lineup"], key=lineups.index) == list(carried["lineup"])
    assert len(carried["position"]) == sum(not f.conceded for f in demo_report.findings)
    assert set(carried["done"]) == {"☐"} and all(carried["what to do"]) and all(carried["takes"])


def test_a_worked_out_number_stays_on_its_side_of_what_it_is_held_to():
    """Three figures of 99.96 would be 100: the limit that it does not reach."""
    assert book.worked_out(99.96, [100.0]) == 99.96
    assert book.worked_out(-0.0004567) == -0.000457
