"""The review pack: made again it is the same, and no change to it goes unseen."""

import base64
import gzip
import json
import os
import random
import re
import shutil
import subprocess
import zipfile

import by_path
import pytest
from by_path import of_register
from report_cases import TODAY
from sample_plant import Sample

from register.audit.annual_review import ReviewDocument
from register.errors import PackError, StartrollError
from register.maintenance.year import year_of_work
from register.reports import review
from register.reports.page.data import packed
from register.store.database import opened, writing


@pytest.fixture(scope="module")
def register(tmp_path_factory):
    return Sample("small-plant", tmp_path_factory.mktemp("small")).path


@pytest.fixture(scope="module")
def made(register, tmp_path_factory):
    """The pack as a zip and as a folder."""
    folder = tmp_path_factory.mktemp("packs")
    for name in ("pack.zip", "pack"):
        by_path.make_review(register, folder / name, today=TODAY)
    return folder


@pytest.fixture
def pack(made, tmp_path):
    return shutil.copytree(made / "pack", tmp_path / "pack")


@pytest.fixture
def zipped(made, tmp_path):
    return shutil.copy(made / "pack.zip", tmp_path / "pack.zip")


def test_it_holds_what_was_judged_by_what_and_with_what_result(pack):
    names = {p.relative_to(pack).as_posix() for p in pack.rglob("*") if p.is_file()}
    assert {
        "review.html",
        "findings.html",
        "findings.xlsx",
        "report.json",
        "report.sarif",
        "register/motor.csv",
        "rules/pack/limits.yml",
        "rules/pack/pack.yml",
        "MANIFEST.sha256",
    } <= names
    text = (pack / "review.html").read_text(encoding="utf-8")
    for title in (
        "Summary and conclusions",
        "Scope and its limits",
        "Method",
        "Criteria",
        "Limits in force",
        "Findings",
        "Can’t tell",
        "Sign-off",
    ):
        assert f">{title}</h" in text


def test_it_holds_what_the_year_s_work_showed(register, pack):
    """The same that `startroll year` shows: as data, and as a section with each area and each age of open actions."""
    with opened(register) as db:
        year = year_of_work(db, today=TODAY)
    data = json.loads((pack / "year.json").read_text("utf-8"))
    assert [area["on_time"] for area in data["areas"]] == [area.on_time for area in year.areas]
    text = (pack / "review.html").read_text(encoding="utf-8")
    section = text[text.index('id="work"') :].partition("</section>")[0]
    assert len(year.areas) > 1 and all(area.area in section for area in year.areas)
    assert all(age.age in section for age in year.actions) and "as it stood on that day" in section


def test_it_tells_what_moved_since_a_kept_audit(register, tmp_path):
    path = shutil.copy(register, tmp_path / "plant.db")
    of_register(path, today=TODAY.replace(year=2025), keep_as="rk")
    with opened(path, write=True) as db, writing(db, reason="walk", author="rk"):
        db.conn.execute("DELETE FROM bypass")
    of_register(path, today=TODAY, keep_as="rk")
    by_path.make_review(path, tmp_path / "pack", today=TODAY, since="2025-11-25")
    told = json.loads((tmp_path / "pack/comparison.json").read_text(encoding="utf-8"))
    assert told["differences"] and told["unexplained"] == []
    text = (tmp_path / "pack/review.html").read_text(encoding="utf-8")
    assert "Audit 1 of 2025-11-25 held to audit 2 of 2026-11-25" in text
    review.verify(tmp_path / "pack")


def test_an_audit_that_was_not_kept_is_not_compared(register, tmp_path):
    with pytest.raises(StartrollError, match="startroll audit --keep"):
        by_path.make_review(register, tmp_path / "pack", today=TODAY, since="2025-11-25")
    assert not (tmp_path / "pack").exists()


def test_made_again_it_is_the_same_to_the_byte(register, zipped, tmp_path):
    by_path.make_review(register, tmp_path / "again.zip", today=TODAY)
    assert (tmp_path / "again.zip").read_bytes() == zipped.read_bytes()


def test_folder_and_zip_hold_the_same(pack, zipped):
    assert review.verify(pack).files == review.verify(zipped).files
    with zipfile.ZipFile(zipped) as archive:
        assert archive.testzip() is None
        assert archive.read("report.json") == (pack / "report.json").read_bytes()


@pytest.mark.skipif(not shutil.which("sha256sum"), reason="there is no sha256sum here")
def test_sha256sum_reads_the_manifest_and_agrees(pack):
    ran = subprocess.run(["sha256sum", "--strict", "--check", "--quiet", review.MANIFEST], cwd=pack)
    assert ran.returncode == 0


# Of places in the manifest and of files of rules every fifth; STARTROLL_EXAMPLES has all, tests/faults more.
EVERY = 1 if "STARTROLL_EXAMPLES" in os.environ else 5


