"""The saved file of a round: read as it was written, refused with a plain reason where it was not."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from register.columns import TABLES
from register.errors import StartrollError
from register.rounds.saved_file import (
    ANSWER,
    ASKED_OF,
    HEAD,
    STATES,
    WORK,
    Answer,
    Photo,
    SavedRound,
    canonical,
    fingerprint,
    read_saved,
    saved_text,
)  # fmt: skip

SCHEMA = json.loads((Path(__file__).parents[2] / "docs/schema/round.schema.json").read_text("utf-8"))
NOON = "2026-11-29T12:00:00+01:00"


def answer(**changed):
    """An answer as the page gives one, with what a case changes."""
    usual = Answer("motor", "P-101", "fla_a", "M 7", 12.0, "value", 12.4, "12,4", "A", "", NOON, None)
    return replace(usual, **changed)


def a_round(*answers):
    return SavedRound("reg-1", "page-1", "Oldmarrow Works", "Pulp house", NOON, "R. Kvernø", NOON, answers, "")


ANSWERS = (
    answer(),
    answer(column="design_letter", base=None, value="B", as_typed="B", unit="", note="ⓃⒺⓂⒶ “B”\u2028=1+1 </script>"),
    answer(column="duty_type", state="illegible", value=None, as_typed="", photo=Photo("p.jpg", "0f" * 32)),
    answer(table="bus", at="MCC-1", row="MCC-1", column="x_over_r", base=None, value=1e-7, as_typed="1e-7", unit=""),
)


@pytest.fixture
def saved(tmp_path):
    path = tmp_path / "round.json"
    path.write_text(saved_text(a_round(*ANSWERS)), "utf-8")
    return path


def test_what_was_saved_is_read_back(saved):
    found = read_saved(saved, "reg-1")
    assert replace(found, sha256="") == a_round(*ANSWERS)
    assert found.sha256 == fingerprint(json.loads(saved.read_text("utf-8")))


def test_the_numbers_of_the_canonical_form_are_those_of_rfc_8785():
    """IEEE 754 bits and their text: RFC 8785, appendix B."""
    import struct

    cases = {
        "0000000000000000": "0", "8000000000000000": "0", "0000000000000001": "5e-324", "7fefffffffffffff":
        "1.7976931348623157e+308", "4340000000000000": "9007199254740992", "4430000000000000": "295147905179352830000",
        "44b52d02c7e14af5": "9.999999999999997e+22", "44b52d02c7e14af6": "1e+23", "444b1ae4d6e2ef4e":
        "999999999999999700000", "444b1ae4d6e2ef50": "1e+21", "3eb0c6f7a0b5ed8c": "9.999999999999997e-7",
        "3eb0c6f7a0b5ed8d": "0.000001", "41b3de4355555553": "333333333.3333332", "41b3de4355555557":
        "333333333.33333343", "becbf647612f3696": "-0.0000033333333333333333",
    }  # fmt: skip
    for bits, text in cases.items():
        assert canonical(struct.unpack(">d", bytes.fromhex(bits))[0]) == text


def test_the_reader_and_the_schema_say_the_same(saved):
    schema = Draft202012Validator(SCHEMA)
    whole = json.loads(saved.read_text("utf-8"))
    schema.validate(whole)
    assert set(SCHEMA["properties"]) == set(HEAD) and set(SCHEMA["$defs"]["answer"]["properties"]) == set(ANSWER)
    assert SCHEMA["$defs"]["answer"]["properties"]["table"]["enum"] == [*ASKED_OF, *WORK]
    assert SCHEMA["$defs"]["answer"]["properties"]["state"]["enum"] == list(STATES)
    assert {*ASKED_OF, *WORK} <= set(TABLES)
    for number, name in [(None, n) for n in HEAD] + [(0, n) for n in ANSWER]:
        for wrong in ({}, [1], True, None):
            part = json.loads(saved.read_text("utf-8"))
            (part if number is None else part["answers"][number])[name] = wrong
            part["sha256"] = fingerprint(part) if name != "sha256" else wrong
            try:
                schema.validate(part)
                fits = True
            except ValidationError:
                fits = False
            saved_again = saved.with_name("wrong.json")
            saved_again.write_text(json.dumps(part), "utf-8")
            refused = ""
            try:
                read_saved(saved_again)
            except StartrollError as error:
                refused = str(error)
            assert bool(refused) != fits, (name, wrong, refused)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda text: text[:-40], "no saved round, or a part of it is missing"),
        (lambda text: text.replace("12.4", "12.5", 1), "changed or damaged after it was saved"),
        (lambda text: text.replace('"round": 2', '"round": 3'), "saved by a later version"),
        (lambda text: text.replace("12.4", "NaN", 1), "no saved round"),
        (lambda text: "[" * 100_000, "no saved round"),
        (lambda text: "{}", "no saved round"),
        (lambda text: '"round"', "no saved round"),
    ],
)
def test_a_file_that_is_not_whole_is_refused(saved, change, says):
    saved.write_text(change(saved.read_text("utf-8")), "utf-8")
    with pytest.raises(StartrollError, match=says):
        read_saved(saved)


@pytest.mark.parametrize(
    ("answers", "says"),
    [
        ([answer(), answer(value=13.0)], r"answer 2 \(P-101, fla_a\)  the file answers this twice"),
        ([answer(column="fla")], "there is no such column"),
        ([answer(value="12")], "'12' is no value of fla_a"),
        ([answer(column="design_letter", value=4.0)], "4.0 is no value of design_letter"),
        ([answer(state="illegible")], "12.4 is no value of fla_a"),
        ([answer(value=None, as_typed=" ")], "None is no value of fla_a"),
    ],
)
def test_an_answer_that_no_cell_can_take_is_refused(tmp_path, answers, says):
    path = tmp_path / "round.json"
    path.write_text(saved_text(a_round(*answers)), "utf-8")
    with pytest.raises(StartrollError, match=says):
        read_saved(path)


def test_a_file_of_the_first_form_is_read(saved):
    """It knows nothing as found; what has it must have it whole."""
    old = json.loads(saved.read_text("utf-8"))
    for one in old["answers"]:
        for name in ("found", "found_typed", "found_unit"):
            del one[name]
    for form, fits in ((1, True), (2, False)):
        text = old | {"round": form}
        saved.write_text(json.dumps(text | {"sha256": fingerprint(text)}), "utf-8")
        assert Draft202012Validator(SCHEMA).is_valid(json.loads(saved.read_text("utf-8"))) is fits
        if fits:
            assert read_saved(saved).answers == ANSWERS
        else:
            with pytest.raises(StartrollError, match='"found" is missing'):
                read_saved(saved)


def job(**changed):
    """A task of a crew's page, with what a case changes."""
    usual = {
        "table": "record",
        "row": "position",
        "column": "thermography",
        "base": None,
        "value": "passed",
        "unit": "",
    }
    return answer(**(usual | {"as_typed": "passed"} | changed))


