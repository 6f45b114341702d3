"""What an audit would say if other values held at a position: the same facts, the same rules."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from contextlib import AbstractContextManager, closing
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import Any

import numpy as np
from sqlite_utils import Database

from register import columns
from register.audit.assumed import judged, not_to_judge
from register.audit.bounds import bounded, hold_bounds
from register.facts.assumptions import load_assumptions
from register.facts.standard_tables import load_tables
from register.facts.whatif import Variant, WhatIf, facts_table
from register.rulebook.model import Explanation, Grade, Outcome, Pack, Rule, Verdicts
from register.rulebook.run.evaluate import evaluate
from register.rulebook.run.explain import explain, unknown_columns

BLOCK = 4_000  # variants whose facts are held at a time
EVERY = slice(None)
ALWAYS = ("tag", "area", "practice")
Asked = Mapping[str, Iterable[str]]  # rules, by position


@dataclass(frozen=True)
class Judged:
    """The verdicts on some variants, one row each, and the facts on which they are based."""

    variants: tuple[Variant, ...]
    verdicts: Verdicts
    facts: Mapping[str, Sequence[Any]]

    def having(self, row: int, outcome: Outcome, grade: str = "") -> tuple[str, ...]:
        """The rules, of a grade or of all, that come out so for one variant."""
        rules = (self.verdicts.rules[at] for at in np.flatnonzero(self.verdicts.outcomes[row] == outcome))
        return tuple(rule.id for rule in rules if grade in ("", str(rule.grade)))

    def each_having(self, outcome: Outcome) -> list[tuple[str, ...]]:
        """For each variant, the rules that come out so."""
        found: list[list[str]] = [[] for _ in self.variants]
        names = [rule.id for rule in self.verdicts.rules]
        for row, at in np.argwhere(self.verdicts.outcomes == outcome).tolist():
            found[row].append(names[at])
        return [tuple(rules) for rules in found]

    def provisional(self, row: int) -> tuple[str, ...]:
        """The rules whose verdict on one variant assumes a value."""
        return tuple(self.verdicts.rules[at].id for at in np.flatnonzero(self.verdicts.provisional[row]))

    def outcomes(self, row: int) -> dict[str, Outcome]:
        """The outcome of every rule for one variant."""
        codes = self.verdicts.outcomes[row].tolist()
        return {r.id: Outcome(code) for r, code in zip(self.verdicts.rules, codes, strict=True)}

    def by_grade(self, row: int, outcome: Outcome) -> dict[str, tuple[str, ...]]:
        """The rules that come out so for one variant, by grade."""
        return {str(grade): self.having(row, outcome, str(grade)) for grade in Grade}

    def failed_by_all(self, grade: str, rows: slice = EVERY) -> frozenset[str]:
        """The rules of a grade that every variant fails, or every one of some."""
        failing = (self.verdicts.outcomes[rows] == Outcome.FAILED).all(axis=0)
        rules = zip(self.verdicts.rules, failing, strict=True)
        return frozenset(rule.id for rule, fails in rules if fails and str(rule.grade) == grade)

    def counts(self, outcome: Outcome, grade: str, among: Container[str] | None = None) -> np.ndarray:
        """For each variant, how many rules of a grade come out so; of some rules, or of all."""
        of_grade = [str(rule.grade) == grade and (among is None or rule.id in among) for rule in self.verdicts.rules]
        return (self.verdicts.outcomes[:, of_grade] == outcome).sum(axis=1)


class Trials(WhatIf):
    """Positions of an open register, which is only read, judged with other values.

    Parameters
    ----------
    db : the register.
    tags : the positions at which something is tried.
    pack, today, measured_only : as for an audit.
    """

    def __init__(
        self, db: Database, tags: Iterable[str], *, pack: Pack, today: date, measured_only: bool = False
    ) -> None:
        super().__init__(
            db,
            tags,
            tables=load_tables(pack.folder / "tables"),
            assumptions=load_assumptions(pack.folder / "assumptions.yml"),
            measured_only=measured_only,
        )
        self.today = today
        day = today.isoformat()
        self.rules = {r.id: r for r in pack.rules if r.subject == "position" and not pack.on_trial(r, day)}
        self.pack = replace(pack, rules=tuple(self.rules.values()))

    def judge(
        self, variants: Iterable[Variant], rules: Iterable[Rule] | None = None, *, beside: Iterable[str] = ()
    ) -> Judged:
        """Judge variants by these rules, or by all that count and are about positions.

        By some rules only their facts are made, and those `beside`.
        """
        variants = tuple(variants)
        pack = self.pack if rules is None else replace(self.pack, rules=tuple(rules))
        read = {name for rule in pack.rules for name in rule.columns + rule.outside_columns}
        only = None if rules is None else frozenset(read.union(beside))
        blocks = [
            self._block(variants[begin : begin + BLOCK], pack, read, only) for begin in range(0, len(variants), BLOCK)
        ]
        return _joined(variants, blocks) if blocks else _none(pack)

    def _block(
        self, variants: Sequence[Variant], pack: Pack, read: set[str], only: frozenset[str] | None
    ) -> tuple[Verdicts, dict[str, Sequence[Any]]]:
        facts, assumed = self.facts(variants, only=only)
        names = tuple(dict.fromkeys((*ALWAYS, *sorted(read))))
        with closing(facts_table(names, facts, assumed)) as conn:
            found = evaluate(conn, pack, today=self.today, key="variant")
        found = judged(found, self.assumptions)
        hold_bounds(
            found,
            lambda places: [self._row(variants[n]) for n in places],
            pack=pack,
            method=self.method,
            exempt=self.exempt,
            today=self.today,
        )
        return found, facts

    @cached_property
    def now(self) -> Judged:
        """The positions as they are."""
        return self.judge(Variant(tag) for tag in self.base)

    def opened(self, variants: Iterable[Variant]) -> AbstractContextManager[Opened]:
        """The verdicts on some variants, no two at one position, opened for as long as they are asked about."""
        return closing(Opened(self, tuple(variants)))

    def to_read(self, variant: Variant, rules: Iterable[str]) -> dict[str, tuple[str, ...]]:
        """For each of some rules that are unknown of a variant, the entered fields to read."""
        with self.opened([variant]) as opened:
            return opened.to_read({variant.tag: rules})[variant.tag]


class Opened:
    """The facts of some variants, in a table on which rules are explained."""

    def __init__(self, trials: Trials, variants: Sequence[Variant]) -> None:
        self.of, found = trials, trials.trials(variants)
        self.facts = {one.tag: one for one in found}
        held = {name: [one.values[name] for one in found] for name in columns.FACTS}
        self.conn = facts_table(tuple(columns.FACTS), held, np.zeros(len(found), np.int64))

    def close(self) -> None:
        """Let go of the table."""
        self.conn.close()

    def explained(self, asked: Asked) -> dict[str, list[Explanation]]:
        """Why some rules come out as they do at each position, in the order asked."""
        found: dict[tuple[str, str], Explanation] = {}
        for rule, tags in _by_rule(asked).items():
            every = explain(self.conn, self.of.pack, self.of.rules[rule], tags, today=self.of.today)
            found |= {(one.tag, rule): one for one in every}
        return {tag: [found[tag, rule] for rule in rules] for tag, rules in asked.items()}

    def to_read(self, asked: Asked) -> dict[str, dict[str, tuple[str, ...]]]:
        """For each position, the entered fields to read so that these rules can be told."""
        found: dict[str, dict[str, tuple[str, ...]]] = {tag: {} for tag in asked}
        for name, tags in _by_rule(asked).items():
            rule = self.of.rules[name]
            unknown = unknown_columns(self.conn, self.of.pack, rule, tags, today=self.of.today)
            never = [a.column for a in not_to_judge(rule, self.of.assumptions)]
            bounds = [a.column for a in bounded(rule, self.of.assumptions)]
            for tag in tags:
                facts = self.facts[tag]
                fields = (*facts.to_read(unknown.get(tag, ())), *(c for c in never if c in facts.assumed))
                found[tag][name] = tuple(dict.fromkeys(fields or [c for c in bounds if c in facts.assumed]))
        return found


def _by_rule(asked: Asked) -> dict[str, list[str]]:
    tags: dict[str, list[str]] = {}
    for tag, rules in asked.items():
        for rule in rules:
            tags.setdefault(rule, []).append(tag)
    return tags


def _joined(variants: tuple[Variant, ...], blocks: list[tuple[Verdicts, dict[str, Sequence[Any]]]]) -> Judged:
    """The blocks as one; a variant is numbered by its row."""
    (first, facts), *others = blocks
    if not others:
        return Judged(variants, first, facts)
    columns_of = {
        n: np.concatenate([getattr(v, n) for v, _ in blocks]) for n in ("outcomes", "stand_ins", "provisional")
    }
    verdicts = replace(first, tags=tuple(range(len(variants))), **columns_of)
    return Judged(variants, verdicts, {name: [v for _, block in blocks for v in block[name]] for name in facts})


def _none(pack: Pack) -> Judged:
    empty = np.empty((0, len(pack.rules)), np.uint8)
    return Judged((), Verdicts((), pack.rules, empty, np.empty(0, np.int64), empty.astype(bool)), {})
