"""The command that writes a round."""

DAY = ("--today", "2026-11-25")


def test_a_round_is_written_as_a_page_and_a_sheet(startroll, plant, tmp_path):
    page, sheet = tmp_path / "round.html", tmp_path / "round.xlsx"
    ran = startroll("round", "--to", str(page), "--to", str(sheet), "--where", "tag = 'P-1'", *DAY)
    assert ran.code == 0, ran.err
    assert page.read_text("utf-8").startswith("<!doctype html>") and sheet.read_bytes().startswith(b"PK")
    assert "at 1 place" in ran.out and "take-round" in ran.out
    again = startroll("round", "--to", str(page), *DAY)
    assert again.code == 2 and "something of that name already" in again.err


def test_the_worthiest_come_first(startroll, plant, tmp_path):
    ran = startroll("round", "--top", "1", "--to", str(tmp_path / "few.html"), *DAY)
    assert ran.code == 0, ran.err


def test_what_cannot_be_written_is_said_before_any_work(startroll, plant, tmp_path):
    ran = startroll("round", "--to", str(tmp_path / "round.pdf"), "--to", str(tmp_path / "round.doc"), *DAY)
    assert ran.code == 2 and ran.err.count("a round is a page or a sheet") == 2
    twice = str(tmp_path / "round.html")
    assert "two files are to be written to one place" in startroll("round", "--to", twice, "--to", twice, *DAY).err
    assert "there is no bus 'MCC-9'" in startroll("round", "--bus", "MCC-9", "--to", twice, *DAY).err
    assert startroll("round", "--where", "nosuch = 1", "--to", twice, *DAY).code == 2


def test_labels_are_written_for_the_positions_asked(startroll, plant, tmp_path):
    sheet = tmp_path / "labels.html"
    ran = startroll("labels", "--where", "tag = 'P-1'", "--to", str(sheet), *DAY)
    assert ran.code == 0 and "1 labels" not in ran.out, ran.err
    text = sheet.read_text("utf-8")
    assert text.count("<svg") == 1 and "P-1" in text and "http:" not in text.replace("http://www.w3.org", "")
    assert startroll("labels", "--where", "tag = 'none'", "--to", str(tmp_path / "x.html"), *DAY).code == 2
