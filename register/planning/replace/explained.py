"""Verdicts on what is tried, opened: why they came out so, and what is to be read to tell more."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

import numpy as np
from sqlite_utils import Database

from register import columns
from register.audit.assumed import not_to_judge
from register.audit.bounds import bounded
from register.calc.standard_table import Table
from register.facts.assumptions import Assumption
from register.facts.table import facts_table
from register.facts.whatif import trials
from register.rulebook.model import Explanation, Pack
from register.rulebook.run.explain import explain, unknown_columns

Asked = Mapping[str, Iterable[str]]


class Opening:
    """The facts of some positions with values tried, in a table that rules are explained from.

    Parameters
    ----------
    db : an open register, which is only read.
    tried : for each position, base columns and the values that they would have.
    pack, tables, assumptions, today : as for an audit.
    """

    def __init__(
        self,
        db: Database,
        tried: Mapping[str, Mapping[str, Any]],
        *,
        pack: Pack,
        tables: Mapping[str, Table],
        assumptions: tuple[Assumption, ...],
        today: date,
    ) -> None:
        self.pack, self.assumptions, self.today = pack, assumptions, today
        self.rules = {rule.id: rule for rule in pack.rules}
        found = trials(db, tried, tables=tables, assumptions=assumptions)
        self.facts = {one.tag: one for one in found}
        held = {name: [one.values[name] for one in found] for name in columns.FACTS}
        self.conn = facts_table(tuple(columns.FACTS), held, np.zeros(len(found), np.int64))

    def __enter__(self) -> Opening:
        return self

    def __exit__(self, *_: object) -> None:
        self.conn.close()

    def explained(self, asked: Asked) -> dict[str, list[Explanation]]:
        """Why some rules come out as they do at each position, in the order asked."""
        found: dict[tuple[str, str], Explanation] = {}
        for rule, tags in _by_rule(asked).items():
            every = explain(self.conn, self.pack, self.rules[rule], tags, today=self.today)
            found |= {(one.tag, rule): one for one in every}
        return {tag: [found[tag, rule] for rule in rules] for tag, rules in asked.items()}

    def to_read(self, asked: Asked) -> dict[str, dict[str, tuple[str, ...]]]:
        """For each position, the entered fields to read so that these rules can be told."""
        found: dict[str, dict[str, tuple[str, ...]]] = {tag: {} for tag in asked}
        for rule, tags in _by_rule(asked).items():
            names = unknown_columns(self.conn, self.pack, self.rules[rule], tags, today=self.today)
            never = [a.column for a in not_to_judge(self.rules[rule], self.assumptions)]
            bounds = bounded(self.rules[rule], self.assumptions)
            for tag in tags:
                facts = self.facts[tag]
                open_ = (name for name in never if name in facts.assumed)
                fields = (*facts.to_read(names.get(tag, ())), *open_)
                fields = fields or tuple(a.column for a in bounds if a.column in facts.assumed)
                found[tag][rule] = tuple(dict.fromkeys(fields))
        return found


def _by_rule(asked: Asked) -> dict[str, list[str]]:
    tags: dict[str, list[str]] = {}
    for tag, rules in asked.items():
        for rule in rules:
            tags.setdefault(rule, []).append(tag)
    return tags
