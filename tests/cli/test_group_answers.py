"""The command `answer` as a person meets it."""

import json
import shutil

import pytest

DAY = ("--today", "2026-11-25")


@pytest.fixture
def register(demo, tmp_path, monkeypatch):
    path = tmp_path / "demo.db"
    shutil.copy(demo.path, path)
    monkeypatch.setenv("STARTROLL_REGISTER", str(path))
    return path


def test_dry_then_real_then_undone(startroll, register):
    asked = ("answer", "inching", "no", "--where", "device_kind = 'across-the-line'", *DAY)
    dry = startroll(*asked, "--dry-run")
    assert dry.code == 0 and "Nothing has been changed" in dry.out and "blank, would be filled" in dry.out
    real = startroll(*asked, "--reason", "walk")
    assert real.code == 0 and real.out.startswith("Answered: inching = no")
    assert "startroll undo 2" in real.out
    assert startroll("undo", "2", "--reason", "wrong").code == 0
    assert startroll(*asked, "--dry-run").out == dry.out


def test_as_json(startroll, register):
    ran = startroll("answer", "inching", "no", "--where", "load_kind = 'mill'", "--dry-run", "--json", *DAY)
    data = json.loads(ran.out)
    assert data["change_set"] is None and data["asked"]["where"] == "load_kind = 'mill'"
    assert {"decided", "firm", "provisional", "passed", "opened"} <= data["verdicts"].keys()


def test_groups_proposed_paste_into_a_dry_run(startroll, register):
    shown = startroll("answer", *DAY)
    assert shown.code == 0 and shown.out == startroll("answer", "--propose", *DAY).out
    block = next(
        text for text in shown.out.split("  startroll answer ")[1:] if "inching=VALUE" in text.split("--where")[0]
    )
    where = block.split('--where "')[1].split('"')[0]
    assert startroll("answer", "inching=no", "--where", where, "--dry-run", *DAY).code == 0


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (("inching",), "an answer needs a column and a value"),
        (("inching", "no"), "no positions are named"),
        (("inching", "no", "--propose"), "--propose lists groups"),
        (("inching", "no", "--where", "", "--reason", "walk"), "this is no expression"),
        (("inching", "no", "--where", "  ", "--reason", "walk"), "this is no expression"),
        (("--where", "load_kind = 'mill'"), "an answer needs a column and a value"),
        (("inching", "--were=x"), "no such option"),
        (("inching", "no", "--where", "load_kind = 'mill'"), "needs its reason"),
        (("inching", "no", "--where", "load_knd = 'mill'", "--dry-run"), "did you mean load_kind"),
        (("inching", "no", "--where", "x\x1b[31m = 1", "--dry-run"), "--where"),
    ],
)
def test_what_is_mistyped_is_told_with_a_remedy(startroll, register, typed, told):
    before = register.read_bytes()
    ran = startroll("answer", *typed, *DAY)
    assert ran.code == 2 and told in ran.err and "\x1b" not in ran.err and "Traceback" not in ran.err
    assert register.read_bytes() == before


def test_a_negative_value_is_no_option(startroll, register):
    ran = startroll("answer", "ambient_c", "-20 °C", "--area", "Pulp house", "--dry-run", *DAY)
    assert ran.code == 0 and "ambient_c = -20 °C" in ran.out
