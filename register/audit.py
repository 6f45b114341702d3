"""The audit: register → facts → verdicts → findings, each stage one call."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from difflib import get_close_matches
from typing import Any

import numpy as np
from sqlite_utils import Database

from register import columns
from register.errors import Problem, StartrollError
from register.facts.assumptions import (
    Assumption,
    load_assumptions,
    mask_for,
    stand_ins_named,
)
from register.facts.build import every_gap, gaps, refresh
from register.facts.derived import entered_behind
from register.facts.tables import load_tables
from register.findings.model import Finding, Unknown, Value
from register.findings.priority import priority
from register.rulebook.evaluate import evaluate
from register.rulebook.explain import explain, unknown_columns
from register.rulebook.model import Explanation, Outcome, Pack, Rule, Verdicts
from register.store.reading import origin_of


@dataclass(frozen=True)
class Audit:
    """What one run concluded: an outcome for every rule at every position."""

    pack: Pack
    today: date
    verdicts: Verdicts
    provisional: np.ndarray
    assumptions: tuple[Assumption, ...]
    measured_only: bool

    def outcome(self, tag: str, rule: str) -> Outcome:
        """The outcome of one rule at one position."""
        return Outcome(int(self.verdicts.outcomes[self._row(tag), self._column(rule)]))

    def is_provisional(self, tag: str, rule: str) -> bool:
        """True when that verdict rests on a stand-in."""
        return bool(self.provisional[self._row(tag), self._column(rule)])

    def failed(self) -> Iterator[tuple[str, str]]:
        """(tag, rule id) of every failed verdict."""
        return self.having(Outcome.FAILED)

    def having(self, outcome: Outcome) -> Iterator[tuple[str, str]]:
        """(tag, rule id) of every verdict with that outcome."""
        for row, col in np.argwhere(self.verdicts.outcomes == outcome):
            yield self.verdicts.tags[row], self.verdicts.rules[col].id

    def tags_having(self, outcome: Outcome, rule: Rule) -> list[str]:
        """The positions where that rule came out so."""
        col = self._column(rule.id)
        return [self.verdicts.tags[i]
                for i in np.flatnonzero(self.verdicts.outcomes[:, col] == outcome)]  # fmt: skip

    def stand_ins(self, tag: str, rule: Rule) -> tuple[str, ...]:
        """The stand-ins that a verdict rests on, in words; empty for a firm one."""
        mask = mask_for(rule.columns, self.assumptions)
        used = int(self.verdicts.stand_ins[self._row(tag)]) & mask
        return tuple(stand_ins_named(used, self.assumptions))

    def left_open(self, tag: str, rule: Rule) -> tuple[str, ...]:
        """The blanks whose stand-ins may not be judged by that rule, so that it can't be told."""
        used = int(self.verdicts.stand_ins[self._row(tag)])
        return tuple(a.column for a in self.assumptions
                     if rule.id in a.not_for and used >> a.bit & 1)  # fmt: skip

    def _row(self, tag: str) -> int:
        return self.verdicts.row(tag)

    def _column(self, rule: str) -> int:
        return self.verdicts.column(rule)


def run(
    db: Database,
    pack: Pack,
    *,
    today: date,
    measured_only: bool = False,
    tags: Iterable[str] | None = None,
) -> Audit:
    """Judge every position (or those of `tags`) by every rule of the pack.

    Parameters
    ----------
    db : an open register; facts are refreshed in it, or beside it when it cannot be written.
    pack : the rules and limits in force.
    today : the day on which the audit is made.
    measured_only : leave every stand-in out.
    """
    assumptions = load_assumptions(pack.folder / "assumptions.yml")
    refresh(
        db,
        tables=load_tables(pack.folder / "tables"),
        assumptions=assumptions,
        measured_only=measured_only,
    )
    verdicts = evaluate(db.conn, pack, today=today, tags=None if tags is None else list(tags))
    _leave_open(verdicts, assumptions)
    masks = np.array([mask_for(rule.columns, assumptions) for rule in verdicts.rules], np.int64)
    decided = (verdicts.outcomes == Outcome.PASSED) | (verdicts.outcomes == Outcome.FAILED)
    provisional = decided & ((verdicts.stand_ins[:, None] & masks[None, :]) != 0)
    return Audit(pack, today, verdicts, provisional, assumptions, measured_only)


def _leave_open(verdicts: Verdicts, assumptions: tuple[Assumption, ...]) -> None:
    """Where a rule would judge a stand-in by what it stands in for, it can't be told."""
    for assumption in assumptions:
        used = (verdicts.stand_ins >> assumption.bit & 1).astype(bool)
        for rule in {r.id for r in verdicts.rules} & set(assumption.not_for):
            column = verdicts.outcomes[:, verdicts.column(rule)]
            column[used & (column < Outcome.CANT_TELL)] = Outcome.CANT_TELL


