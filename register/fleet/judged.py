"""Rows of a summary that come of judging: verdicts counted, findings, what is unknown; for each register of a group."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np
from sqlite_utils import Database

from register import columns
from register.audit.judge import Audit
from register.fleet.joined import MARK
from register.rulebook.model import Outcome, Rule, Verdicts
from register.rulebook.run.margins import margins_of_failed

ELSEWHERE = {"bus": "(lineups)", "device in store": "(in store)"}
NO_AREA = "(area unknown)"
FAILED, CANT_TELL, PASSED, INAPPLICABLE = (Outcome.FAILED, Outcome.CANT_TELL, Outcome.PASSED, Outcome.INAPPLICABLE)
WORD_BITS = 60


@dataclass
class Rows:
    """What judging gives for one register: rows of three tables, and how much was judged."""

    verdicts: list[tuple] = field(default_factory=list)
    findings: list[tuple] = field(default_factory=list)
    unknown: list[tuple] = field(default_factory=list)
    judged: dict[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Behind:
    """What a register says of its missing values: for each position the numbers of its gaps, and what these mean."""

    numbers: Mapping[str, str]
    reasons: Mapping[str, tuple[str, tuple[str, ...]]]

    @classmethod
    def of(cls, db: Database) -> Behind:
        """Those of an open register whose facts were built."""
        rows = db.conn.execute("SELECT gap_reason, column_name, fields FROM gap_reason")
        reasons = {str(n): (name, tuple(f for f in fields.split(", ") if f)) for n, name, fields in rows}
        return cls(dict(db.conn.execute("SELECT tag, gap_reasons FROM facts").fetchall()), reasons)

    def fields(self, tag: str) -> dict[str, tuple[str, ...]]:
        """For each fact without value at a position the entered fields behind it."""
        # A list of whole numbers in JSON, as facts.build writes it: no reader is as quick as this.
        own = self.numbers.get(tag, "[]")[1:-1]
        return dict(map(self.reasons.__getitem__, own.split(", "))) if own else {}


def rows_of(
    db: Database, audit: Audit, by: str, behind: Mapping[str, Behind], accepted: Mapping[str, set[tuple[str, str]]]
) -> dict[str, Rows]:
    """The rows of each register in a group, by its mark; a register judged alone has the mark "".

    Parameters
    ----------
    db : where the facts lie that were judged.
    by : own or fleet.
    behind, accepted : by mark, what is missing in each register, and its concessions.
    """
    found = {mark: Rows() for mark in behind}
    for table in audit.tables:
        marks = np.array([_mark(key) for key in table.tags], object)
        places = _places(db, table)
        margins = _margins(db, audit, table)
        for mark, own in found.items():
            rows = np.flatnonzero(marks == mark)
            own.judged[table.subject] = len(rows)
            own.verdicts += _counts(table, rows, places, by)
            own.findings += _findings(table, rows, places, margins, by, accepted[mark])
    for mark, unknown in _unknown(db, audit, behind).items():
        found[mark].unknown = unknown
    return found


def _mark(key: str) -> str:
    return key.partition(MARK)[2]


def own_name(key: str) -> str:
    """A tag, a bus or a serial as its register has it."""
    return key.partition(MARK)[0]


def _places(db: Database, table: Verdicts) -> list[tuple[str, str | None]]:
    """Area and criticality of each row."""
    if table.subject != "position":
        return [(ELSEWHERE[table.subject], None)] * len(table.tags)
    known = {tag: pair for tag, *pair in db.conn.execute("SELECT tag, area, criticality FROM facts")}
    return [(known[tag][0] or NO_AREA, known[tag][1]) for tag in table.tags]


def _counts(table: Verdicts, rows: np.ndarray, places: list[tuple], by: str) -> list[tuple]:
    of_area: dict[str, list[int]] = defaultdict(list)
    for row in rows.tolist():
        of_area[places[row][0]].append(row)
    made = []
    for area, own in sorted(of_area.items()):
        outcomes = table.outcomes[own]
        counted = [(outcomes == o).sum(axis=0).tolist() for o in (PASSED, FAILED, CANT_TELL, INAPPLICABLE)]
        counted.append((table.provisional[own] & (outcomes < CANT_TELL)).sum(axis=0).tolist())
        for rule, *counts in zip(table.rules, *counted, strict=True):
            made.append((by, table.subject, rule.id, str(rule.grade), str(rule.harm), area, *counts))
    return made


def _margins(db: Database, audit: Audit, table: Verdicts) -> Mapping[tuple[str, str], float]:
    """The margin at each failed verdict that has one."""
    failed = [(table.tags[row], table.rules[col]) for row, col in np.argwhere(table.outcomes == FAILED).tolist()]
    told = _told(db.conn, audit, table.subject, failed)
    safe = [(tag, rule) for tag, rule in failed if (tag, rule.id) in audit.doubts.by_safe]
    if safe and audit.doubts.safe_facts is not None:
        told |= _told(audit.doubts.safe_facts, audit, table.subject, safe)
    return {at: margin for at, margin in told.items() if not np.isnan(margin)}


def _told(
    conn: sqlite3.Connection, audit: Audit, subject: str, failed: list[tuple[str, Rule]]
) -> dict[tuple[str, str], float]:
    rules = {rule.id: rule for _, rule in failed}
    if not rules:
        return {}
    column_of = {rule: number for number, rule in enumerate(rules)}
    row_of, values = margins_of_failed(conn, audit.pack, rules.values(), today=audit.today, subject=subject)
    return {(tag, rule.id): float(values[row_of[tag], column_of[rule.id]]) for tag, rule in failed if tag in row_of}


def _findings(
    table: Verdicts,
    rows: np.ndarray,
    places: list[tuple],
    margins: Mapping[tuple[str, str], float],
    by: str,
    accepted: set[tuple[str, str]],
) -> list[tuple]:
    made = []
    for row, col in np.argwhere(table.outcomes[rows] == FAILED).tolist():
        row = int(rows[row])
        rule, key = table.rules[col], table.tags[row]
        margin, name = margins.get((key, rule.id)), own_name(key)
        unit = rule.margin_unit if margin is not None else None
        provisional = bool(table.provisional[row, col])
        made.append(
            (
                *(by, table.subject, rule.id, str(rule.grade), str(rule.harm), name, *places[row]),
                *(margin, unit, provisional, (rule.id, name) in accepted),
            )
        )
    return sorted(made, key=lambda finding: (finding[2], finding[5]))


def _unknown(db: Database, audit: Audit, behind: Mapping[str, Behind]) -> dict[str, list[tuple]]:
    """For each register, the blank fields that unknown verdicts on positions read, with how many."""
    table = audit.verdicts
    asked = np.flatnonzero((table.outcomes == CANT_TELL).any(axis=0)).tolist()
    read = sorted({n for col in asked for n in table.rules[col].columns if n in columns.FACTS})
    majors = sum(1 << col for col in asked if table.rules[col].grade == "major")
    bits = {n: sum(1 << col for col in asked if n in table.rules[col].columns) for n in read}
    blank, derived = _blanks(db, read), {n for n in read if columns.FACTS[n].origin == "derived"}
    packed = np.packbits(table.outcomes == CANT_TELL, axis=1, bitorder="little")
    left = _left_open(audit, asked)
    found: dict[str, dict[str, list[int]]] = {mark: defaultdict(lambda: [0, 0, 0]) for mark in behind}
    for row, key in enumerate(table.tags):
        opened = int.from_bytes(packed[row].tobytes(), "little")
        hit = [(n, own) for n in blank[key] if (own := opened & bits[n])] if opened else []
        mark, waiting = _mark(key), left.get(row) or {}
        why = behind[mark].fields(own_name(key)) if hit else {}
        for name, own in hit:
            for entered in why.get(name, ()) if name in derived else (name,):
                waiting[entered] = waiting.get(entered, 0) | own
        for entered, own in waiting.items():
            counted = found[mark][entered]
            counted[0] += 1
            counted[1] += own.bit_count()
            counted[2] += (own & majors).bit_count()
    return {
        mark: [(name, _table_of(name), *counts) for name, counts in sorted(own.items())] for mark, own in found.items()
    }


def _left_open(audit: Audit, asked: list[int]) -> dict[int, dict[str, int]]:
    """By row, the blanks whose assumed values leave verdicts open, with those verdicts' rules as bits."""
    table = audit.verdicts
    found: dict[int, dict[str, int]] = defaultdict(dict)
    for col in asked:
        rule = table.rules[col]
        if audit.leaves_open(rule):
            for row in np.flatnonzero((table.outcomes[:, col] == CANT_TELL) & (table.stand_ins != 0)).tolist():
                for name in audit.left_open(table.tags[row], rule):
                    found[row][name] = found[row].get(name, 0) | 1 << col
    return found


@cache
def _table_of(name: str) -> str:
    return columns.column(name).table


def _blanks(db: Database, names: list[str]) -> dict[str, list[str]]:
    """For each position those of some facts that are blank."""
    words = [names[at : at + WORD_BITS] for at in range(0, len(names), WORD_BITS)]
    packed = ["|".join(f"(({n} IS NULL)<<{bit})" for bit, n in enumerate(own)) for own in words]
    found: dict[str, list[str]] = {}
    named = [_named(tuple(own)) for own in words]
    for tag, *masks in db.conn.execute(f"SELECT {', '.join(['tag', *packed])} FROM facts"):
        found[tag] = [n for own, mask in zip(named, masks, strict=True) for n in own(mask)]
    return found


def _named(names: tuple[str, ...]) -> Any:
    @cache
    def of(mask: int) -> list[str]:
        return [name for bit, name in enumerate(names) if mask >> bit & 1]

    return of
