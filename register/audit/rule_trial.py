"""Rules tried on a register before they count: one new rule, or one version of a pack for another.

The register is only read: facts are taken as they are, or made beside it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from sqlite_utils import Database

from register.audit.finding import Finding
from register.audit.findings import findings_of, unknowns_of
from register.audit.judge import Audit, run
from register.audit.outline import RuleCount
from register.audit.priority import most_pressing_first
from register.audit.report import FieldToRead, fields_to_read
from register.audit.results import rule_counts
from register.audit.session import Session
from register.errors import Problem
from register.facts.build import every_gap
from register.rulebook.load.dated_lines import lines_of
from register.rulebook.load.pack import load_rule
from register.rulebook.model import Line, Outcome, Pack, Rule
from register.rulebook.proofs.failed_examples import wrong_of

FAILED = Outcome.FAILED.word
GONE = "gone"


@dataclass(frozen=True)
class Move:
    """Verdicts of one rule that come out otherwise; `after` is `gone` where the rule is."""

    rule: str
    before: str
    after: str
    tags: tuple[str, ...]

    @property
    def loses_findings(self) -> bool:
        """Whether what failed fails no longer, though nothing on site has changed."""
        return self.before == FAILED


@dataclass(frozen=True)
class Tried:
    """One rule on a register: examples that do not hold, outcomes, findings, fields it would need.

    `moves` are the verdicts that differ from those of the rule of that id in force, if any is.
    """

    rule: Rule
    wrong: tuple[Problem, ...]
    count: RuleCount
    findings: tuple[Finding, ...]
    fields: tuple[FieldToRead, ...]
    replaces: bool
    moves: tuple[Move, ...]


@dataclass(frozen=True)
class Compared:
    """Two versions of a pack on one register: what moves, what is new, and who accepts the loss."""

    old: str
    new: str
    moves: tuple[Move, ...]
    added: tuple[RuleCount, ...]
    accepted: tuple[Line, ...]

    @property
    def unaccepted(self) -> tuple[Move, ...]:
        """Moves by which findings are lost that no line accepts."""
        named = {line.rule for line in self.accepted}
        return tuple(m for m in self.moves if m.loses_findings and m.rule not in named)


def try_rule(session: Session, file: Path) -> Tried:
    """Judge a register by one rule that is in no pack yet, or takes the place of one there.

    Errors: RuleError with every problem of the file.
    """
    db, pack = session.db, session.pack
    rule = load_rule(file, pack)
    old = next((r for r in pack.rules if r.id == rule.id), None)
    audit = replace(session, pack=replace(pack, rules=(rule,))).audit()
    open_verdicts = unknowns_of(db, audit, rule, every_gap(db))
    found = sorted(findings_of(db, audit, rule), key=most_pressing_first)
    before = replace(session, pack=replace(pack, rules=(old,))).audit() if old else None
    (count,) = rule_counts((audit.table(rule.id),))
    return Tried(
        rule=rule,
        wrong=tuple(wrong_of(rule, pack)),
        count=count,
        findings=tuple(found),
        fields=fields_to_read(open_verdicts),
        replaces=old is not None,
        moves=tuple(_moves(before, audit, rule.id)) if before else (),
    )


def compare_packs(db: Database, old: Pack, new: Pack, *, today: date, accepted: Path | None = None) -> Compared:
    """Judge one register by two versions of a pack, and tell every verdict that moves.

    Parameters
    ----------
    accepted : a file of dated lines about rules whose findings may be lost, each with its reason.

    Errors: RuleError with every problem of that file.
    """
    packs = old, new
    ids = [{rule.id for rule in pack.rules} for pack in packs]
    lines = lines_of(accepted, ids[0] | ids[1]) if accepted else ()
    before, after = (run(db, pack, today=today) for pack in packs)
    moves = [m for rule in sorted(ids[0]) for m in _moves(before, after, rule)]
    every = rule_counts(after.tables + after.on_trial)
    return Compared(
        old=f"{packs[0].name} {packs[0].version} ({packs[0].hash[:8]})",
        new=f"{packs[1].name} {packs[1].version} ({packs[1].hash[:8]})",
        moves=tuple(sorted(moves, key=lambda m: not m.loses_findings)),
        added=tuple(count for count in every if count.rule not in ids[0]),
        accepted=lines,
    )


def _moves(before: Audit, after: Audit, rule: str) -> Iterator[Move]:
    """The verdicts of a rule that differ; of one that is gone, its findings."""
    table = before.table(rule)
    found: dict[tuple[str, str], list[str]] = {}
    for tag in table.tags:
        was = before.outcome(tag, rule).word
        if after.has(rule, table.subject):
            now = after.outcome(tag, rule).word
        else:
            now = GONE if was == FAILED else was
        if was != now:
            found.setdefault((was, now), []).append(tag)
    for (was, now), tags in sorted(found.items()):
        yield Move(rule, was, now, tuple(tags))
