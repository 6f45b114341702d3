"""What the page's own script reads: columns of numbers and words, packed small.

The index has one entry in every column for each row of the list; what an opened row shows lies in
parts of `PART` rows each, which the page unpacks only when one of them is opened.
"""

from __future__ import annotations

import gzip
import json
from base64 import b64encode
from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import fields as fields_of
from typing import Any

from register import columns
from register.audit.finding import Finding, Unknown
from register.audit.outline import GRADES, OUTCOMES, StartCourse
from register.audit.report import Report, read_at
from register.store.overview import Overview
from register.text import natural, shown

PART = 1000
UNKNOWN_SYSTEM = b"\xff"
# Above this many verdicts the page lists what failed and what is unknown, and only counts the
# rest: a browser would have to hold too much.
MOST_VERDICTS = 1_000_000


class Words(dict[Hashable, int]):
    """Numbers for things that recur, in the order of their first coming."""

    def __missing__(self, word: Hashable) -> int:
        self[word] = len(self)
        return self[word]


def packed(value: Any) -> str:
    """JSON, compressed, in letters that need no escaping in a page; the same for the same value."""
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"))
    packed = gzip.compress(text.encode("utf-8", "backslashreplace"), 6, mtime=0)
    # The tenth byte names the system that packed it (RFC 1952, 2.3), which Python's versions tell differently.
    return b64encode(packed[:9] + UNKNOWN_SYSTEM + packed[10:]).decode()


def index(report: Report, overview: Overview | None = None) -> dict[str, Any]:
    """All that the list shows, searches, sorts and filters."""
    tags = sorted(_tags(report), key=natural)
    number_of = {tag: number for number, tag in enumerate(tags)}
    rules = {rule.rule: number for number, rule in enumerate(report.rules)}
    fields = Words()
    rows = [_failed(f, number_of, rules) for f in report.findings]
    rows += [_open(u, number_of, rules, fields) for u in _unknowns(report, number_of)]
    names = ("tag", "rule", "outcome", "text", "margin", "weight", "provisional", "conceded", "depth")
    read = {name for names_ in fields for name in names_}
    return {
        **_places(report, tags, overview.kinds if overview else {}),
        "rules": list(_rules(report)),
        "grades": GRADES,
        "outcomes": OUTCOMES,
        "rows": dict(zip(names, map(list, zip(*rows, strict=True)), strict=True))
        if rows
        else {name: [] for name in names},
        "fields": [list(names_) for names_ in fields],
        "columns": {name: _column(name) for name in sorted(_named(report) | read)},
        "letters": _letters(report, tags),
        "courses": {number_of[tag]: _course(course) for tag, course in report.evidence.courses.items()},
        "part": PART,
    }


def parts(report: Report) -> Iterator[list[Any]]:
    """What the opened findings show, `PART` of them at a time."""
    criteria = report.evidence.criteria
    units = {limit.name: limit.unit for limit in criteria.limits} if criteria else {}
    for start in range(0, len(report.findings), PART):
        yield [_opened(finding, units) for finding in report.findings[start : start + PART]]


def _tags(report: Report) -> set[str]:
    found = {f.at for f in report.findings} | {u.at for u in report.evidence.unknowns}
    return found | set(report.evidence.places) | set(report.evidence.courses)


def _places(report: Report, tags: list[str], kinds: Mapping[str, str]) -> dict[str, Any]:
    known = {f.at: f.place for f in report.findings} | dict(report.evidence.places)
    rows = [{**known.get(tag, {}), "kind": kinds.get(tag)} for tag in tags]
    made: dict[str, Any] = {"tags": tags, "description": [row.get("description") or "" for row in rows]}
    for name, names, unknown in (
        ("area", "areas", "(area unknown)"),
        ("bus", "buses", ""),
        ("criticality", "criticalities", ""),
        ("kind", "kinds", ""),
    ):
        given = [row.get(name) or unknown for row in rows]
        words = sorted(set(given), key=natural)
        number_of = {word: number for number, word in enumerate(words)}
        made[names] = words
        made[name] = [number_of[word] for word in given]
    return made


def _rules(report: Report) -> Iterator[dict[str, Any]]:
    criteria = report.evidence.criteria
    texts: dict[str, Any] = {f.rule: f for f in report.findings}
    texts |= {rule.id: rule for rule in criteria.rules} if criteria else {}
    for rule in report.rules:
        text = texts.get(rule.rule)
        yield {
            "id": rule.rule,
            "title": rule.title,
            "title_failed": rule.title_failed,
            "grade": GRADES.index(rule.grade),
            "harm": str(text.priority.harm if isinstance(text, Finding) else getattr(text, "harm", "machine")),
            "requires": getattr(text, "requires", ""),
            **{name: getattr(text, name, "") for name in ("why", "action", "caution")},
            "basis": list(map(str, getattr(text, "basis", ()))),
        }


def _failed(finding: Finding, tags: dict[str, int], rules: dict[str, int]) -> tuple:
    margin = "" if finding.margin is None else shown(finding.margin, finding.margin_unit)
    return (
        tags[finding.at],
        rules[finding.rule],
        OUTCOMES.index("failed"),
        finding.sentence,
        margin,
        round(finding.priority.product, 2),
        int(finding.provisional),
        _conceded(finding),
        round(100 * (finding.priority.margin - 1)) if finding.margin is not None else -1,
    )


def _conceded(finding: Finding) -> int:
    """1 when a concession holds, 2 when one did and is void."""
    return 0 if finding.concession is None else 1 if finding.conceded else 2


def _unknowns(report: Report, tags: dict[str, int]) -> list[Unknown]:
    """The gravest first; those of one grade in the order of the tags, which have their numbers by it."""

    def gravest_first(unknown: Unknown) -> tuple[int, int, str]:
        return GRADES.index(unknown.grade), tags[unknown.at], unknown.rule

    return sorted(report.evidence.unknowns, key=gravest_first)


def _open(unknown: Unknown, tags: dict[str, int], rules: dict[str, int], fields: Words) -> tuple:
    """A row that is unknown; in place of a text it has the number of its fields to read."""
    outcome = OUTCOMES.index("cant-tell")
    return (tags[unknown.at], rules[unknown.rule], outcome, fields[unknown.fields], "", 0, 0, 0, -1)


def _opened(finding: Finding, units: dict[str, str]) -> list[Any]:
    """Clauses, values, limits, assumed values, weight, concession."""
    return [
        [[text, valued, -1 if truth is None else int(truth)] for text, valued, truth in finding.clauses],
        [[v.column, shown(v.value, v.unit), v.origin] for v in finding.values],
        [
            [name, shown(value, units.get(name, "")), layer, reason]
            for name, (value, layer, reason) in finding.limits.items()
        ],
        list(finding.stand_ins),
        finding.priority.explained(),
        _concession(finding),
    ]


def _concession(finding: Finding) -> str:
    stands = finding.concession
    return f"{stands.why}. Reason ({stands.asked_by}): {stands.reason}" if stands else ""


def _named(report: Report) -> set[str]:
    return {value.column for finding in report.findings for value in finding.values}


def _column(name: str) -> list[str]:
    column = columns.column(name)
    return [column.sentence, column.unit, read_at(name)]


def _course(course: StartCourse) -> dict[str, Any]:
    return {field.name: getattr(course, field.name) for field in fields_of(course)}


def _letters(report: Report, tags: Iterable[str]) -> list[str]:
    verdicts = report.evidence.verdicts
    if sum(map(len, verdicts.values())) > MOST_VERDICTS:
        return []
    return [verdicts.get(tag, "") for tag in tags]