def test_one_flipped_byte_anywhere_in_the_folder_is_found(pack):
    chance = random.Random(7)
    files = sorted(path for path in pack.rglob("*") if path.is_file())
    rules = [path for path in files if "rules" in path.parts]
    for path in sorted({*files} - {*rules}) + rules[::EVERY]:
        whole = path.read_bytes()
        place = chance.randrange(len(whole))
        path.write_bytes(whole[:place] + bytes([whole[place] ^ 0x20]) + whole[place + 1 :])
        with pytest.raises(PackError) as told:
            review.verify(pack)
        assert path.name in str(told.value) or path.name == review.MANIFEST
        path.write_bytes(whole)
    review.verify(pack)


def test_one_flipped_byte_anywhere_in_the_manifest_is_found(pack):
    path = pack / review.MANIFEST
    whole = path.read_bytes()
    for place in range(0, len(whole), 211 * EVERY):
        for bit in (0x01, 0x20):
            path.write_bytes(whole[:place] + bytes([whole[place] ^ bit]) + whole[place + 1 :])
            with pytest.raises(PackError):
                review.verify(pack)


def test_one_flipped_byte_anywhere_in_the_zip_is_found(zipped):
    whole = zipped.read_bytes()
    chance = random.Random(11)
    # The directory at the end is where times, rights and names stand: every byte of one entry there.
    entry, end = whole.rindex(b"PK\x01\x02"), len(whole)
    places = [*(chance.randrange(end) for _ in range(20)), *range(entry, end)]
    for place in places:
        zipped.write_bytes(whole[:place] + bytes([whole[place] ^ 0x01]) + whole[place + 1 :])
        with pytest.raises(PackError):
            review.verify(zipped)


def test_all_is_told_at_once_missing_extra_changed(pack):
    (pack / "report.json").unlink()
    (pack / "note.txt").write_text("added")
    (pack / "register" / "bus.csv").write_text("bus\n")
    with pytest.raises(PackError) as told:
        review.verify(pack)
    text = str(told.value)
    assert len(told.value.problems) == 3 and told.value.exit_code == 5
    for said in ("report.json is missing", "note.txt is not of this pack", "bus.csv has been changed"):
        assert said in text


@pytest.mark.parametrize("what", ["no such", "a folder without", "no zip", "an empty file"])
def test_what_is_no_pack_is_said_to_be_none(what, tmp_path):
    path = tmp_path / "it"
    if what == "a folder without":
        path.mkdir()
    elif what != "no such":
        path.write_bytes(b"PK\x03\x04 not really" if what == "no zip" else b"")
    with pytest.raises(PackError):
        review.verify(path)


def test_a_zip_with_a_file_twice_is_not_as_it_was_made(zipped):
    with pytest.warns(UserWarning, match="Duplicate"), zipfile.ZipFile(zipped, "a") as archive:
        archive.writestr("report.json", "{}")
    with pytest.raises(PackError):
        review.verify(zipped)


def test_a_zip_whose_files_share_their_bytes_is_not_unpacked(tmp_path, monkeypatch):
    """One file of a megabyte that its directory names forty times."""
    path = tmp_path / "pack.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as archive:
        archive.writestr("report.json", b" " * 1_000_000)
        archive.filelist *= 40
    monkeypatch.setattr(zipfile.ZipFile, "read", None)
    with pytest.raises(PackError, match="its files share their bytes"):
        review.verify(path)


def test_a_place_that_is_taken_is_left_alone(register, tmp_path):
    (tmp_path / "pack").mkdir()
    with pytest.raises(StartrollError, match="already"):
        by_path.make_review(register, tmp_path / "pack", today=TODAY)
    assert list((tmp_path / "pack").iterdir()) == []


def test_a_pack_that_cannot_be_written_whole_leaves_nothing(register, tmp_path, monkeypatch):
    real = review.Path.write_bytes

    def full_disk(path, data):
        if path.name == "report.json":
            raise OSError(28, "No space left on device")
        return real(path, data)

    monkeypatch.setattr(review.Path, "write_bytes", full_disk)
    with pytest.raises(StartrollError, match="No space left"):
        by_path.make_review(register, tmp_path / "pack", today=TODAY)
    assert not (tmp_path / "pack").exists()


SLY = "<script>alert('x')</script>\"\\"


@pytest.fixture(scope="module")
def accepted(tmp_path_factory):
    """A register with a conceded major, its earlier audit and its present one kept; the major's (rule, tag)."""
    path = Sample("small-plant", tmp_path_factory.mktemp("accepted")).path
    major = next(f for f in of_register(path, today=TODAY.replace(year=2025), keep_as="rk").findings if gravest(f))
    until = TODAY.replace(year=2027)
    by_path.ask(path, major.tag, major.rule, until=until, reason=SLY, by="rk", today=TODAY)
    by_path.decide(path, 1, "approved", reason="seen", by="sb", today=TODAY)
    of_register(path, today=TODAY, keep_as="rk")
    return path, major


