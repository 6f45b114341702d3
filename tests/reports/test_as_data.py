"""The JSON report: in its published form, and all there."""

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator, FormatChecker
from report_cases import FAILS, HOSTILE, OPEN, hostile

from register.audit.outline import OUTCOMES
from register.columns import SUBJECTS
from register.reports import json_data

SCHEMA = json.loads((Path(__file__).parents[2] / "docs/schema/report.schema.json").read_text(encoding="utf-8"))


def _errors(data):
    checker = Draft202012Validator(SCHEMA, format_checker=FormatChecker())
    return [f"{e.json_path}: {e.message}"[:200] for e in checker.iter_errors(data)]


def test_the_schema_is_a_schema():
    Draft202012Validator.check_schema(SCHEMA)


def test_the_demo_plants_report_has_the_published_form(demo_report):
    assert _errors(json.loads(json_data.written(json_data.report(demo_report)))) == []


@pytest.mark.parametrize("field", ["scope", "findings", "verdicts", "criteria"])
def test_the_schema_misses_what_is_left_out(demo_report, field):
    data = json_data.report(demo_report)
    del data[field]
    assert _errors(data)


def test_letters_counts_and_lists_tell_the_same(demo_report):
    data = json_data.report(demo_report)
    letters = dict(zip("F?P-", OUTCOMES, strict=True))
    for number, rule in enumerate(data["rules"]):
        column = [letters.get(word[number]) for word in data["verdicts"].values()]
        assert {o: column.count(o) for o in OUTCOMES} == rule["counts"]
    failed = {(SUBJECTS[f["subject"]].named(f["tag"]), f["rule"]) for f in data["findings"]}
    rules = [rule["rule"] for rule in data["rules"]]
    assert failed == {
        (tag, rules[n]) for tag, word in data["verdicts"].items() for n, letter in enumerate(word) if letter == "F"
    }


@pytest.mark.parametrize("kind", HOSTILE)
def test_hostile_text_comes_back_whole(kind):
    data = json.loads(json_data.written(json_data.report(hostile(HOSTILE[kind]))))
    assert _errors(data) == []
    (found,) = data["findings"]
    assert found["tag"] == f"tag {HOSTILE[kind]}" and found["rule"] == FAILS
    assert found["values"][1]["value"] == HOSTILE[kind]
    assert data["cant_tell"][0]["rule"] == OPEN


def test_a_number_without_limit_is_null_and_not_a_word_json_lacks():
    assert json.loads(json_data.written({"a": [float("inf"), float("nan"), 1.5]})) == {"a": [None, None, 1.5]}
