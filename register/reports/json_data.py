"""Whatever is reported as plain data, for a program to read."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import fields as fields_of
from dataclasses import is_dataclass
from math import isfinite
from typing import TYPE_CHECKING, Any

from register.text import escaped

if TYPE_CHECKING:
    from register.audit.comparison import Comparison
    from register.audit.finding import Finding
    from register.audit.outline import Criteria
    from register.audit.report import Report
    from register.rulebook.model import Rule

FORM = "startroll report 1"
DIGITS = 6
# Keys that are other words than the names in the program.
KEYS = {"stand_ins": "assumed", "to_read": "to_collect", "mends": "corrects", "stands": "installed"}


def written(value: Any) -> str:
    """A value as JSON text, with null for a number that JSON has no word for."""
    return escaped(json.dumps(_finite(value), indent=2, ensure_ascii=False, default=str))


def _finite(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _finite(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(item) for item in value]
    return None if isinstance(value, float) and not isfinite(value) else value


def plain(value: Any) -> Any:
    """Dataclasses as mappings, arrays as lists; numbers to as many digits as can mean anything."""
    if is_dataclass(value):
        return {KEYS.get(f.name, f.name): plain(getattr(value, f.name)) for f in fields_of(value)}
    if isinstance(value, Mapping):
        return {name: plain(item) for name, item in value.items()}
    if hasattr(value, "tolist"):  # of numpy, which not every command loads
        value = value.tolist()
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    return float(f"{value:.{DIGITS}g}") if isinstance(value, float) else value


def report(report: Report) -> dict[str, Any]:
    """The whole report, in the form of docs/schema/report.schema.json."""
    evidence = report.evidence
    return {
        "form": FORM,
        "scope": plain(report.scope),
        "verdicts_by_grade": report.grades,
        "provisional": report.provisional,
        "rules": [plain(rule) for rule in report.rules],
        "areas": [_scored(area) for area in report.areas],
        "lineups": [_scored(lineup) for lineup in report.lineups],
        "on_trial": [plain(rule) for rule in report.on_trial],
        "failed_by_grade": {"conceded": report.conceded, "standing": report.standing},
        "findings": [verdict(finding) for finding in report.findings],
        "same_cause": [[list(f.identity) for f in group.findings] for group in report.groups if group.consequences],
        "concessions": rows(report.concessions),
        "actions": rows(report.actions),
        "to_verify": [plain(clause) for clause in report.to_verify],
        "to_collect": fields(report),
        "cant_tell": [plain(unknown) for unknown in evidence.unknowns],
        "verdicts": dict(evidence.verdicts),
        "criteria": criteria(evidence.criteria) if evidence.criteria else None,
    }


def criteria(criteria: Criteria) -> dict[str, Any]:
    """What was judged by."""
    return {
        "name": criteria.name,
        "version": criteria.version,
        "hash": criteria.hash,
        "rules": _rules(criteria.rules),
        "limits": [plain(limit) for limit in criteria.limits],
        "overrides": [plain(override) for override in criteria.overrides],
    }


def _scored(tally) -> dict[str, Any]:
    return plain(tally) | {"judged_pct": tally.judged_pct, "passed_pct": tally.passed_pct}


def verdict(finding: Finding) -> dict[str, Any]:
    """One verdict opened."""
    data = plain(finding)
    data["clauses"] = [
        {"clause": text, "with_values": valued, "holds": truth} for text, valued, truth in finding.clauses
    ]
    data["limits"] = {
        name: {"value": value, "layer": layer, "reason": reason}
        for name, (value, layer, reason) in finding.limits.items()
    }
    data["priority"]["product"] = finding.priority.product
    data["provisional"] = finding.provisional
    data["conceded"] = finding.conceded
    return data


def verdicts(found: list[tuple[str, str, str, str]]) -> list[dict[str, str]]:
    """Every rule's outcome at one position."""
    return [dict(zip(("rule", "grade", "outcome", "title"), v, strict=True)) for v in found]