def gravest(finding):
    return finding.grade == "major" and finding.subject == "position"


@pytest.fixture(scope="module")
def signed(accepted, tmp_path_factory):
    """The pack's folder, of a document of which all is stated."""
    pack = tmp_path_factory.mktemp("signed") / "pack"
    document = ReviewDocument("DOC-7" + SLY, "B", ("plant manager", SLY), ("R. Kettle, engineer" + SLY,), "none" + SLY)
    by_path.make_review(accepted[0], pack, today=TODAY, since="2025-11-25", document=document)
    return pack


def section(text, name):
    """What stands between the heading of that name and the next one."""
    return text.partition(f'<h2 id="{name}">')[2].partition("<h2 ")[0]


def test_what_is_stated_of_the_document_is_on_it_and_escaped(signed):
    text = (signed / "review.html").read_text(encoding="utf-8")
    control = section(text, "control")
    for stated in ("DOC-7", "revision <bdi>B</bdi>", "plant manager", "R. Kettle, engineer", "none&lt;script"):
        assert stated in control
    assert "<script" not in text and "to be filled in" not in control
    assert '"\\000044\\00004f\\000043\\00002d\\000037\\00003c' in text  # the running foot: DOC-7<
    review.verify(signed)


def test_what_nobody_stated_is_a_blank_that_says_so(pack):
    control = section((pack / "review.html").read_text(encoding="utf-8"), "control")
    assert control.count("to be filled in") == 3
    assert re.search(r"MSR-[A-Z-]+-20261125</bdi>, revision <bdi>0</bdi>", control)


def test_each_conceded_major_has_a_line_to_sign(signed, accepted):
    major = accepted[1]
    sign = section((signed / "review.html").read_text(encoding="utf-8"), "sign")
    each = sign.partition('<table class="each">')[2]
    assert each.count("<tr>") == 2 and f"<bdi>{major.tag}</bdi>" in each and major.rule in each
    assert "25 November 2027" in each and "sb" in each


def test_what_was_conceded_since_is_not_called_better(signed, accepted):
    major = accepted[1]
    told = json.loads((signed / "comparison.json").read_text(encoding="utf-8"))
    assert [d["kind"] for d in told["differences"] if (d["rule"], d["tag"]) == (major.rule, major.tag)] == ["conceded"]
    since = section((signed / "review.html").read_text(encoding="utf-8"), "since")
    assert "Conceded, not corrected: 1" in since and "standing → conceded" in since


def test_what_never_was_a_finding_is_counted_whole_in_an_annex_and_not_among_the_findings(signed):
    told = json.loads((signed / "comparison.json").read_text(encoding="utf-8"))
    turned = [d for d in told["differences"] if d["kind"] == "turned"]
    text = (signed / "review.html").read_text(encoding="utf-8")
    rows = re.findall(r'<td class="n">(\d+)</td><td><bdi>', section(text, "turned"))
    assert turned and sum(map(int, rows)) == len(turned)
    assert "can't tell → passed" not in section(text, "since").replace("&#39;", "'")


def test_the_limits_of_the_scope_are_said_with_their_numbers(signed):
    text = (signed / "review.html").read_text(encoding="utf-8")
    report = json.loads((signed / "report.json").read_text(encoding="utf-8"))
    scope = section(text, "scope").replace("\u202f", "")
    assert f"({sum(g['cant-tell'] for g in report['verdicts_by_grade'].values())}): a value is missing" in scope
    assert all(rule["rule"] in scope for rule in report["on_trial"])
    assert all(rule["rule"] in scope for rule in report["rules"] if rule["outside"])


def test_every_clause_leads_to_sections_that_are_there(pack):
    text = (pack / "review.html").read_text(encoding="utf-8")
    iso = section(text, "iso")
    assert "from memory" in iso
    led = set(re.findall(r'href="#([a-z]+)"', iso))
    assert led and led <= set(re.findall(r'<h2 id="([a-z]+)">', text))
    # ISO 55001 has its requirements in clauses 4 to 10, in the 2014 and in the 2024 edition (from memory).
    assert {int(n) for n in re.findall(r'<th scope="row">(\d+)', iso)} == set(range(4, 11))


def test_packed_data_do_not_tell_which_python_packed_them():
    """Python 3.11 writes 3 for the system, 3.13 writes 255, unknown (RFC 1952, 2.3.1)."""
    made = base64.b64decode(packed({"tag": "P-1"}))
    assert made[4:8] == bytes(4) and made[9] == 255
    assert gzip.decompress(made) == b'{"tag":"P-1"}'
