"""A value that a plausibility rule does not believe marks every verdict that reads it.

Such a verdict is provisional and names the doubt. Where the safe side is known (the fault current
that grid and transformer give, say), it is judged by that as well, and fails where that fails.
"""

from __future__ import annotations

import json
import sqlite3
from collections import defaultdict
from collections.abc import Callable, Container, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import ROUND_CEILING, Decimal
from functools import cache, cached_property, partial
from math import floor, isfinite, log10
from typing import Any

import numpy as np
from sqlite_utils import Database

from register import columns
from register.audit.assumed import judged
from register.facts.assumptions import Assumption
from register.facts.derived import STUDIED, entered_behind
from register.facts.entered_rows import EnteredRows
from register.facts.fact_rows import read_for
from register.facts.whatif import Variant, WhatIf, facts_table
from register.rulebook.model import Outcome, Pack, Rule, Verdicts
from register.rulebook.run.evaluate import evaluate
from register.text import shown

Reading = Callable[[str, str], list[int]]  # (the rule that doubts, the column) → places of the rules that read it

DIGITS = 3  # of an estimate
# By whatever rule: its place, whose limits hold there, which values are assumed.
ALWAYS_READ = ("tag", "area", "practice")
FAILED, CANT_TELL = int(Outcome.FAILED), int(Outcome.CANT_TELL)  # outcomes below the latter are decided


@dataclass(frozen=True, slots=True)
class Doubt:
    """A rule that failed somewhere (`place` tells it apart), the column doubted, the value on the safe side."""

    rule: str
    at: str
    place: str
    column: str
    entered: Any
    safe: Any = None

    def words(self, judged_by_safe: bool) -> str:
        """The doubt in one line; with what was taken instead, where that decided."""
        unit = columns.column(self.column).unit
        told = f"{self.column}: {shown(self.entered, unit)} is doubted ({self.rule} at {self.at})"
        return f"{told}; judged by {shown(self.safe, unit)}" if judged_by_safe else told


@dataclass(frozen=True)
class Doubts:
    """The doubts behind verdicts, by (tag, rule id), and the facts with the safe values."""

    of: Mapping[tuple[str, str], tuple[Doubt, ...]] = field(default_factory=dict)
    by_safe: frozenset[tuple[str, str]] = frozenset()
    safe_facts: sqlite3.Connection | None = None
    raised: tuple[Doubt, ...] = ()

    def words(self, tag: str, rule: str) -> tuple[str, ...]:
        """The doubts behind a verdict, each in one line."""
        return tuple(d.words((tag, rule) in self.by_safe) for d in self.of.get((tag, rule), ()))

    def at(self, place: str) -> tuple[Doubt, ...]:
        """The doubts raised at a place."""
        return self._at.get(place, ())

    @cached_property
    def _at(self) -> dict[str, tuple[Doubt, ...]]:
        found: dict[str, tuple[Doubt, ...]] = defaultdict(tuple)
        for doubt in self.raised:
            found[doubt.place] += (doubt,)
        return dict(found)


def doubted(
    db: Database,
    tables: Iterable[Verdicts],
    pack: Pack,
    *,
    standards: Mapping[str, Any],
    assumptions: tuple[Assumption, ...],
    today: date,
    entered: EnteredRows | None = None,
) -> Doubts:
    """Mark in `tables` what is based on a doubted value, and fail what fails on the safe side."""
    tables = list(tables)
    of: dict[tuple[str, str], list[Doubt]] = defaultdict(list)
    safe: dict[str, dict[str, Any]] = defaultdict(dict)
    raised = [pair for table in tables for pair in _raised(db, table)]
    every = tuple(doubt for doubt, _ in raised)
    rows = [_rows_of_buses(db, table) if raised and table.subject == "position" else {} for table in tables]
    reading = [cache(partial(_reading, table)) for table in tables]
    for doubt, subject in raised:
        if doubt.safe is not None:
            safe[doubt.at][doubt.column] = doubt.safe
        for table, on_bus, reading_of in zip(tables, rows, reading, strict=True):
            if table.subject == subject:
                _mark(table, [table.row(doubt.at)], doubt, of, reading_of)
            elif (table.subject, subject) == ("position", "bus"):
                _mark(table, on_bus.get(doubt.at, []), doubt, of, reading_of)
    told = {at: tuple(own) for at, own in of.items()}
    if not safe:
        return Doubts(told, raised=every)
    asked = {rule for _, rule in told}
    rules = [rule for table in tables for rule in table.rules if rule.id in asked]
    judged_tags = {tag for table in tables if table.subject == "position" for tag in table.tags}
    conn = _safe_facts(db, safe, judged_tags, rules, standards, assumptions, entered)
    by_safe = set()
    for table in tables:
        if table.subject == "device in store":
            continue
        own = tuple(rule for rule in table.rules if rule.id in asked)
        there = evaluate(conn, replace(pack, rules=own), today=today, subject=table.subject)
        for row, col in np.argwhere(there.outcomes == FAILED).tolist():
            at = tag, rule = there.tags[row], there.rules[col].id
            if at in told and table.outcomes[table.row(tag), table.column(rule)] < CANT_TELL:
                table.outcomes[table.row(tag), table.column(rule)] = FAILED
                by_safe.add(at)
    return Doubts(told, frozenset(by_safe), conn, every)


