"""The report as a SARIF 2.1.0 log, an open standard (OASIS) for what an analysis found.

A rule is a reporting descriptor, a verdict a result, a position a logical location, the register
the artifact. Outcomes keep their meaning: failed is `fail`, passed `pass`, can't tell `open`,
inapplicable `notApplicable`.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from math import isfinite
from typing import Any
from urllib.parse import quote

from register.audit.finding import Finding
from register.audit.report import Report
from register.columns import SUBJECTS

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
LEVEL = {"major": "error", "minor": "warning", "observation": "note"}
KIND = {"P": "pass", "F": "fail", "?": "open", "-": "notApplicable"}
SAID = {
    "pass": "{0} meets the rule.",
    "open": "It is unknown whether {0} meets the rule; to be collected: {1}.",
    "notApplicable": "The rule has nothing to say about {0}.",
}
# From where a tier's ranks begin, and how far they run; grade 9 × criticality 3 × margin 2 is the most.
RANKS = {0: (60.0, 40.0 / 54.0), 1: (10.0, 50.0 / 54.0), 2: (0.0, 1.0)}


def text(report: Report, *, only_failed: bool = False) -> str:
    """The log as text; `only_failed` leaves out all but what failed."""
    return json.dumps(log(report, only_failed=only_failed), ensure_ascii=False)


def log(report: Report, *, only_failed: bool = False) -> dict[str, Any]:
    """The log as data."""
    scope = report.scope
    tags = _tags(report)
    run = {
        "tool": {"driver": {"name": "startroll", "semanticVersion": scope.program, "rules": list(_rules(report))}},
        "automationDetails": {"id": f"startroll/{quote(scope.site, safe='')}/{scope.today}"},
        "invocations": [{"executionSuccessful": True}],
        "artifacts": [{"location": {"uri": quote(scope.register)}}],
        "logicalLocations": [{"name": at, "fullyQualifiedName": at, "kind": _kind(at)} for at in tags],
        "results": list(_results(report, tags, only_failed)),
        "columnKind": "unicodeCodePoints",
        "properties": {
            "site": scope.site,
            "today": scope.today,
            "rulePack": scope.pack,
            "measuredOnly": scope.measured_only,
            "toVerify": [{"clause": v.clause, "rules": list(v.rules)} for v in report.to_verify],
        },
    }
    return {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}


def _kind(at: str) -> str:
    """What is at a place: `position`, or what its name says before the key."""
    return next((name for name in SUBJECTS if at.startswith(f"{name} ")), "position")


def _tags(report: Report) -> dict[str, int]:
    tags = dict.fromkeys(report.evidence.verdicts) | {f.at: None for f in report.findings}
    return {tag: number for number, tag in enumerate(tags)}


def _rules(report: Report) -> Iterator[dict[str, Any]]:
    criteria = report.evidence.criteria
    texts = {rule.id: rule for rule in criteria.rules} if criteria else {}
    for rule in report.rules:
        made = {
            "id": rule.rule,
            "shortDescription": {"text": rule.title_failed},
            "defaultConfiguration": {"level": LEVEL[rule.grade]},
            "messageStrings": {kind: {"text": said} for kind, said in SAID.items()},
            "properties": {"grade": rule.grade},
        }
        if whole := texts.get(rule.rule):
            caution = f"\n\nCaution: {whole.caution}" if whole.caution else ""
            made["fullDescription"] = {"text": whole.why}
            made["help"] = {"text": f"{whole.action}{caution}"}
            made["properties"] |= {
                "requires": whole.requires,
                "applies": whole.applies,
                "basis": list(map(str, whole.basis)),
            }
        yield made


def _results(report: Report, tags: dict[str, int], only_failed: bool) -> Iterator[dict[str, Any]]:
    number_of = {rule.rule: number for number, rule in enumerate(report.rules)}
    for finding in report.findings:
        yield _failed(finding, number_of[finding.rule], tags[finding.at])
    if only_failed:
        return
    fields = {(u.at, u.rule): u.fields for u in report.evidence.unknowns}
    for tag, letters in report.evidence.verdicts.items():
        for number, letter in enumerate(letters):
            if letter in KIND and letter != "F":
                rule = report.rules[number].rule
                said = [tag, ", ".join(fields.get((tag, rule), ())) or "more of the position"]
                yield _result(rule, number, tag, tags[tag], KIND[letter]) | {
                    "message": {"id": KIND[letter], "arguments": said}
                }


def _result(rule: str, number: int, tag: str, place: int, kind: str) -> dict[str, Any]:
    return {
        "ruleId": rule,
        "ruleIndex": number,
        "kind": kind,
        "level": "none",
        "locations": [{"logicalLocations": [{"index": place, "fullyQualifiedName": tag}]}],
        "partialFingerprints": {"ruleAtPosition/v1": f"{rule}@{tag}"},
    }


def _failed(finding: Finding, number: int, place: int) -> dict[str, Any]:
    made = _result(finding.rule, number, finding.at, place, "fail")
    values = [
        {"column": v.column, "value": _finite(v.value), "unit": v.unit, "origin": v.origin} for v in finding.values
    ]
    base, share = RANKS[finding.priority.tier]
    made["locations"][0]["physicalLocation"] = {"artifactLocation": {"index": 0}}
    if finding.concession:
        status = "accepted" if finding.conceded else "rejected"
        made["suppressions"] = [{"kind": "external", "status": status, "justification": finding.concession.why}]
    return made | {
        "level": LEVEL[finding.grade],
        "rank": round(base + share * finding.priority.product, 1),
        "message": {"text": plain(finding.sentence)},
        "properties": {
            "margin": finding.margin,
            "marginUnit": finding.margin_unit,
            "provisional": finding.provisional,
            "assumed": list(finding.stand_ins),
            "values": values,
        },
    }


def _finite(value: Any) -> Any:
    return None if isinstance(value, float) and not isfinite(value) else value


def plain(text: str) -> str:
    """A text in which a reader of SARIF finds neither a placeholder nor a link (3.11.5, 3.11.6).

    >>> plain("{0} at [here](file:x)"), plain("Amps [A]")
    ('{{0}} at \\\\[here\\\\](file:x)', 'Amps [A]')
    """
    if re.search(r"\[[^\]]*\]\(", text):
        text = re.sub(r"[\\\[\]]", r"\\\g<0>", text)
    return text.replace("{", "{{").replace("}", "}}")
