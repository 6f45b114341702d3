"""report, review, verify, as a person types them."""

import json

import pytest

FORMS = ("html", "xlsx", "sarif", "json")
DAY = ("--today", "2026-11-25")


@pytest.fixture
def every(tmp_path):
    return {form: tmp_path / f"out.{form}" for form in FORMS}


def _options(places):
    return [word for form, place in places.items() for word in (f"--{form}", place)]


def test_one_run_writes_every_form(startroll, plant, every):
    ran = startroll("report", *DAY, *_options(every))
    assert ran.code == 0 and not ran.err
    assert all(f"{place} written" in ran.out for place in every.values())
    assert json.loads(every["json"].read_text())["scope"]["site"] == "Oldmarrow Works"
    assert every["html"].read_text().startswith("<!doctype html>")
    assert every["xlsx"].read_bytes()[:2] == b"PK"
    assert json.loads(every["sarif"].read_text())["version"] == "2.1.0"


def test_the_same_day_gives_the_same_bytes(startroll, plant, every, tmp_path):
    again = {form: tmp_path / f"again.{form}" for form in FORMS}
    startroll("report", *DAY, *_options(every))
    startroll("report", *DAY, *_options(again))
    for form in FORMS:
        assert every[form].read_bytes() == again[form].read_bytes()


def test_nothing_is_asked_for(startroll, untouched):
    ran = startroll("report")
    assert ran.code == 2 and "--html FILE" in ran.err


def test_a_place_that_is_taken_is_said_and_nothing_is_written(startroll, untouched, every):
    every["xlsx"].write_text("mine")
    every["json"].write_text("mine too")
    ran = startroll("report", *DAY, *_options(every))
    assert ran.code == 2 and ran.err.count("already") == 2
    assert every["xlsx"].read_text() == "mine" and not every["html"].exists()


def test_two_forms_in_one_place(startroll, untouched, tmp_path):
    ran = startroll("report", "--html", tmp_path / "a", "--json", tmp_path / "a")
    assert ran.code == 2 and "one place" in ran.err and not (tmp_path / "a").exists()


def test_one_place_that_cannot_be_written_leaves_none_of_the_others(startroll, plant, every, tmp_path):
    every["json"] = tmp_path / "nowhere" / "out.json"
    ran = startroll("report", *DAY, *_options(every))
    assert ran.code == 2 and "cannot be written" in ran.err and "Traceback" not in ran.err
    assert not any(place.exists() for place in every.values())


def test_only_what_failed_of_one_area(startroll, plant, tmp_path):
    ran = startroll("report", *DAY, "--area", "Wet end", "--only-failed", "--sarif", tmp_path / "a.sarif")
    assert ran.code == 0
    (run,) = json.loads((tmp_path / "a.sarif").read_text())["runs"]
    assert {r["kind"] for r in run["results"]} <= {"fail"}
    assert [place["name"] for place in run["logicalLocations"]] == ["P-1"]


def test_a_pack_is_made_and_found_whole_and_a_change_is_found(startroll, plant, tmp_path):
    ran = startroll("review", *DAY, "--pack", tmp_path / "pack")
    digest = ran.out.strip().splitlines()[-1]
    assert ran.code == 0 and len(digest) == 64
    ran = startroll("verify", tmp_path / "pack")
    assert ran.code == 0 and digest in ran.out
    (tmp_path / "pack" / "report.json").write_text("{}")
    ran = startroll("verify", tmp_path / "pack")
    assert ran.code == 5 and "report.json has been changed" in ran.err and not ran.out


def test_what_is_no_pack(startroll, untouched, tmp_path):
    ran = startroll("verify", tmp_path / "none.zip")
    assert ran.code == 5 and "there is no such pack" in ran.err