@pytest.mark.parametrize(
    ("one", "says"),
    [
        (job(column="polishing"), "there is no such task"),
        (job(value="well"), "'well' is no result"),
        (job(value="done"), "'done' is no result"),
        (job(row="motor"), "'motor' is nothing that such work is done at"),
        (job(found="hot"), "'hot' is nothing that is measured"),
        (job(table="action", column="seven", value="done"), "this is no number of an action"),
        (job(table="action", column="7", value="passed"), "'passed' is no result"),
    ],
)
def test_work_that_no_page_asks_for_is_refused(tmp_path, one, says):
    path = tmp_path / "crew.json"
    path.write_text(saved_text(a_round(job(), one)), "utf-8")
    with pytest.raises(StartrollError, match=says):
        read_saved(path)
    path.write_text(saved_text(a_round(job(found=96.0, found_typed="96", found_unit="A"))), "utf-8")
    assert read_saved(path).answers[0].found == 96.0


def test_what_was_typed_and_is_no_value_comes_back_as_typed(tmp_path):
    path = tmp_path / "round.json"
    path.write_text(saved_text(a_round(answer(value=None, as_typed="12 or 13"))), "utf-8")
    assert read_saved(path).answers[0] == answer(value=None, as_typed="12 or 13")


def test_a_round_of_another_register_is_refused(saved):
    with pytest.raises(StartrollError, match=r"another register \(Oldmarrow Works\)"):
        read_saved(saved, "reg-2")


def test_of_a_file_in_no_form_at_all_a_thousand_faults_are_told(tmp_path):
    """20 MB of them took 3 GB to be told."""
    path = tmp_path / "round.json"
    path.write_text(json.dumps({"round": 2, "answers": [{}] * 5_000}), "utf-8")
    with pytest.raises(StartrollError) as caught:
        read_saved(path)
    assert len(caught.value.problems) == 1_000
    assert str(caught.value.problems[0]).startswith('round.json  "register" is missing')


def test_a_file_that_is_not_there_is_no_traceback(tmp_path):
    with pytest.raises(StartrollError, match="cannot be read"):
        read_saved(tmp_path)