def fields(report: Report) -> list[dict[str, Any]]:
    """The fields to read, with the positions where each is missing."""
    return [plain(field) for field in report.fields]


def rules(pack) -> list[dict[str, Any]]:
    """The rules in force, in short."""
    return _rules(pack.rules)


def _rules(rules: tuple[Rule, ...]) -> list[dict[str, Any]]:
    return [
        {
            "rule": rule.id,
            "title": rule.title,
            "title_failed": rule.title_failed,
            "grade": str(rule.grade),
            "practice": rule.practice,
            "harm": str(rule.harm),
            "subject": rule.subject,
            "trial": rule.trial,
            "applies": rule.applies,
            "requires": rule.requires,
            "basis": [plain(source) for source in rule.basis],
        }
        for rule in rules
    ]


def rule(pack, rule) -> dict[str, Any]:
    """One rule whole, with the limits that it reads and the site's overrides."""
    laid = [plain(o) for o in pack.overrides if o.limit in rule.limits]
    lines = [plain(line) for line in pack.taken_in if line.rule == rule.id]
    return {
        "rule": rule.id,
        **{key: getattr(rule, key) for key in RULE_KEYS},
        "basis": [plain(source) for source in rule.basis],
        "reads": list(rule.columns),
        "limits": [plain(pack.limits[name]) for name in rule.limits],
        "overrides": laid,
        "taken_in": lines,
        "examples": [{"is": e.outcome.word, **e.row} for e in rule.examples],
        "file": str(rule.path),
    }


# fmt: off
RULE_KEYS = (
    "title", "title_failed", "grade", "practice", "subject", "trial", "measured_only", "applies", "requires",
    "margin", "finding", "why", "action", "caution", "unknown_is_deliberate",
)
# fmt: on


def proofs(found) -> list[dict[str, Any]]:
    """Every proof, with what is wrong."""
    return [plain(proof) | {"faults": [{"rule": r, "what": text} for r, text in proof.faults]} for proof in found]


def tried(trial) -> dict[str, Any]:
    """One rule tried on a register."""
    return {
        "rule": trial.rule.id,
        "counts": trial.count.counts,
        "examples_that_do_not_hold": [str(wrong) for wrong in trial.wrong],
        "would_fail": [{"tag": f.tag, "sentence": f.sentence} for f in trial.findings],
        "to_collect": [plain(field) for field in trial.fields],
        "moves": [plain(move) for move in trial.moves],
    }


def compared(comparison) -> dict[str, Any]:
    """Two versions of a pack on one register."""
    return plain(comparison) | {"unaccepted": [plain(move) for move in comparison.unaccepted]}


def plan(plan: Any, applied: Any | None) -> dict[str, Any]:
    """What a list would bring, or brought."""
    return {
        "applied": applied is not None,
        "change_set": getattr(applied, "change_set", None),
        "tables": plan.counts(),
        "changed": [plain(change) for change in plan.changed],
        "refused": [plain(refusal) for refusal in plan.refused],
        "questions": [plain(doubt) for doubt in plan.doubts],
        "notes": list(plan.notes),
        "passed_over": dict(plan.skipped),
        "cells": {sheet: dict(ends) for sheet, ends in plan.cells.items()},
    }


def rows(found: Iterable[Any]) -> list[dict[str, Any]]:
    """Concessions, actions: one object each."""
    return [plain(one) for one in found]


def kept(known: Iterable[Any]) -> list[dict[str, Any]]:
    """The audits that were kept, without their rules and limits."""
    names = (
        "audit_id",
        "made_at",
        "made_by",
        "today",
        "program_version",
        "method_hash",
        "pack_hash",
        "register_hash",
        "scope",
        "counts",
    )
    return [{name: getattr(audit, name) for name in names} for audit in known]


def comparison(made: Comparison) -> dict[str, Any]:
    """Two audits compared."""
    data = plain(made)
    data["persisting"] = [{"rule": rule, "tag": tag} for rule, tag in made.persisting]
    return data | {"counts": made.counts, "unexplained": rows(made.unexplained)}
