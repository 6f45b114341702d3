"""`verify --rejudge`: a pack's own tables judged again by its own rules, and what comes out otherwise."""

import shutil
from contextlib import chdir
from pathlib import Path

import pytest
from sample_plant import Sample
from writing_commands import DAY, WHY, done, prepared

from register.reports import review

LIMIT = (
    "overrides:\n- {limit: fla_mismatch_limit_pct, site: true, value: 12, reason: as agreed, by: rk, on: 2026-01-01}\n"
)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """The small plant with a concession, an action, a position retired and a blank with its reason: a pack of it,
    judged by a limit of the site too, and its register."""
    folder = tmp_path_factory.mktemp("made")
    register = prepared(Sample("small-plant", tmp_path_factory.mktemp("small")).path, folder)
    (folder / "ours").mkdir()
    (folder / "ours" / "limits.yml").write_text(LIMIT, "utf-8")
    with chdir(folder):
        done(("correct", "C-008", "fla_a", "--blank", "illegible", *WHY), register)
        done(("review", "--pack", "pack", "--site-rules", "ours", *DAY), register)
    return folder


@pytest.fixture
def pack(made, tmp_path, monkeypatch):
    """The pack, to be altered, with its register beside it."""
    monkeypatch.chdir(tmp_path)
    shutil.copy(made / "plant.db", "plant.db")
    return Path(shutil.copytree(made / "pack", "pack"))


def altered(pack: Path, name: str, old: str, new: str) -> None:
    """Alter a file of a pack, and its manifest with it, as a forger would."""
    path = pack / name
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")
    files = {n: data for n, data in review.files_of(pack).items() if n != review.MANIFEST}
    (pack / review.MANIFEST).write_bytes(review.manifest(files))
    review.verify(pack)


def test_a_pack_as_it_was_made_comes_out_the_same(startroll, pack):
    ran = startroll("verify", pack, "--rejudge")
    assert ran.code == 0, ran.err
    assert "report.json and report.sarif come out the same" in ran.out and "pack is as it was made" in ran.out
    ran = startroll("verify", "plant.db", "--rejudge")
    assert ran.code == 2 and "this is a register" in ran.err


def test_an_altered_result_is_named(startroll, pack):
    altered(pack, "report.json", '"outcome": "failed"', '"outcome": "passed"')
    altered(pack, "report.json", '"C-002": "-P', '"C-002": "-F')
    assert startroll("verify", pack).code == 0
    ran = startroll("verify", pack, "--rejudge")
    assert ran.code == 5 and "2 differences between the pack's results and its own data" in ran.err
    assert 'line-protection/device-withstands-fault outcome: "passed" in the pack, judged again "failed"' in ran.err
    assert 'verdicts C-002 application/capacitor-not-behind-electronics: "F" in the pack, judged again "P"' in ran.err


def test_altered_data_come_out_otherwise(startroll, pack):
    """The fault current of a lineup lowered from 22 kA to 5: its data say otherwise than the pack's results."""
    altered(pack, "register/bus.csv", ",22.0,", ",5.0,")
    ran = startroll("verify", pack, "--rejudge")
    assert ran.code == 5
    assert 'verdicts bus LV-A line-protection/fault-current-believable: "P" in the pack, judged again "F"' in ran.err


def test_altered_rules_are_told(startroll, pack):
    altered(pack, "rules/pack/pack.yml", "sentence: ", "sentence: Of ours. ")
    ran = startroll("verify", pack, "--rejudge")
    assert "2 files, pack/pack.yml, site/limits.yml" in ran.out + ran.err


@pytest.mark.parametrize(
    ("name", "old", "new", "told"),
    [
        ("register/motor.csv", ",41.1,", ",many,", "motor.csv row"),
        ("register/motor.csv", "motor,", "engine,", "its headings are not those of this version"),
        ("register/site.csv", "Kvernhalla", '"Kvernhalla', "site.csv"),
        ("report.json", "startroll report 1", "startroll report 9", "no report of this form"),
        ("rules/pack/overload/present.yml", "requires:", "requirs:", "requirs"),
    ],
)
def test_what_cannot_be_judged_is_told_with_its_place(startroll, pack, name, old, new, told):
    altered(pack, name, old, new)
    ran = startroll("verify", pack, "--rejudge")
    assert ran.code in (2, 5) and told in ran.err, ran.err
