"""The SARIF log, against the schema published for SARIF 2.1.0 and the standard's own words.

schema/sarif-2.1.0-rtm.5.json is that schema as published (its `id` says where; MIT licence).
"""

import json
import os
from collections import Counter
from pathlib import Path

import pytest
from jsonschema import Draft4Validator
from report_cases import HOSTILE, finding, hostile, of, standing

from register.reports import sarif

SCHEMA = json.loads((Path(__file__).parent / "schema/sarif-2.1.0-rtm.5.json").read_text(encoding="utf-8"))


def _errors(log):
    return [f"{list(e.absolute_path)}: {e.message}"[:200] for e in Draft4Validator(SCHEMA).iter_errors(log)]


@pytest.fixture(scope="module")
def log(demo_report):
    return json.loads(sarif.text(demo_report))


@pytest.fixture
def small():
    return json.loads(sarif.text(hostile("90 A")))


def _form(part):
    """What the schema sees of a part: names, kinds of values, numbers within 0 to 100 or beyond, and short words."""
    if isinstance(part, dict):
        return tuple((name, _form(value)) for name, value in part.items())
    if isinstance(part, list):
        return tuple(dict.fromkeys(map(_form, part)))
    if isinstance(part, int | float):
        return type(part), part < 0, part > 100
    return part if len(str(part)) < 14 else str


def test_the_demo_plants_log_is_valid(log):
    """Of results of one form one is looked at, unless more is asked for."""
    (run,) = log["runs"]
    of_a_form = {_form(result): result for result in run["results"]}
    assert len(of_a_form) > 10
    if not os.environ.get("STARTROLL_EXAMPLES"):
        log = log | {"runs": [run | {"results": [*of_a_form.values()]}]}
    assert _errors(log) == []


@pytest.mark.parametrize("wrong", [("kind", "failed"), ("level", "major"), ("rank", 101)])
def test_the_schema_notices_what_is_wrong(small, wrong):
    small["runs"][0]["results"][0][wrong[0]] = wrong[1]
    assert _errors(small)


def test_every_verdict_is_a_result_and_keeps_its_outcome(log, demo_report):
    kinds = Counter(r["kind"] for r in log["runs"][0]["results"])
    totals = {
        o: sum(g[o] for g in demo_report.grades.values()) for o in ("failed", "cant-tell", "passed", "inapplicable")
    }
    assert kinds == {
        "fail": totals["failed"],
        "open": totals["cant-tell"],
        "pass": totals["passed"],
        "notApplicable": totals["inapplicable"],
    }


def test_level_is_none_for_all_that_did_not_fail(log):
    """SARIF 2.1.0, 3.27.10: where kind is not "fail", level is "none"."""
    for result in log["runs"][0]["results"]:
        assert (result["level"] == "none") == (result["kind"] != "fail")


def test_indexes_lead_to_what_they_name(log):
    (run,) = log["runs"]
    for result in run["results"]:
        assert run["tool"]["driver"]["rules"][result["ruleIndex"]]["id"] == result["ruleId"]
        (place,) = result["locations"][0]["logicalLocations"]
        assert run["logicalLocations"][place["index"]]["fullyQualifiedName"] == place["fullyQualifiedName"]


def test_a_message_by_id_has_a_string_with_that_many_places(log):
    (run,) = log["runs"]
    for result in run["results"]:
        message = result["message"]
        if "id" in message:
            rule = run["tool"]["driver"]["rules"][result["ruleIndex"]]
            said = rule["messageStrings"][message["id"]]["text"]
            assert said.format(*message["arguments"])


def test_no_two_results_share_a_fingerprint(log):
    prints = [r["partialFingerprints"]["ruleAtPosition/v1"] for r in log["runs"][0]["results"]]
    assert len(set(prints)) == len(prints)


def test_the_profile_of_failures_has_only_these(demo_report):
    profile = sarif.log(demo_report, only_failed=True)
    assert _errors(profile) == []
    assert {r["kind"] for r in profile["runs"][0]["results"]} == {"fail"}
    assert len(profile["runs"][0]["results"]) == len(demo_report.findings)


@pytest.mark.parametrize(("status", "said"), [("used", "accepted"), ("void", "rejected")])
def test_a_concession_is_a_suppression_that_holds_or_does_not(status, said):
    """SARIF 2.1.0, 3.35.4: a suppression that is rejected leaves the result standing."""
    conceded = finding("P-1", concession=standing("P-1", "", status))
    read = sarif.log(of([conceded], []))
    assert _errors(read) == []
    (result,) = [r for r in read["runs"][0]["results"] if r["kind"] == "fail"]
    assert [s["status"] for s in result["suppressions"]] == [said]


@pytest.mark.parametrize("kind", HOSTILE)
def test_hostile_text_comes_through_whole_and_makes_no_placeholder_and_no_link(kind):
    read = json.loads(sarif.text(hostile(HOSTILE[kind])))
    assert _errors(read) == []
    result = read["runs"][0]["results"][0]
    assert result["properties"]["values"][1]["value"] == HOSTILE[kind]
    message = result["message"]["text"]
    # 3.11.5: braces that hold no placeholder are doubled. 3.11.6: a link is [text](target).
    assert "{0}" not in message.replace("{{", "").replace("}}", "")
    assert "[here](" not in message