def findings(db: Database, audit: Audit) -> list[Finding]:
    """Every failed verdict, opened: clauses, values with their origin, margin, action."""
    found = []
    for rule in audit.verdicts.rules:
        tags = audit.tags_having(Outcome.FAILED, rule)
        if tags:
            explanations = explain(db.conn, audit.pack, rule, tags, today=audit.today)
            places = places_of(db, tags)
            origins = origin_of(db, tags, rule.shown_columns)
            found += [_opened(audit, rule, e, places[e.tag], origins) for e in explanations]
    return found


def opened_verdict(db: Database, audit: Audit, tag: str, rule_id: str) -> Finding:
    """One verdict opened, whatever its outcome; StartrollError when tag or rule is unknown."""
    rule = _known(rule_id, {r.id: r for r in audit.verdicts.rules}, "rule", "startroll rules list")
    _known(tag, dict.fromkeys(audit.verdicts.tags), "position", "startroll positions")
    explanation = explain(db.conn, audit.pack, rule, [tag], today=audit.today)[0]
    origins = origin_of(db, [tag], rule.shown_columns)
    opened = _opened(audit, rule, explanation, places_of(db, [tag])[tag], origins)
    fields = (*audit.left_open(tag, rule), *gaps(db, tag, explanation.unknown_columns))
    return replace(opened, to_read=fields)


def _known(name: str, among: dict, noun: str, listing: str) -> Any:
    if name in among:
        return among[name]
    near = get_close_matches(name, list(among), n=1, cutoff=0.5)
    hint = f"did you mean {near[0]}? " if near else ""
    raise StartrollError(Problem(f"there is no {noun} {name!r}", f"{hint}{listing} lists them"))


def _opened(
    audit: Audit, rule: Rule, explanation: Explanation, place: dict[str, Any], origins: dict
) -> Finding:
    tag = explanation.tag
    values = tuple(
        Value(name, value, columns.column(name).unit, _origin(audit, name, tag, value, origins))
        for name, value in explanation.values.items()
    )
    compared = {n: v for n, v in explanation.values.items() if n in rule.margin_columns}
    return Finding(
        tag=tag,
        rule=rule.id,
        title=rule.title,
        grade=rule.grade,
        outcome=audit.outcome(tag, rule.id).word,
        sentence=explanation.sentence,
        clauses=tuple((c.text, c.valued, c.truth) for c in explanation.clauses),
        values=values,
        margin=explanation.margin,
        margin_unit=explanation.margin_unit,
        limits=explanation.limits,
        stand_ins=audit.stand_ins(tag, rule),
        why=rule.why,
        action=rule.action,
        caution=rule.caution,
        basis=rule.basis,
        priority=priority(rule.grade, place["criticality"], explanation.margin, compared),
        place=place,
    )


def _origin(audit: Audit, name: str, tag: str, value: Any, origins: dict) -> str:
    column = columns.column(name)
    used = int(audit.verdicts.stand_ins[audit.verdicts.row(tag)])
    for assumption in audit.assumptions:
        if assumption.column == name and used >> assumption.bit & 1:
            return f"assumed: {assumption.sentence}"
    if column.origin == "derived":
        return "computed from " + ", ".join(sorted(entered_behind(name)))
    if value is None:
        return origins.get((tag, name), "not known")
    return origins.get((tag, name)) or f"entered, table {column.table}"


def places_of(db: Database, tags: Iterable[str]) -> dict[str, dict[str, Any]]:
    """What each of these positions is called, where it stands, how critical it is."""
    wanted = set(tags)
    rows = db.query("SELECT tag, description, area, bus, criticality FROM position")
    return {row["tag"]: row for row in rows if row["tag"] in wanted}


def unknowns(db: Database, audit: Audit) -> list[Unknown]:
    """Every verdict that can't be told, with the entered fields that would decide it."""
    behind = every_gap(db)
    found = []
    for rule in audit.verdicts.rules:
        tags = audit.tags_having(Outcome.CANT_TELL, rule)
        if tags:
            missing = unknown_columns(db.conn, audit.pack, rule, tags, today=audit.today)
            for tag in tags:
                names = missing.get(tag, ())
                fields = dict.fromkeys(field for name in names for field in behind(tag, name))
                fields |= dict.fromkeys(audit.left_open(tag, rule))
                found.append(Unknown(tag, rule.id, rule.grade, tuple(fields)))
    return found
