"""The margins of many rules at many places in one scan, for those who open no finding."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from datetime import date

import numpy as np

from register.columns import SUBJECTS
from register.rulebook.clauses import filled
from register.rulebook.model import Pack, Rule
from register.rulebook.run.compiled import compiled
from register.rulebook.run.guard import guarded
from register.rulebook.run.limit_layers import read_by

DEADLINE_S = 600.0


def margins_of_failed(
    connection: sqlite3.Connection, pack: Pack, rules: Iterable[Rule], *, today: date, subject: str = "position"
) -> tuple[dict[str, int], np.ndarray]:
    """The row of each place, and the margin of each rule there as it is told where the rule fails.

    Parameters
    ----------
    connection : one that sees the table of the subject's facts.
    pack, rules, today : the limits in force, rules of that subject, the day.

    Returns
    -------
    (row by key; places × rules, NaN where a rule has no margin, or one that another clause outweighs).
    """
    rules = tuple(rules)
    about = SUBJECTS[subject]
    layers, values = read_by(rules, pack, today=today.isoformat(), subject=subject)
    asked = [filled(compiled(rule.margin).sql, layers.sql) if rule.margin else "NULL" for rule in rules]
    with guarded(connection, deadline_s=DEADLINE_S):
        found = connection.execute(f"SELECT {', '.join([about.key, *asked])} FROM {about.relation}", values).fetchall()
    made = np.array([row[1:] for row in found], float).reshape(len(found), len(rules))
    made[made > 0] = np.nan
    return {row[0]: number for number, row in enumerate(found)}, made
