"""A value that a plausibility rule does not believe marks every verdict that reads it.

Such a verdict is provisional and names the doubt. Where the safe side is known (the fault current
that grid and transformer give, say), it is judged by that as well, and fails where that fails.
"""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cache
from typing import Any

import numpy as np
from sqlite_utils import Database

from register import columns
from register.audit.assumed import judged
from register.facts.assumptions import Assumption
from register.facts.derived import STUDIED, entered_behind
from register.facts.standard_tables import Table
from register.facts.whatif import Variant, WhatIf, facts_table
from register.rulebook.model import Outcome, Pack, Rule, Verdicts
from register.rulebook.run.evaluate import evaluate
from register.text import shown


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


def doubted(
    db: Database,
    tables: Iterable[Verdicts],
    pack: Pack,
    *,
    standards: Mapping[str, Table],
    assumptions: tuple[Assumption, ...],
    today: date,
) -> Doubts:
    """Mark in `tables` what is based on a doubted value, and fail what fails on the safe side."""
    tables = list(tables)
    of: dict[tuple[str, str], list[Doubt]] = defaultdict(list)
    safe: dict[str, dict[str, Any]] = defaultdict(dict)
    raised = [pair for table in tables for pair in _raised(db, table)]
    every = tuple(doubt for doubt, _ in raised)
    for doubt, subject in raised:
        if doubt.safe is not None:
            safe[doubt.at][doubt.column] = doubt.safe
        for table in tables:
            for tag in _places(db, table, subject, doubt.at):
                _mark(table, tag, doubt, of)
    if not safe:
        return Doubts({at: tuple(own) for at, own in of.items()}, raised=every)
    conn = _safe_facts(db, safe, standards, assumptions)
    by_safe = set()
    for table in tables:
        if table.subject == "device in store":
            continue
        there = evaluate(conn, replace(pack, rules=table.rules), today=today, subject=table.subject)
        for row, col in np.argwhere(there.outcomes == Outcome.FAILED):
            at = there.tags[row], there.rules[col].id
            if at in of and table.outcomes[table.row(at[0]), col] < Outcome.CANT_TELL:
                table.outcomes[table.row(at[0]), col] = Outcome.FAILED
                by_safe.add(at)
    return Doubts({at: tuple(own) for at, own in of.items()}, frozenset(by_safe), conn, every)


def _raised(db: Database, table: Verdicts) -> Iterator[tuple[Doubt, str]]:
    """The doubts that rules of one subject raise, and the subject."""
    about = columns.SUBJECTS[table.subject]
    for col, rule in enumerate(table.rules):
        for row in np.flatnonzero(table.outcomes[:, col] == Outcome.FAILED) if rule.doubts else ():
            tag = table.tags[row]
            sql = f"SELECT {rule.doubts}, {rule.safe_side or 'NULL'} FROM {about.relation} WHERE {about.key} = ?"
            yield (
                Doubt(rule.id, tag, about.named(tag), rule.doubts, *_worse(*db.execute(sql, (tag,)).fetchone())),
                table.subject,
            )


def _worse(entered: Any, safe: Any) -> tuple[Any, Any]:
    """The value entered, and the one on the safe side where that is more."""
    return entered, safe if safe is not None and entered is not None and safe > entered else None


def _places(db: Database, table: Verdicts, subject: str, at: str) -> list[str]:
    """What of a table's subject stands where a doubt was raised: on a bus its positions too."""
    if table.subject == subject:
        return [at]
    if (table.subject, subject) == ("position", "bus"):
        return [tag for (tag,) in db.execute("SELECT tag FROM facts WHERE bus = ?", (at,)) if tag in set(table.tags)]
    return []


def _mark(table: Verdicts, tag: str, doubt: Doubt, of: dict[tuple[str, str], list[Doubt]]) -> None:
    row = table.row(tag)
    for col, rule in enumerate(table.rules):
        decided = table.outcomes[row, col] in (Outcome.PASSED, Outcome.FAILED)
        if decided and rule.id != doubt.rule and not rule.doubts and reads(rule, doubt.column):
            table.provisional[row, col] = True
            of[tag, rule.id].append(doubt)


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
    standards: Mapping[str, Table],
    assumptions: tuple[Assumption, ...],
) -> sqlite3.Connection:
    """The facts of the doubted places with the safe values, in tables beside the register."""
    on_bus = db.execute("SELECT tag, bus FROM facts").fetchall()
    tried = {tag: {**safe.get(bus, {}), **safe.get(tag, {})} for tag, bus in on_bus}
    variants = [Variant(tag, values) for tag, values in sorted(tried.items()) if values]
    found = WhatIf(db, [v.tag for v in variants], tables=standards, assumptions=assumptions).trials(variants)
    bits = [sum(1 << a.bit for a in one.assumed.values()) for one in found]
    held = {name: [one.values[name] for one in found] for name in columns.FACTS}
    conn = facts_table(tuple(columns.FACTS), held, np.array(bits, np.int64))
    if db.execute("SELECT 1 FROM temp.sqlite_schema WHERE name = 'bus_facts'").fetchone():
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
