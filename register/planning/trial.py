"""What an audit would say if other values stood at a position: the same facts, the same rules."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import Any

import numpy as np
from sqlite_utils import Database

from register.audit.assumed import judged
from register.audit.bounds import hold_bounds
from register.facts import changes
from register.facts.assumptions import load_assumptions
from register.facts.base import BASE, base_sql
from register.facts.fact_rows import completed
from register.facts.method import Method, method_hash
from register.facts.standard_tables import load_tables
from register.facts.table import facts_table
from register.facts.whatif import with_values
from register.planning.replace.explained import Opening
from register.rulebook.model import Explanation, Grade, Outcome, Pack, Rule, Verdicts
from register.rulebook.run.evaluate import evaluate

BLOCK = 4_000  # variants whose facts are held at a time
EVERY = slice(None)
ALWAYS = ("tag", "area", "practice")


@dataclass(frozen=True)
class Variant:
    """A position, and base columns with the values that they would have there."""

    label: str
    changes: Mapping[str, Any]
    tag: str


@dataclass(frozen=True)
class Judged:
    """The verdicts on some variants, one row each, and the facts that they rest on."""

    variants: tuple[Variant, ...]
    verdicts: Verdicts
    facts: Mapping[str, Sequence[Any]]

    def outcome(self, row: int, rule: str) -> Outcome:
        """The outcome of one rule for one variant."""
        return Outcome(int(self.verdicts.outcomes[row, self.verdicts.column(rule)]))

    def having(self, row: int, outcome: Outcome, grade: str = "") -> tuple[str, ...]:
        """The rules, of a grade or of all, that come out so for one variant."""
        found = np.flatnonzero(self.verdicts.outcomes[row] == outcome)
        rules = (self.verdicts.rules[col] for col in found)
        return tuple(rule.id for rule in rules if grade in ("", str(rule.grade)))

    def failed(self, row: int, grade: str = "") -> tuple[str, ...]:
        """The rules that one variant fails."""
        return self.having(row, Outcome.FAILED, grade)

    def provisional(self, row: int) -> tuple[str, ...]:
        """The rules whose verdict rests on a stand-in."""
        found = np.flatnonzero(self.verdicts.provisional[row])
        return tuple(self.verdicts.rules[col].id for col in found)

    def outcomes(self, row: int) -> dict[str, Outcome]:
        """The outcome of every rule for one variant."""
        codes = self.verdicts.outcomes[row].tolist()
        return {r.id: Outcome(code) for r, code in zip(self.verdicts.rules, codes, strict=True)}

    def by_grade(self, row: int, outcome: Outcome) -> dict[str, tuple[str, ...]]:
        """The rules that come out so for one variant, by grade."""
        found = [self.verdicts.rules[at] for at in np.flatnonzero(self.verdicts.outcomes[row] == outcome)]
        return {str(g): tuple(r.id for r in found if r.grade == g) for g in Grade}

    def failed_by_all(self, grade: str, rows: slice = EVERY) -> frozenset[str]:
        """The rules of a grade that every variant fails, or every one of some."""
        failing = (self.verdicts.outcomes[rows] == Outcome.FAILED).all(axis=0)
        rules = zip(self.verdicts.rules, failing, strict=True)
        return frozenset(rule.id for rule, fails in rules if fails and str(rule.grade) == grade)

    def counts(self, outcome: Outcome, grade: str, among: Container[str] | None = None) -> np.ndarray:
        """For each variant, how many rules of a grade come out so; of some rules, or of all."""
        of_grade = [str(rule.grade) == grade and (among is None or rule.id in among) for rule in self.verdicts.rules]
        return (self.verdicts.outcomes[:, of_grade] == outcome).sum(axis=1)


class Trials:
    """Trials at some positions of an open register, which is only read.

    Parameters
    ----------
    db : the register.
    tags : the positions at which something is tried.
    pack, today, measured_only : as for an audit.
    """

    def __init__(
        self, db: Database, tags: Iterable[str], *, pack: Pack, today: date, measured_only: bool = False
    ) -> None:
        self.db, self.today = db, today
        on_trial = {r.id for r in pack.rules if pack.on_trial(r, today.isoformat())}
        rules = (r for r in pack.rules if r.subject == "position" and r.id not in on_trial)
        self.pack = replace(pack, rules=tuple(rules))
        tables = load_tables(pack.folder / "tables")
        every = load_assumptions(pack.folder / "assumptions.yml")
        self.assumptions = () if measured_only else tuple(every)
        self.method = Method(tables, self.assumptions, method_hash(tables, self.assumptions))
        self.exempt = changes.not_applicable(db.conn, self.assumptions)
        changes.hold(db.conn, tags)
        rows = db.conn.execute(base_sql(touched_only=True))
        self.base = {row["tag"]: row for row in (dict(zip(BASE, r, strict=True)) for r in rows)}

    def facts(
        self, variants: Sequence[Variant], *, only: frozenset[str] | None = None
    ) -> tuple[dict[str, Sequence[Any]], np.ndarray]:
        """The facts of some variants, column by column, and the stand-ins used in each, as bits.

        `only` leaves out the calculations that do not lead to these columns.
        """
        rows = [with_values(self.base[v.tag], v.changes) for v in variants]
        lists: dict[str, Any] = dict(zip(BASE, zip(*rows, strict=True), strict=True))
        stand_ins, _ = completed(lists, self.method, self.exempt, only=only, alike=True)
        return lists, stand_ins

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
        facts, stand_ins = self.facts(variants, only=only)
        names = tuple(dict.fromkeys((*ALWAYS, *sorted(read))))
        with closing(facts_table(names, facts, stand_ins)) as conn:
            found = evaluate(conn, pack, today=self.today, key="variant")
        found = judged(found, self.assumptions)
        hold_bounds(found, self._rows(variants), pack=pack, method=self.method, exempt=self.exempt, today=self.today)
        return found, facts

    def _rows(self, variants: Sequence[Variant]) -> Callable[[Iterable[int]], list[tuple]]:
        """A look-up of base rows of some of the variants."""
        return lambda places: [with_values(self.base[variants[n].tag], variants[n].changes) for n in places]

    def opening(self, variants: Iterable[Variant]) -> Opening:
        """Some variants, no two at one position, to be asked why their verdicts are so."""
        return Opening(
            self.db,
            {v.tag: v.changes for v in variants},
            pack=self.pack,
            tables=self.method.tables,
            assumptions=self.assumptions,
            today=self.today,
        )

    def opened(self, variant: Variant, rules: Iterable[str]) -> list[Explanation]:
        """Why some rules come out as they do for one variant, in words."""
        with self.opening([variant]) as opening:
            return opening.explained({variant.tag: rules})[variant.tag]

    def to_read(self, variant: Variant, rules: Iterable[str]) -> dict[str, tuple[str, ...]]:
        """For each of some rules that can't be told of a variant, the entered fields to read."""
        with self.opening([variant]) as opening:
            return opening.to_read({variant.tag: rules})[variant.tag]

    def to_read_now(self, grade: str) -> dict[str, dict[str, tuple[str, ...]]]:
        """For each position as it stands, the rules that can't be told, and the fields to read."""
        asked = {v.tag: self.now.having(row, Outcome.CANT_TELL, grade) for row, v in enumerate(self.now.variants)}
        with self.opening(self.now.variants) as opening:
            return opening.to_read(asked)

    @cached_property
    def now(self) -> Judged:
        """The positions as they stand."""
        return self.judge(Variant("as it stands", {}, tag) for tag in self.base)


