"""All rules over all positions in one scan of the facts."""

from __future__ import annotations

import json
import sqlite3
import time
from collections.abc import Iterable
from datetime import date

import numpy as np

from register.columns import SUBJECTS
from register.errors import Problem, RuleError
from register.rulebook.clauses import filled
from register.rulebook.model import Pack, Rule, Verdicts
from register.rulebook.run.compiled import outcome_pieces
from register.rulebook.run.guard import Overrun, guarded
from register.rulebook.run.limit_layers import read_by

DEADLINE_S = 600.0
_BITS = 2
# SQLite's integers have 64 bits, the highest one for the sign.
_RULES_A_WORD = 31
_CHUNK = 20_000
_SAMPLE = 1_000


def evaluate(
    connection: sqlite3.Connection,
    pack: Pack,
    *,
    today: date,
    tags: Iterable[str] | None = None,
    subject: str = "position",
    key: str = "",
    deadline_s: float = DEADLINE_S,
) -> Verdicts:
    """Judge the positions in the table `facts` by every rule of a pack that is about positions.

    Parameters
    ----------
    connection : one that sees `facts`; while rules run it can only read.
    pack : the rules and limits in force.
    today : the day on which the verdicts are given.
    tags : only these positions.
    subject : of what else, in the table of its own: a bus, a device in store.
    key : the column that tells the rows apart, where it is not the subject's own.
    deadline_s : [s] after which the rules are stopped.

    Errors: RuleError when the deadline passes, naming the rule where one can be told.
    """
    about, rules = SUBJECTS[subject], tuple(r for r in pack.rules if r.subject == subject)
    layers, values = read_by(rules, pack, today=today.isoformat(), subject=subject)
    outcomes = [filled(outcome_pieces(rule), layers.sql) for rule in rules]
    key = key or about.key
    selected = ", ".join([key, "stand_ins", *_packed(outcomes)])
    only = ""
    if tags is not None:
        only = f"WHERE {key} IN (SELECT value FROM json_each(:tags))"
        values = {**values, "tags": json.dumps(list(tags))}
    try:
        with guarded(connection, deadline_s=deadline_s):
            # The plus keeps SQLite from hopping through the table in the order of an index.
            cursor = connection.execute(f"SELECT {selected} FROM {about.relation} {only} ORDER BY +{key}", values)
            return _fetched(cursor, rules, subject)
    except Overrun:
        raise _too_slow(connection, pack, rules, outcomes, values, deadline_s) from None


def _packed(outcomes: list[str]) -> list[str]:
    """Many outcomes in one integer, so that a row of the result is a few numbers."""
    words = []
    for start in range(0, len(outcomes), _RULES_A_WORD):
        own = outcomes[start : start + _RULES_A_WORD]
        words.append("|".join(f"(({sql})<<{_BITS * i})" for i, sql in enumerate(own)))
    return words


def _fetched(cursor: sqlite3.Cursor, rules: tuple[Rule, ...], subject: str) -> Verdicts:
    tags: list[str] = []
    stand_ins: list[np.ndarray] = []
    outcomes: list[np.ndarray] = []
    shifts = np.arange(_RULES_A_WORD, dtype=np.int64) * _BITS
    while rows := cursor.fetchmany(_CHUNK):
        own_tags, own_stand_ins, *words = zip(*rows, strict=True)
        tags += own_tags
        stand_ins.append(np.array(own_stand_ins, np.int64))
        packed = np.array(words, np.int64).reshape(len(words), len(rows))
        spread = (packed[:, :, None] >> shifts) & (2**_BITS - 1)
        wide = spread.astype(np.uint8).transpose(1, 0, 2).reshape(len(rows), -1)
        outcomes.append(wide[:, : len(rules)])
    return Verdicts(
        tags=tuple(tags),
        rules=rules,
        outcomes=np.concatenate(outcomes) if outcomes else np.empty((0, len(rules)), np.uint8),
        stand_ins=np.concatenate(stand_ins) if stand_ins else np.empty(0, np.int64),
        subject=subject,
    )


def _too_slow(
    connection: sqlite3.Connection,
    pack: Pack,
    rules: tuple[Rule, ...],
    outcomes: list[str],
    values: dict,
    deadline_s: float,
) -> RuleError:
    """The error of an overrun; the rule is told where one took most of the time on a sample."""
    took = []
    relation = rules[0].about.relation
    for sql in outcomes:
        start = time.monotonic()
        try:
            with guarded(connection, deadline_s=max(0.05, deadline_s / len(outcomes))):
                connection.execute(
                    f"SELECT sum({sql}) FROM (SELECT * FROM {relation} LIMIT {_SAMPLE})", values
                ).fetchall()
        except Overrun:
            pass
        took.append(time.monotonic() - start)
    slowest = max(range(len(took)), key=took.__getitem__)
    told = len(took) == 1 or took[slowest] > sum(took) / 2
    place = str(rules[slowest].path) if told else str(pack.folder)
    return RuleError(
        Problem(
            cause=f"the rules took longer than {deadline_s:g} s and were stopped"
            + (f"; {rules[slowest].id} is the slow one" if told else ""),
            remedy="write the rule plainer" if told else "judge fewer positions at a time",
            place=place,
        )
    )