def _raised(db: Database, table: Verdicts) -> Iterator[tuple[Doubt, str]]:
    """The doubts that rules of one subject raise, and the subject."""
    about = columns.SUBJECTS[table.subject]
    for col, rule in enumerate(table.rules):
        tags = [table.tags[row] for row in np.flatnonzero(table.outcomes[:, col] == FAILED)] if rule.doubts else []
        if not tags:
            continue
        sql = f"SELECT {about.key}, {rule.doubts}, {rule.safe_side or 'NULL'} FROM {about.relation}"
        only = f"WHERE {about.key} IN (SELECT value FROM json_each(?))"
        values = {tag: pair for tag, *pair in db.execute(f"{sql} {only}", (json.dumps(tags),))}
        for tag in tags:
            yield Doubt(rule.id, tag, about.named(tag), rule.doubts, *_worse(*values[tag])), table.subject


def _worse(entered: Any, safe: Any) -> tuple[Any, Any]:
    """The value entered, and the one on the safe side where that is more: of an estimate three digits, rounded up.

    >>> _worse(10.0, 38.06), _worse(40.0, 38.06), _worse(10.0, 25.0)
    ((10.0, 38.1), (40.0, None), (10.0, 25.0))
    """
    worse = safe is not None and entered is not None and safe > entered
    return entered, _rounded_up(safe) if worse else None


def _rounded_up(value: Any) -> Any:
    if not isinstance(value, float) or not isfinite(value) or value <= 0.0:
        return value
    step = Decimal(1).scaleb(floor(log10(value)) + 1 - DIGITS)
    # Without what is only the noise of a computer's own digits.
    return float(Decimal(f"{value:.12g}").quantize(step, ROUND_CEILING))


def _rows_of_buses(db: Database, table: Verdicts) -> dict[str, list[int]]:
    """For each bus the rows of its positions."""
    bus_of = dict(db.execute("SELECT tag, bus FROM facts WHERE bus IS NOT NULL").fetchall())
    rows: dict[str, list[int]] = defaultdict(list)
    for row, tag in enumerate(table.tags):
        if tag in bus_of:
            rows[bus_of[tag]].append(row)
    return rows


def _mark(
    table: Verdicts, rows: list[int], doubt: Doubt, of: dict[tuple[str, str], list[Doubt]], reading_of: Reading
) -> None:
    """Mark what is decided in some rows and reads the doubted column."""
    reading = reading_of(doubt.rule, doubt.column)
    if not rows or not reading:
        return
    decided = np.argwhere(table.outcomes[np.ix_(rows, reading)] < CANT_TELL)
    for row, col in decided.tolist():
        at, rule = rows[row], reading[col]
        table.provisional[at, rule] = True
        of[table.tags[at], table.rules[rule].id].append(doubt)


def _reading(table: Verdicts, doubting: str, column: str) -> list[int]:
    """The places of the rules that read a column which the rule `doubting` doubts."""
    asked = enumerate(table.rules)
    return [n for n, rule in asked if rule.id != doubting and not rule.doubts and reads(rule, column)]


def reads(rule: Rule, column: str) -> bool:
    """True when a rule reads a column, itself or by a calculation; a study takes it as one of many."""
    return _reads(rule.subject, rule.columns, column)


@cache
def _reads(subject: str, names: tuple[str, ...], column: str) -> bool:
    if subject != "position":
        return column in names
    return any(column in entered_behind(name) for name in names if name not in STUDIED)


def _safe_facts(
    db: Database,
    safe: Mapping[str, Mapping[str, Any]],
    tags: Container[str],
    rules: Iterable[Rule],
    standards: Mapping[str, Any],
    assumptions: tuple[Assumption, ...],
    entered: EnteredRows | None,
) -> sqlite3.Connection:
    """What rules read of the doubted places, `tags` of them, with the safe values, in tables beside the register."""
    on_bus = db.execute("SELECT tag, bus FROM facts").fetchall()
    tried = {tag: {**safe.get(bus, {}), **safe.get(tag, {})} for tag, bus in on_bus}
    variants = [Variant(tag, values) for tag, values in sorted(tried.items()) if values and tag in tags]
    read = frozenset(name for rule in rules for name in rule.shown_columns if name in columns.FACTS)
    held: dict[str, Any] = {name: [] for name in columns.FACTS}
    bits = np.zeros(0, np.int64)
    if variants:
        needed = read_for(read, assumptions).union(*(variant.changes for variant in variants))
        plant = WhatIf(
            db, [v.tag for v in variants], tables=standards, assumptions=assumptions, entered=entered, read=needed
        )
        held, bits = plant.facts(variants, only=read)
    conn = facts_table(tuple(name for name in columns.FACTS if name in read or name in ALWAYS_READ), held, bits)
    if db.execute("SELECT 1 FROM pragma_table_list WHERE name = 'bus_facts'").fetchone():
        rows = db.execute("SELECT * FROM bus_facts")
        names = [described[0] for described in rows.description]
        conn.execute(f"CREATE TABLE bus_facts ({', '.join(names)})")
        marks = ", ".join("?" * len(names))
        for row in (dict(zip(names, values, strict=True)) for values in rows):
            if row["bus"] in safe:
                conn.execute(f"INSERT INTO bus_facts VALUES ({marks})", tuple({**row, **safe[row["bus"]]}.values()))
    return conn


def of_the_buses(db: Database, pack: Pack, assumptions: tuple[Assumption, ...], today: date) -> list[Verdicts]:
    """What is doubted of the buses, where only some positions are judged."""
    rules = tuple(rule for rule in pack.rules if rule.doubts and rule.subject == "bus")
    found = evaluate(db.conn, replace(pack, rules=rules), today=today, subject="bus") if rules else None
    return [judged(found, assumptions)] if found is not None else []
