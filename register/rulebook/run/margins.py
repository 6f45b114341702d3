"""The margins of rules at the places where they failed, for those who open no finding."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Sequence
from datetime import date

from register.columns import SUBJECTS
from register.rulebook.clauses import filled
from register.rulebook.model import Pack, Rule
from register.rulebook.run.compiled import compiled
from register.rulebook.run.guard import guarded
from register.rulebook.run.limit_layers import read_by

DEADLINE_S = 600.0


def margins_of_failed(
    connection: sqlite3.Connection,
    pack: Pack,
    failed: Iterable[tuple[Rule, Sequence[str]]],
    *,
    today: date,
    subject: str = "position",
) -> dict[tuple[str, str], float]:
    """The margin at each place and rule id, as it is told where the rule fails.

    A rule without a margin has none, nor has a place where another clause outweighs it.

    Parameters
    ----------
    connection : one that sees the table of the subject's facts.
    pack, today : the limits in force, the day.
    failed : rules of that subject, and the keys of the places where each failed.
    """
    about, failed = SUBJECTS[subject], [(rule, keys) for rule, keys in failed if keys and rule.margin]
    layers, values = read_by((rule for rule, _ in failed), pack, today=today.isoformat(), subject=subject)
    found: dict[tuple[str, str], float] = {}
    with guarded(connection, deadline_s=DEADLINE_S):
        for rule, keys in failed:
            margin = filled(compiled(rule.margin).sql, layers.sql)
            only = f"WHERE {about.key} IN (SELECT value FROM json_each(:keys))"
            asked = connection.execute(
                f"SELECT {about.key}, {margin} FROM {about.relation} {only}", {**values, "keys": json.dumps(keys)}
            )
            found |= {(key, rule.id): float(value) for key, value in asked if value is not None and value <= 0}
    return found
