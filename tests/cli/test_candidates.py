"""What could go in the place of a device, as a person meets it on the command line."""

import json

import pytest
from sample_plant import Sample

from register.store.database import opened, writing

DAY = ("--today", "2026-11-25")


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    """The small plant, with three of its devices marked failed, one of them at a motor larger than any device made."""
    sample = Sample("small-plant", tmp_path_factory.mktemp("small"))
    with opened(sample.path, write=True) as db, writing(db, reason="a bad night", author="test"):
        db.execute(
            "UPDATE device SET device_status = 'failed' WHERE device IN (SELECT device"
            " FROM device WHERE tag IN ('C-008', 'P-101', 'P-113'))"
        )
        db.execute("UPDATE motor SET power_kw = 2200, fla_a = 3800 WHERE tag = 'P-113'")
    return sample.path


def lines_of(text):
    # A command to paste is never folded nor cut.
    assert all(len(line) <= 80 for line in text.splitlines() if ": startroll " not in line)
    return " ".join(text.split())


def test_one_position_tells_what_fits_where_it_is_and_what_speaks_against_it(startroll, small):
    ran = startroll("candidates", "P-101", "--register", small, "--top", 3, *DAY)
    text = lines_of(ran.out)
    assert ran.code == 0 and "The best 3 of" in text and "To be repeated once installed" in text
    assert "Isolate" in text.title() and "Local codes and licensed practice come first" in text
    assert "None" not in text and "nan" not in text


def test_its_json_says_the_same(startroll, small):
    told = ("candidates", "P-101", "--register", small, "--top", 3, *DAY)
    made = json.loads(startroll(*told, "--json").out)
    text = lines_of(startroll(*told).out)
    assert len(made["candidates"]) == 3 and made["tag"] == "P-101"
    for candidate in made["candidates"]:
        assert candidate["model"] in text
        assert {"fails", "cant_tell", "other_changes", "outstanding", "settings"} <= set(candidate)


def test_all_that_failed_each_have_a_line_or_a_reason(startroll, small):
    ran = startroll("candidates", "--failed", "--register", small, *DAY)
    text = lines_of(ran.out)
    assert all(tag in text for tag in ("C-008", "P-101", "P-113"))
    assert "Without a candidate P-113: No candidate that can be had passes" in text
    made = json.loads(startroll("candidates", "--failed", "--register", small, "--json", *DAY).out)
    assert [one["tag"] for one in made] == ["C-008", "P-101", "P-113"]
    assert [one["tag"] for one in made if not one["candidates"][0]["fits"]] == ["P-113"]


def test_the_store_alone_may_be_asked(startroll, small):
    ran = startroll("candidates", "P-101", "--in-store", "--register", small, "--json", *DAY)
    made = json.loads(ran.out)
    assert made["candidates"] and all(c["serial"] for c in made["candidates"])
