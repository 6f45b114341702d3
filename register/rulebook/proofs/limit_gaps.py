"""Gaps between limits: values that fall between the rules that judge below and those above."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from math import inf

from sqlglot import exp

from register.columns import column
from register.rulebook.check.expression import columns_in, conjuncts, parsed
from register.rulebook.model import Pack, Rule
from register.rulebook.run.limit_layers import LimitLayers
from register.text import shown

_MIRRORED = {exp.GT: exp.LT, exp.GTE: exp.LTE, exp.LT: exp.GT, exp.LTE: exp.GTE}


@dataclass(frozen=True)
class Band:
    """The values of a column at which a rule applies; `…_in` where the end itself belongs to it."""

    low: float = -inf
    high: float = inf
    low_in: bool = False
    high_in: bool = False

    def narrowed(self, kind: type, value: float) -> Band:
        """The part of it above or below a value."""
        if kind in (exp.GT, exp.GTE):
            return Band(value, self.high, kind is exp.GTE, self.high_in)
        return Band(self.low, value, self.low_in, kind is exp.LTE)


def gaps(pack: Pack) -> list[tuple[str, str]]:
    """(rules, what no rule judges) for rules of one requirement that apply in bands of a column.

    Two rules belong together where their requirements read a column in common.
    """
    bands = {rule.id: _bands(pack, rule) for rule in pack.rules}
    reads = {rule.id: set(columns_in(parsed(rule.requires))) for rule in pack.rules}
    groups: dict[tuple[str, str], set[str]] = defaultdict(set)
    for one, other in combinations(pack.rules, 2):
        for name in bands[one.id].keys() & bands[other.id].keys():
            for read in reads[one.id] & reads[other.id] - {name}:
                groups[name, read] |= {one.id, other.id}
    found = {
        (", ".join(sorted(rules)), f"no rule judges {read} where {name} is {hole}")
        for (name, read), rules in groups.items()
        for hole in _holes([bands[rule][name] for rule in rules], column(name).unit)
    }
    return sorted(found)


def _bands(pack: Pack, rule: Rule) -> dict[str, Band]:
    """Column → the band of it where the rule applies, at the limits of pack and site."""
    values = LimitLayers(pack, rule.limits, rule.subject).values
    found: dict[str, Band] = {}
    for clause in conjuncts(parsed(rule.applies)) if rule.applies else ():
        for name, kind, value in _bounds(clause.unnest(), values):
            found[name] = found.get(name, Band()).narrowed(kind, value)
    return found


def _bounds(clause: exp.Expression, values: dict) -> Iterator[tuple[str, type, float]]:
    if isinstance(clause, exp.Between):
        low, high = clause.args["low"], clause.args["high"]
        pairs = [(exp.GTE, clause.this, low), (exp.LTE, clause.this, high)]
    elif type(clause) in _MIRRORED:
        pairs = [(type(clause), clause.left, clause.right), (_MIRRORED[type(clause)], clause.right, clause.left)]
    else:
        pairs = []
    for kind, read, bound in pairs:
        value = _number(bound, values)
        if isinstance(read, exp.Column) and value is not None:
            yield read.name, kind, value


def _number(node: exp.Expression, values: dict) -> float | None:
    if isinstance(node, exp.Placeholder):
        value = values.get(node.name)
        return value if isinstance(value, int | float) else None
    return float(node.this) if isinstance(node, exp.Literal) and not node.is_string else None


def _holes(bands: list[Band], unit: str) -> Iterator[str]:
    """What lies between bands and in none of them."""
    reach, reached = None, False
    for band in sorted(bands, key=lambda b: (b.low, not b.low_in)):
        if reach is not None and band.low > reach:
            yield f"between {shown(reach, unit)} and {shown(band.low, unit)}"
        elif reach is not None and band.low == reach and not (reached or band.low_in):
            yield f"just {shown(reach, unit)}"
        if reach is None or (band.high, band.high_in) > (reach, reached):
            reach, reached = band.high, band.high_in
