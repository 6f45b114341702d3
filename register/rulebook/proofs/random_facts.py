"""Facts by chance, to try rules on: values on both sides of whatever the rules compare with."""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np

from register import columns
from register.rulebook.check.expression import literals_in, parsed
from register.rulebook.model import Pack, Rule
from register.rulebook.run.evaluate import evaluate
from register.rulebook.tables import facts_table

TODAY = date(2026, 3, 1)
_DAYS = ("2024-01-01", "2026-02-27", "2026-03-01")
_NUMBERS = (0.0, 0.5, 1.0, 3.0, 10.0, 100.0, 1000.0)

Row = dict[str, Any]


def subjects(pack: Pack) -> list[str]:
    """What the rules of a pack are about."""
    return [name for name in columns.SUBJECTS if any(r.subject == name for r in pack.rules)]


class Invented:
    """Makes rows of facts for the rules about one subject."""

    def __init__(self, pack: Pack, subject: str, *, seed: int) -> None:
        self.subject = columns.SUBJECTS[subject]
        self.rules = tuple(rule for rule in pack.rules if rule.subject == subject)
        self.chance = random.Random(seed)
        texts = {text for r in self.rules for text in (r.condition, r.requires) if text}
        said = {value for text in texts for value in literals_in(parsed(text))}
        said |= {limit.value for limit in pack.limits.values()}
        said |= {override.value for override in pack.overrides}
        read = {name for rule in self.rules for name in rule.columns} - {self.subject.key}
        self.pools = {name: _pool(self.subject.columns[name], said) for name in sorted(read)}

    def row(self, blank_share: float = 0.0) -> Row:
        """One row; so large a share of it unknown."""
        blank = self.chance.random
        return {name: None if blank() < blank_share else self.chance.choice(pool) for name, pool in self.pools.items()}

    def filled(self, row: Row) -> Row:
        """The row with every blank filled."""
        return {name: self.chance.choice(self.pools[name]) if value is None else value for name, value in row.items()}


def judged(connection: sqlite3.Connection, pack: Pack, rules: Iterable[Rule], rows: list[Row]) -> np.ndarray:
    """The outcomes of some rules about one subject: a row for each of `rows`, in their order."""
    rules = tuple(rules)
    about = rules[0].about
    connection.execute(f"DROP TABLE IF EXISTS {about.relation}")
    connection.execute(facts_table(about.name))
    if rows:
        names = list(rows[0])
        connection.executemany(
            f"INSERT INTO {about.relation} ({', '.join([about.key, *names])})"
            f" VALUES ({', '.join('?' * (len(names) + 1))})",
            ([f"{n:09d}", *row.values()] for n, row in enumerate(rows)),
        )
    own = replace(pack, rules=rules)
    return evaluate(connection, own, today=TODAY, subject=about.name).outcomes


def _pool(column: columns.Column, said: set[str | float]) -> list[Any]:
    if column.choices:
        return list(column.choices)
    if column.kind == "date":
        return list(_DAYS)
    if column.is_number:
        numbers = {value for value in said if isinstance(value, float)} | set(_NUMBERS)
        return sorted({round(n) for n in numbers} if column.kind == "integer" else numbers)
    return sorted({value for value in said if isinstance(value, str)} | {"", "something else"})
