"""Mistakes of the unit: a column put in another's place must be refused, A for kA above all."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass

from sqlglot import exp

from register.columns import Column
from register.rulebook.check import units
from register.rulebook.check.expression import parsed, written
from register.rulebook.check.expression_check import check
from register.rulebook.check.kinds import COMPARISONS
from register.rulebook.model import Pack, Rule


@dataclass(frozen=True)
class Mistake:
    """A rule's expression with one column for another, of another unit."""

    rule: str
    put: Column
    in_place_of: Column
    text: str

    def __str__(self) -> str:
        one, other = self.put, self.in_place_of
        return (
            f"{one.name} ({one.unit or 'a ratio'}) is taken in the place of"
            f" {other.name} ({other.unit or 'a ratio'}): {self.text}"
        )


def accepted(pack: Pack, connection: sqlite3.Connection) -> tuple[int, list[Mistake]]:
    """The number of mistakes tried, and those that the check of expressions lets through.

    A comparison with a bare number alone is left out, for it fits any unit. Where a number stands
    among the columns it may be one that converts, and only mistakes of the dimension are tried.
    """
    limits = {name: limit.unit for name, limit in pack.limits.items()}
    count, through = 0, []
    for rule in pack.rules:
        for slip in _mistakes(rule, limits):
            count += 1
            said = check(
                slip.text, wants="truth", limits=limits, deliberate=True, connection=connection, about=rule.about
            )
            if not said.faults:
                through.append(slip)
    return count, through


def _mistakes(rule: Rule, limits: dict[str, str]) -> Iterator[Mistake]:
    for text in (rule.applies, rule.requires):
        tree = parsed(text) if text else None
        for node in tree.find_all(*COMPARISONS) if tree is not None else ():
            if _both_sides_have_units(node, rule):
                for leaf in node.find_all(exp.Column):
                    yield from _put_wrongly(node, leaf, rule)


def _both_sides_have_units(node: exp.Expression, rule: Rule) -> bool:
    def known(leaf: exp.Expression) -> bool:
        return isinstance(leaf, exp.Placeholder) or rule.about.columns[leaf.name].is_number

    sides = (list(side.find_all(exp.Column, exp.Placeholder)) for side in (node.left, node.right))
    return all(side and all(map(known, side)) for side in sides)


def _put_wrongly(node: exp.Expression, leaf: exp.Column, rule: Rule) -> Iterator[Mistake]:
    was = rule.about.columns[leaf.name]
    of = units.unit(was.unit)
    others = [c for c in rule.about.columns.values() if c.kind == "real" and c.name not in rule.columns]
    resized = (c for c in others if units.unit(c.unit).powers == of.powers and units.unit(c.unit).size != of.size)
    converts = any(not number.is_string for number in node.find_all(exp.Literal))
    unlike = (c for c in others if units.unit(c.unit).powers != of.powers)
    for put in (None if converts else next(resized, None), next(unlike, None)):
        if put is not None:
            changed = node.transform(lambda part, put=put: exp.column(put.name) if part == leaf else part)
            yield Mistake(rule.id, put, was, written(changed))