def judge(
    db: Database,
    tag: str,
    variants: Iterable[tuple[str, Mapping[str, Any]]],
    *,
    pack: Pack,
    today: date,
    measured_only: bool = False,
) -> Judged:
    """Judge one position as it would be with other values; `variants` are (label, changes)."""
    trials = Trials(db, [tag], pack=pack, today=today, measured_only=measured_only)
    return trials.judge(Variant(label, values, tag) for label, values in variants)


def _joined(variants: tuple[Variant, ...], blocks: list[tuple[Verdicts, dict[str, Sequence[Any]]]]) -> Judged:
    first = blocks[0][0]
    verdicts = replace(
        first,
        tags=tuple(range(len(variants))),
        outcomes=np.concatenate([v.outcomes for v, _ in blocks]),
        stand_ins=np.concatenate([v.stand_ins for v, _ in blocks]),
        provisional=np.concatenate([v.provisional for v, _ in blocks]),
    )
    return Judged(variants, verdicts, _chained([facts for _, facts in blocks]))


def _chained(blocks: list[dict[str, Sequence[Any]]]) -> dict[str, Sequence[Any]]:
    if len(blocks) == 1:
        return blocks[0]
    return {name: list(_each(blocks, name)) for name in blocks[0]}


def _each(blocks: list[dict[str, Sequence[Any]]], name: str) -> Iterator[Any]:
    for block in blocks:
        yield from block[name]


def _none(pack: Pack) -> Judged:
    empty = np.empty((0, len(pack.rules)), np.uint8)
    nothing = Verdicts((), pack.rules, empty, np.empty(0, np.int64), empty.astype(bool))
    return Judged((), nothing, {})
