"""The audit: register → facts → verdicts; findings.py opens what it found."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from sqlite_utils import Database

from register import columns
from register.audit.assumed import judged, not_to_judge
from register.audit.bounds import held
from register.audit.doubts import Doubts, doubted, of_the_buses
from register.facts.assumptions import Assumption, load_assumptions, mask_for, stand_ins_named
from register.facts.build import refresh
from register.facts.entered_rows import EnteredRows, OfRegister
from register.facts.method import Method
from register.facts.standard_tables import load_tables
from register.facts.subjects import lay
from register.rulebook.model import Outcome, Pack, Rule, Verdicts
from register.rulebook.run.evaluate import evaluate

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Audit:
    """What one run concluded: an outcome for every rule at every position.

    `tables` are the verdicts that count: first those of positions, then those of buses and of
    devices in store, where there are rules about them. `on_trial` are those of rules on trial.
    `unproven` are, by (tag, rule id), those that fail on an assumed bound alone: the columns to read.
    `doubts` are the values not believed that verdicts are based on. Not `whole` is one of some positions
    alone, which says nothing of buses and of devices in store.
    """

    pack: Pack
    today: date
    tables: tuple[Verdicts, ...]
    on_trial: tuple[Verdicts, ...]
    assumptions: tuple[Assumption, ...]
    measured_only: bool
    unproven: Mapping[tuple[str, str], tuple[str, ...]] = field(default_factory=dict)
    doubts: Doubts = field(default_factory=Doubts)
    whole: bool = True

    @property
    def verdicts(self) -> Verdicts:
        """Those of the positions."""
        return self.tables[0]

    @property
    def provisional(self) -> np.ndarray:
        """Which of them assume a value."""
        return self.verdicts.provisional

    @property
    def rules(self) -> tuple[Rule, ...]:
        """The rules that count, in the order of their tables."""
        return tuple(rule for table in self.tables for rule in table.rules)

    def table(self, rule: str) -> Verdicts:
        """The verdicts of a rule, and of those that are judged with it; KeyError if not asked."""
        return self._of_rule[rule]

    def has(self, rule: str, subject: str) -> bool:
        """Whether there is a rule of that id about such a subject."""
        return rule in self._of_rule and self._of_rule[rule].subject == subject

    def outcome(self, tag: str, rule: str) -> Outcome:
        """The outcome of one rule at one position, bus or device in store."""
        table = self.table(rule)
        return Outcome(int(table.outcomes[table.row(tag), table.column(rule)]))

    def covers(self, subject: str, tag: str) -> bool:
        """Whether it looked there: a position that was judged, or any bus or device in store where it is whole."""
        return self.verdicts.has(tag) if subject == "position" else self.whole

    def word_at(self, subject: str, tag: str, rule: str) -> str | None:
        """The outcome in a word; None for a rule not in force about such a subject, and for what was not judged."""
        table = next((t for t in self.tables if t.subject == subject and any(r.id == rule for r in t.rules)), None)
        return self.outcome(tag, rule).word if table is not None and table.has(tag) else None

    def is_provisional(self, tag: str, rule: str) -> bool:
        """True when that verdict assumes a value."""
        table = self.table(rule)
        return bool(table.provisional[table.row(tag), table.column(rule)])

    def failed(self) -> Iterator[tuple[str, str]]:
        """(tag, rule id) of every failed verdict that counts."""
        return self.having(Outcome.FAILED)

    def having(self, outcome: Outcome) -> Iterator[tuple[str, str]]:
        """(tag, rule id) of every verdict with that outcome."""
        for table in self.tables:
            for row, col in np.argwhere(table.outcomes == outcome):
                yield table.tags[row], table.rules[col].id

    def tags_having(self, outcome: Outcome, rule: Rule) -> list[str]:
        """The positions, buses or devices where that rule came out so."""
        table = self.table(rule.id)
        rows = np.flatnonzero(table.outcomes[:, table.column(rule.id)] == outcome)
        return [table.tags[row] for row in rows]

    def stand_ins(self, tag: str, rule: Rule) -> tuple[str, ...]:
        """The assumed values that a verdict is based on, in words; empty for a firm one."""
        used = self.used(tag, rule) & mask_for(rule.columns, self.assumptions)
        return (*stand_ins_named(used, self.assumptions), *self.doubts.words(tag, rule.id))

    def used(self, tag: str, rule: Rule) -> int:
        """The bits of all assumed values in the facts that a rule is judged on."""
        table = self.table(rule.id)
        return int(table.stand_ins[table.row(tag)])

    def left_open(self, tag: str, rule: Rule) -> tuple[str, ...]:
        """The blanks whose assumed values a rule may not judge by, or fail by alone, so that it is unknown."""
        used = self.used(tag, rule)
        never = (a.column for a in self._never[rule.id] if used >> a.bit & 1) if used else ()
        return tuple(dict.fromkeys((*never, *self.unproven.get((tag, rule.id), ()))))

    def may_not_judge(self, rule: Rule) -> list[Assumption]:
        """The assumed values by which a rule may not be judged."""
        return self._never[rule.id]

    def leaves_open(self, rule: Rule) -> bool:
        """Whether an assumed value can leave a verdict of the rule open."""
        return bool(self._never[rule.id]) or rule.id in self._unproven_rules

    def rows(self) -> Iterator[tuple[str, str, str]]:
        """(place, a letter a rule, `y` or `n` a rule for provisional) of all that counts.

        The letters are in the order of `rules`, a dot for a rule about something else. A bus or a
        device in store has its subject in front of its key.
        """
        before, count = 0, len(self.rules)
        letters = np.array([ord(outcome.letter) for outcome in Outcome], np.uint8)
        for table in self.tables:
            rest = count - before - len(table.rules)
            named = columns.SUBJECTS[table.subject].named
            told = letters[table.outcomes]
            marked = np.where(table.provisional, np.uint8(ord("y")), np.uint8(ord("n")))
            for tag, codes, marks in zip(table.tags, told, marked, strict=True):
                firm = marks.tobytes().decode()
                yield (
                    named(tag),
                    "." * before + codes.tobytes().decode() + "." * rest,
                    "n" * before + firm + "n" * rest,
                )
            before += len(table.rules)

    @cached_property
    def assumed_for(self) -> dict[str, list[Assumption]]:
        """The values that may be assumed for a column."""
        found: dict[str, list[Assumption]] = defaultdict(list)
        for assumption in self.assumptions:
            found[assumption.column].append(assumption)
        return dict(found)

    @cached_property
    def _unproven_rules(self) -> set[str]:
        return {rule for _, rule in self.unproven}

    @cached_property
    def _never(self) -> dict[str, list[Assumption]]:
        """For each rule the assumed values that it may not use."""
        return {
            rule.id: not_to_judge(rule, self.assumptions)
            for table in self.tables + self.on_trial
            for rule in table.rules
        }

    @cached_property
    def _of_rule(self) -> dict[str, Verdicts]:
        return {r.id: table for table in self.tables + self.on_trial for r in table.rules}


def run(
    db: Database,
    pack: Pack,
    *,
    today: date,
    measured_only: bool = False,
    tags: Iterable[str] | None = None,
    progress: Progress | None = None,
) -> Audit:
    """Judge every position by every rule of the pack, and every bus and device in store.

    Parameters
    ----------
    db : an open register; facts are refreshed in it, or beside it when it cannot be written.
    pack : the rules and limits in force.
    today : the day on which the audit is made.
    measured_only : leave every assumed value out.
    tags : only these positions, and neither buses nor devices in store.
    progress : told the rows of facts done, of how many, while any are built.
    """
    standards = standards_of(pack, measured_only)
    refresh(
        db, tables=standards.tables, assumptions=standards.assumptions, measured_only=measured_only, progress=progress
    )
    tags = None if tags is None else list(tags)
    lay(db.conn, standards.assumptions)
    return judged_facts(db, pack, standards, today=today, tags=tags)


@dataclass(frozen=True)
class Standards:
    """What facts are made and judged with beside the rules: tables, all assumed values, whether they are used."""

    tables: Mapping[str, Any]
    assumptions: tuple[Assumption, ...]
    measured_only: bool

    @property
    def used(self) -> tuple[Assumption, ...]:
        """The assumed values in force."""
        return () if self.measured_only else self.assumptions


def standards_of(pack: Pack, measured_only: bool = False) -> Standards:
    """The tables and assumed values of a pack's folder, read once as long as its files are the same."""
    return _standards(pack.folder, pack.hash, measured_only)


