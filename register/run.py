"""An audit of the register in a file: opened, judged, reported, and kept if asked."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import asdict
from datetime import date
from pathlib import Path

from sqlite_utils import Database

import register
from register.audit import Audit, findings, opened_verdict, places_of, run, unknowns
from register.errors import DONE, FINDINGS, TOO_MUCH_UNKNOWN, Problem, StartrollError
from register.findings.model import Finding
from register.reports.view import (
    GRADES,
    Criteria,
    Evidence,
    Report,
    RuleCount,
    Scope,
    report,
)
from register.rulebook.load import load_pack
from register.rulebook.model import Outcome, Pack
from register.store import audits
from register.store.database import opened, writing
from register.store.reading import positions, rows_at


def report_on(db: Database, audit: Audit, *, register_name: str) -> Report:
    """The audit as the one object that every kind of report shows."""
    site = next(iter(db["site"].rows), {})
    verdicts = audit.verdicts
    scope = Scope(
        site=site.get("site", ""),
        practice=site.get("practice", ""),
        register=register_name,
        today=audit.today.isoformat(),
        positions=len(verdicts.tags),
        rules=len(verdicts.rules),
        pack=f"{audit.pack.name} {audit.pack.version} ({audit.pack.hash[:8]})",
        program=register.__version__,
        measured_only=audit.measured_only,
    )
    places = places_of(db, verdicts.tags)
    area_of = {tag: place["area"] for tag, place in places.items()}
    evidence = Evidence(verdicts=verdicts.letters(), places=places, criteria=_criteria(audit.pack))
    return report(
        scope, _counts(audit), findings(db, audit), unknowns(db, audit), area_of, evidence
    )


def _criteria(pack: Pack) -> Criteria:
    return Criteria(
        name=pack.name,
        version=pack.version,
        hash=pack.hash,
        rules=pack.rules,
        limits=tuple(pack.limits.values()),
        overrides=pack.overrides,
    )


def _counts(audit: Audit) -> Iterator[RuleCount]:
    for col, rule in enumerate(audit.verdicts.rules):
        outcomes = audit.verdicts.outcomes[:, col]
        yield RuleCount(
            rule=rule.id,
            title=rule.title,
            grade=rule.grade,
            counts={o.word: int((outcomes == o).sum()) for o in Outcome},
            provisional=int(audit.provisional[:, col].sum()),
        )


def of_register(
    path: Path,
    *,
    today: date,
    site_rules: Path | None = None,
    measured_only: bool = False,
    area: str | None = None,
    keep_as: str | None = None,
) -> Report:
    """Audit the register in a file and report on it; read-only files are audited too.

    With `keep_as`, the name of who makes it, the audit is kept in the register.
    """
    pack = load_pack(site_folder=site_rules)
    with opened(path, write=os.access(path, os.W_OK)) as db:
        tags = None if area is None else [row["tag"] for row in positions(db, area=area)]
        audit = run(db, pack, today=today, measured_only=measured_only, tags=tags)
        made = report_on(db, audit, register_name=path.name)
        if keep_as is not None:
            _keep(db, audit, made, keep_as)
        return made


def explained(
    path: Path,
    tag: str,
    rule: str,
    *,
    today: date,
    site_rules: Path | None = None,
    measured_only: bool = False,
) -> Finding:
    """One verdict of the register in a file, opened."""
    pack = load_pack(site_folder=site_rules)
    with opened(path, write=os.access(path, os.W_OK)) as db:
        audit = run(db, pack, today=today, measured_only=measured_only)
        return opened_verdict(db, audit, tag, rule)


def at_position(
    path: Path, tag: str, *, today: date, site_rules: Path | None = None,
    measured_only: bool = False,
) -> list[tuple[str, str, str, str]]:  # fmt: skip
    """(rule, grade, outcome, title) of every rule at one position."""
    pack = load_pack(site_folder=site_rules)
    with opened(path, write=os.access(path, os.W_OK)) as db:
        rows_at(db, tag)
        audit = run(db, pack, today=today, measured_only=measured_only, tags=[tag])
        return [(rule.id, str(rule.grade), audit.outcome(tag, rule.id).word, rule.title)
                for rule in audit.verdicts.rules]  # fmt: skip


def check_grade(grade: str) -> None:
    """Raise StartrollError when there is no such grade."""
    if grade not in GRADES:
        raise StartrollError(
            Problem(f"{grade!r} is not a grade", f"one of {', '.join(GRADES)}", "--grade")
        )


def exit_code(report: Report, *, grade: str, allow_unknown_pct: float | None) -> int:
    """0, or 1 on a finding of `grade` or graver, or 3 when more than that % can't be told."""
    check_grade(grade)
    grave = GRADES[: GRADES.index(grade) + 1]
    if any(report.grades[g]["failed"] for g in grave):
        return FINDINGS
    verdicts = report.scope.positions * report.scope.rules
    cant_tell = sum(report.grades[g]["cant-tell"] for g in GRADES)
    if allow_unknown_pct is not None and 100 * cant_tell > allow_unknown_pct * verdicts:
        return TOO_MUCH_UNKNOWN
    return DONE


def _keep(db: Database, audit: Audit, made: Report, author: str) -> None:
    """Keep an audit in the register: every verdict as a letter, every finding whole."""
    verdicts = audit.verdicts
    rows = (
        (tag, letters, "".join("ny"[p] for p in provisional))
        for (tag, letters), provisional in zip(
            verdicts.letters().items(), audit.provisional.astype(int), strict=True
        )
    )
    head = {
        "today": made.scope.today,
        "program_version": made.scope.program,
        "pack_hash": audit.pack.hash,
        "limits": {name: limit.value for name, limit in audit.pack.limits.items()},
        "scope": asdict(made.scope),
        "rules": [rule.id for rule in verdicts.rules],
        "counts": made.grades,
    }
    found = (
        {"tag": f.tag, "rule": f.rule, "grade": f.grade, "margin": f.margin,
         "provisional": "yes" if f.provisional else "no", "detail": asdict(f)}
        for f in made.findings
    )  # fmt: skip
    with writing(db, reason=f"audit as on {made.scope.today}", author=author):
        audits.keep(db, head, rows, found)
