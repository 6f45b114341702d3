"""An audit of the register in a file: opened, judged, reported, and kept if asked."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

from sqlite_utils import Database

import register
from register.audit import act, concede
from register.audit.finding import Finding
from register.audit.judge import Audit, findings, opened_verdict, run, unknowns
from register.audit.keep import keep
from register.audit.places import places_of
from register.audit.report import GRADES, AreaCount, Criteria, Evidence, LineupCount, Report, RuleCount, Scope, report
from register.audit.scores import Tally, tallies
from register.audit.start_curves import courses
from register.audit.verify import to_verify
from register.columns import SUBJECTS
from register.errors import CONCESSION_LAPSED, DONE, FINDINGS, TOO_MUCH_UNKNOWN, Problem, StartrollError
from register.facts.standard_tables import load_tables
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Outcome, Pack, Verdicts
from register.store import clock
from register.store.database import opened
from register.store.queries import positions, subject_of

# Where what is no position stands among the areas.
ELSEWHERE = {"bus": "(lineups)", "device in store": "(in store)"}


def report_on(db: Database, audit: Audit, *, register_name: str, with_starts: bool = False) -> Report:
    """The audit as the one object that every kind of report shows.

    `with_starts` adds the course of the starts that findings rest on.
    """
    site = next(iter(db["site"].rows), {})
    scope = Scope(
        site=site.get("site", ""),
        practice=site.get("practice", ""),
        register=register_name,
        today=audit.today.isoformat(),
        positions=len(audit.verdicts.tags),
        rules=len(audit.rules),
        pack=f"{audit.pack.name} {audit.pack.version} ({audit.pack.hash[:8]})",
        program=register.__version__,
        measured_only=audit.measured_only,
        judged=tuple((t.subject, len(t.tags), len(t.rules)) for t in audit.tables),
    )
    found = findings(db, audit)
    stand = concede.standings(db, audit, found)
    return report(
        scope,
        rule_counts(audit.tables),
        concede.marked(found, stand),
        unknowns(db, audit),
        areas=[AreaCount(**_told(tally), area=part) for part, tally in _by(db, audit, "area")],
        lineups=[LineupCount(**_told(tally), lineup=part) for part, tally in _by(db, audit, "bus")],
        on_trial=rule_counts(audit.on_trial),
        concessions=stand,
        actions=act.followed_up(db, audit),
        to_verify=to_verify(audit, load_tables(audit.pack.folder / "tables")),
        evidence=Evidence(
            verdicts={at: letters for at, letters, _ in audit.rows()},
            places=dict(_places(db, audit)),
            courses=courses(db, found, measured_only=audit.measured_only) if with_starts else {},
            criteria=_criteria(audit.pack),
        ),
    )


def _places(db: Database, audit: Audit) -> Iterator[tuple[str, dict[str, Any]]]:
    for table in audit.tables:
        named = SUBJECTS[table.subject].named
        for tag, place in places_of(db, table.subject, list(table.tags)).items():
            yield named(tag), place | {"area": place["area"] or ELSEWHERE.get(table.subject)}


def _criteria(pack: Pack) -> Criteria:
    return Criteria(
        name=pack.name,
        version=pack.version,
        hash=pack.hash,
        rules=pack.rules,
        limits=tuple(pack.limits.values()),
        overrides=pack.overrides,
    )


def _told(tally: Tally) -> dict[str, Any]:
    return {name: getattr(tally, name) for name in ("positions", "failed", "cant_tell", "passed")}


def _by(db: Database, audit: Audit, column: str) -> list[tuple[str, Tally]]:
    """How each area, or each bus, stands."""
    parts = dict(db.conn.execute(f"SELECT tag, {column} FROM position"))
    unknown = {"area": "(area unknown)", "bus": "(lineup unknown)"}[column]

    def part_of(subject: str, tag: str) -> str:
        if subject == "position":
            return parts[tag] or unknown
        return tag if subject == column else ELSEWHERE[subject]

    return tallies(audit.tables, part_of)


def rule_counts(tables: Iterable[Verdicts]) -> Iterator[RuleCount]:
    """The outcomes of each rule, counted."""
    for table in tables:
        for col, rule in enumerate(table.rules):
            outcomes = table.outcomes[:, col]
            yield RuleCount(
                rule=rule.id,
                title=rule.title,
                grade=rule.grade,
                counts={o.word: int((outcomes == o).sum()) for o in Outcome},
                provisional=int(table.provisional[:, col].sum()),
                subject=rule.subject,
            )


def of_register(
    path: Path,
    *,
    today: date | None = None,
    site_rules: Path | None = None,
    measured_only: bool = False,
    area: str | None = None,
    keep_as: str | None = None,
    with_starts: bool = False,
    progress: Callable[[int, int], None] | None = None,
) -> Report:
    """Audit the register in a file and report on it; read-only files are audited too.

    Without `today`, it is judged as on the day that it is on site.
    With `keep_as`, the name of who makes it, the audit is kept in the register; `progress` is told
    the rows of facts done, of how many, while any are built.
    """
    pack = load_pack(site_folder=site_rules)
    with opened(path, write=os.access(path, os.W_OK)) as db:
        tags = None if area is None else [row["tag"] for row in positions(db, area=area)]
        on = today or clock.today(db)
        audit = run(db, pack, today=on, measured_only=measured_only, tags=tags, progress=progress)
        made = report_on(db, audit, register_name=path.name, with_starts=with_starts)
        if keep_as is not None:
            keep(db, audit, made, keep_as)
        return made


def explained(
    path: Path,
    tag: str,
    rule: str,
    *,
    today: date | None = None,
    site_rules: Path | None = None,
    measured_only: bool = False,
) -> Finding:
    """One verdict of the register in a file, opened."""
    pack = load_pack(site_folder=site_rules)
    with opened(path, write=os.access(path, os.W_OK)) as db:
        on = today or clock.today(db)
        audit = run(db, pack, today=on, measured_only=measured_only)
        verdict = opened_verdict(db, audit, tag, rule)
        if verdict.outcome != "failed":
            return verdict
        stand = [s for s in concede.standings(db, audit, [verdict]) if (s.rule, s.tag) == verdict.identity]
        return concede.marked([verdict], stand)[0]


def at_position(
    path: Path, tag: str, *, today: date | None = None, site_rules: Path | None = None, measured_only: bool = False
) -> list[tuple[str, str, str, str]]:
    """(rule, grade, outcome, title) of every rule at a position, a bus or a device in store."""
    pack = load_pack(site_folder=site_rules)
    with opened(path, write=os.access(path, os.W_OK)) as db:
        subject = subject_of(db, tag)
        tags = [tag] if subject == "position" else None
        on = today or clock.today(db)
        audit = run(db, pack, today=on, measured_only=measured_only, tags=tags)
        return [
            (rule.id, str(rule.grade), audit.outcome(tag, rule.id).word, rule.title)
            for table in audit.tables
            if table.subject == subject
            for rule in table.rules
        ]


def check_grade(grade: str) -> None:
    """Raise StartrollError when there is no such grade."""
    if grade not in GRADES:
        raise StartrollError(Problem(f"{grade!r} is not a grade", f"one of {', '.join(GRADES)}", "--grade"))


def exit_code(report: Report, *, grade: str, allow_unknown_pct: float | None) -> int:
    """How an audit ends.

    4 when a concession for a finding of `grade` or graver is void; else 1 when such a finding
    stands without one; else 3 when more than that % can't be told; else 0.
    """
    check_grade(grade)
    grave = GRADES[: GRADES.index(grade) + 1]
    if any(finding.grade in grave for finding in report.lapsed):
        return CONCESSION_LAPSED
    if any(report.standing[g] for g in grave):
        return FINDINGS
    verdicts = report.scope.verdicts
    cant_tell = sum(report.grades[g]["cant-tell"] for g in GRADES)
    if allow_unknown_pct is not None and 100 * cant_tell > allow_unknown_pct * verdicts:
        return TOO_MUCH_UNKNOWN
    return DONE