@lru_cache(maxsize=8)
def _standards(folder: Path, pack_hash: str, measured_only: bool) -> Standards:
    return Standards(load_tables(folder / "tables"), load_assumptions(folder / "assumptions.yml"), measured_only)


def judged_facts(
    db: Database,
    pack: Pack,
    standards: Standards,
    *,
    today: date,
    tags: list[str] | None = None,
    entered: EnteredRows | None = None,
) -> Audit:
    """Judge what lies in `facts`, `bus_facts` and `store_facts`: of one register, or of several side by side.

    Parameters
    ----------
    db, pack, today, tags : as for `run`; the facts are taken as they are.
    entered : where the rows behind the facts come from; by default the register.
    """
    assumptions, measured_only = standards.assumptions, standards.measured_only
    found = [
        judged(evaluate(db.conn, pack, today=today, tags=tags, subject=subject), assumptions)
        for subject in columns.SUBJECTS
        if tags is None or subject == "position"
    ]
    source: EnteredRows = entered or OfRegister(db, standards.used)
    method = Method(standards.tables, assumptions, "")
    unproven = {} if measured_only else held(source, found[0], pack, method, today)
    beside = [] if tags is None else of_the_buses(db, pack, assumptions, today)
    doubts = doubted(
        db, [*found, *beside], pack, standards=standards.tables, assumptions=standards.used, today=today, entered=source
    )
    trials = {rule.id for rule in pack.rules if pack.on_trial(rule, today.isoformat())}
    counted = [table.of(r for r in table.rules if r.id not in trials) for table in found]
    on_trial = [table.of(r for r in table.rules if r.id in trials) for table in found]
    return Audit(
        pack=pack,
        today=today,
        tables=(counted[0], *(table for table in counted[1:] if table.rules)),
        on_trial=tuple(table for table in on_trial if table.rules),
        assumptions=assumptions,
        measured_only=measured_only,
        unproven=unproven,
        doubts=doubts,
        whole=tags is None,
    )
