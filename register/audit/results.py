"""The results of an audit: its report, one verdict opened, every outcome at one place."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from sqlite_utils import Database

import register
from register.audit import actions
from register.audit import concession_requests as concessions
from register.audit.finding import Finding
from register.audit.findings import anything_to_collect, findings, opened_verdict, unknowns, unopened
from register.audit.judge import Audit, Progress
from register.audit.keep import keep
from register.audit.outline import (
    AreaCount,
    Criteria,
    Evidence,
    LineupCount,
    Outline,
    RuleCount,
    Scope,
    StartCourse,
    grades_of,
)
from register.audit.places import places_of
from register.audit.priority import most_pressing_first
from register.audit.report import Report, report
from register.audit.root_causes import grouped
from register.audit.scores import Tally, tallies
from register.audit.session import Session
from register.audit.verify import ToVerify, to_verify
from register.columns import SUBJECTS
from register.columns.renamed import rule_now
from register.facts.standard_tables import load_tables
from register.rulebook.model import Outcome, Pack, Verdicts
from register.rulebook.run.evaluate import counts_outside
from register.store.queries import subject_of

# Where what is no position stands among the areas.
ELSEWHERE = {"bus": "(lineups)", "device in store": "(in store)"}


def report_on(db: Database, audit: Audit, *, register_name: str, with_starts: bool = False) -> Report:
    """The audit as the one object that every kind of report shows.

    `with_starts` adds the course of the starts that findings are based on.
    """
    found = findings(db, audit)
    each = (counts_outside(db.conn, audit.pack, table, today=audit.today) for table in audit.tables)
    outside = {rule: count for counts in each for rule, count in counts.items()}
    stand = concessions.standings(db, audit, found)
    return report(
        _scope(db, audit, register_name),
        rule_counts(audit.tables, outside),
        concessions.marked(found, stand),
        unknowns(db, audit),
        areas=[AreaCount(**_told(tally), area=part) for part, tally in _by(db, audit, "area")],
        lineups=_lineups(db, audit),
        on_trial=rule_counts(audit.on_trial),
        concessions=stand,
        actions=actions.followed_up(db, audit),
        to_verify=_to_verify(audit),
        doubting=_doubting(audit),
        evidence=Evidence(
            verdicts={at: letters for at, letters, _ in audit.rows()},
            places=dict(_places(db, audit)),
            courses=_courses(db, audit, found) if with_starts else {},
            criteria=_criteria(audit.pack),
        ),
    )


def outline_of(session: Session, *, progress: Progress | None = None) -> Outline:
    """What the first screen shows of an audit: as in its report, with no finding opened."""
    db, audit = session.db, session.audit(progress=progress)
    stand = concessions.standings(db, audit, concessions.spoken_of(db, audit))
    found = sorted(concessions.marked(unopened(db, audit), stand), key=most_pressing_first)
    counts = tuple(rule_counts(audit.tables))
    return Outline(
        scope=_scope(db, audit, session.path.name),
        grades=grades_of(counts),
        rules=counts,
        findings=tuple(found),
        provisional=sum(rule.provisional for rule in counts),
        to_collect=anything_to_collect(db, audit),
        lineups=tuple(_lineups(db, audit)),
        on_trial=tuple(rule_counts(audit.on_trial)),
        concessions=stand,
        actions=tuple(actions.followed_up(db, audit)),
        to_verify=_to_verify(audit),
        evidence=Evidence(criteria=_criteria(audit.pack)),
        groups=grouped(found, _doubting(audit)),
    )


def _scope(db: Database, audit: Audit, register_name: str) -> Scope:
    site = next(iter(db["site"].rows), {})
    return Scope(
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


def _to_verify(audit: Audit) -> tuple[ToVerify, ...]:
    return to_verify(audit, load_tables(audit.pack.folder / "tables"))


def _doubting(audit: Audit) -> list[str]:
    return [rule.id for rule in audit.rules if rule.doubts]


def _courses(db: Database, audit: Audit, found: list[Finding]) -> dict[str, StartCourse]:
    from register.audit.start_curves import courses  # all of the study of starts, which few reports show

    return courses(db, found, measured_only=audit.measured_only)


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


def _lineups(db: Database, audit: Audit) -> list[LineupCount]:
    return [LineupCount(**_told(tally), lineup=part) for part, tally in _by(db, audit, "bus")]


def _by(db: Database, audit: Audit, column: str) -> list[tuple[str, Tally]]:
    """How each area, or each bus, stands."""
    parts = dict(db.conn.execute(f"SELECT tag, {column} FROM position"))
    unknown = {"area": "(area unknown)", "bus": "(lineup unknown)"}[column]

    def part_of(subject: str, tag: str) -> str:
        if subject == "position":
            return parts[tag] or unknown
        return tag if subject == column else ELSEWHERE[subject]

    return tallies(audit.tables, part_of)


def rule_counts(tables: Iterable[Verdicts], outside: Mapping[str, int] | None = None) -> Iterator[RuleCount]:
    """The outcomes of each rule, counted; `outside` are those where it does not reach."""
    beyond = outside or {}
    for table in tables:
        for col, rule in enumerate(table.rules):
            outcomes = table.outcomes[:, col]
            yield RuleCount(
                rule=rule.id,
                title=rule.title,
                title_failed=rule.title_failed,
                grade=rule.grade,
                counts={o.word: int((outcomes == o).sum()) for o in Outcome},
                provisional=int((table.provisional[:, col] & (outcomes < Outcome.CANT_TELL)).sum()),
                subject=rule.subject,
                outside=beyond.get(rule.id, 0),
            )


def report_of(
    session: Session, *, keep_as: str | None = None, with_starts: bool = False, progress: Progress | None = None
) -> Report:
    """The report of an audit of the open register.

    With `keep_as`, the name of who makes it, the audit is kept in the register; `progress` is told
    the rows of facts done, of how many, while any are built.
    """
    audit = session.audit(progress=progress)
    made = report_on(session.db, audit, register_name=session.path.name, with_starts=with_starts)
    if keep_as is not None:
        keep(session.db, audit, made, keep_as)
    return made


def explained(session: Session, tag: str, rule: str) -> Finding:
    """One verdict opened, with the concession that speaks of it."""
    audit = session.audit(tags=_enough(session, tag, rule))
    verdict = opened_verdict(session.db, audit, tag, rule)
    if verdict.outcome != "failed":
        return verdict
    stand = [s for s in concessions.standings(session.db, audit, [verdict]) if (s.rule, s.at) == verdict.identity]
    return concessions.marked([verdict], stand)[0]


def _enough(session: Session, tag: str, rule: str) -> list[str] | None:
    """The position, where judging it alone is enough for one verdict; None where all is to be judged."""
    about = next((r.subject for r in session.pack.rules if r.id == rule_now(rule)), "")
    there = session.db.execute("SELECT 1 FROM position WHERE tag = ?", (tag,)).fetchone()
    return [tag] if there and about == "position" else None


def at_position(session: Session, tag: str) -> list[tuple[str, str, str, str]]:
    """(rule, grade, outcome, title) of every rule at a position, a bus or a device in store."""
    subject = subject_of(session.db, tag)
    audit = session.audit(tags=[tag] if subject == "position" else None)
    return [
        (rule.id, str(rule.grade), outcome.word, rule.title_at(outcome))
        for table in audit.tables
        if table.subject == subject
        for rule in table.rules
        for outcome in [audit.outcome(tag, rule.id)]
    ]
