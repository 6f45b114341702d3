"""Rows of a summary that come of judging: verdicts counted, findings, what is unknown; for each register of a group."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from sqlite_utils import Database

from register.audit.judge import Audit
from register.fleet.joined import MARK
from register.fleet.unknown import Behind
from register.fleet.unknown import unknown as unknown_in
from register.rulebook.model import Outcome, Verdicts
from register.rulebook.run.margins import margins_of_failed

ELSEWHERE = {"bus": "(lineups)", "device in store": "(in store)"}
NO_AREA = "(area unknown)"
FAILED, CANT_TELL, PASSED, INAPPLICABLE = (Outcome.FAILED, Outcome.CANT_TELL, Outcome.PASSED, Outcome.INAPPLICABLE)


@dataclass
class Rows:
    """What judging gives for one register: rows of three tables, how many were judged, how many verdicts that gave."""

    verdicts: list[tuple] = field(default_factory=list)
    findings: list[tuple] = field(default_factory=list)
    unknown: list[tuple] = field(default_factory=list)
    judged: dict[str, int] = field(default_factory=dict)
    outcomes: int = 0


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
        heads = [(by, table.subject, rule.id, str(rule.grade), str(rule.harm)) for rule in table.rules]
        for mark, own in found.items():
            rows = np.flatnonzero(marks == mark)
            own.judged[table.subject] = len(rows)
            own.outcomes += len(rows) * len(table.rules)
            own.verdicts += _counts(table, rows, places, heads)
            own.findings += _findings(table, rows, places, margins, heads, accepted[mark])
    for mark, unknown in unknown_in(db, audit, behind).items():
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


def _counts(table: Verdicts, rows: np.ndarray, places: list[tuple], heads: list[tuple]) -> list[tuple]:
    of_area: dict[str, list[int]] = defaultdict(list)
    for row in rows.tolist():
        of_area[places[row][0]].append(row)
    made: list[tuple] = []
    for area, own in sorted(of_area.items()):
        outcomes = table.outcomes[own]
        counted = [(outcomes == o).sum(axis=0).tolist() for o in (PASSED, FAILED, CANT_TELL, INAPPLICABLE)]
        counted.append((table.provisional[own] & (outcomes < CANT_TELL)).sum(axis=0).tolist())
        made += ((*head, area, *counts) for head, *counts in zip(heads, *counted, strict=True))
    return made


def _margins(db: Database, audit: Audit, table: Verdicts) -> Mapping[tuple[str, str], float]:
    """The margin at each failed verdict that has one: by the value on the safe side where that decided."""
    told: dict[tuple[str, str], float] = {}
    for conn, safe in ((db.conn, False), (audit.doubts.safe_facts, True)):
        if conn is not None:
            failed = [(rule, _failed_at(audit, table, col, safe)) for col, rule in enumerate(table.rules)]
            told |= margins_of_failed(conn, audit.pack, failed, today=audit.today, subject=table.subject)
    return told


def _failed_at(audit: Audit, table: Verdicts, col: int, safe: bool) -> list[str]:
    """Where a rule failed, by the value on the safe side or by the one entered."""
    rows, rule = np.flatnonzero(table.outcomes[:, col] == FAILED).tolist(), table.rules[col].id
    return [tag for tag in map(table.tags.__getitem__, rows) if ((tag, rule) in audit.doubts.by_safe) is safe]


def _findings(
    table: Verdicts,
    rows: np.ndarray,
    places: list[tuple],
    margins: Mapping[tuple[str, str], float],
    heads: list[tuple],
    accepted: set[tuple[str, str]],
) -> list[tuple]:
    made = []
    for row, col in np.argwhere(table.outcomes[rows] == FAILED).tolist():
        row = int(rows[row])
        rule, key = table.rules[col], table.tags[row]
        margin, name = margins.get((key, rule.id)), own_name(key)
        unit = rule.margin_unit if margin is not None else None
        provisional = bool(table.provisional[row, col])
        told = margin, unit, provisional, (rule.id, name) in accepted
        made.append((*heads[col], name, *places[row], *told))
    return sorted(made, key=lambda finding: (finding[2], finding[5]))
