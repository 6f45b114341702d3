"""A rule changed a little, in every way there is.

Each comparison is made strict or not and turned round, each part of an AND or OR left out, each
word left out of a list, each abs() left out, each limit and constant raised and lowered; each clause
of what lies outside is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from sqlglot import exp

from register import columns
from register.rulebook.check.expression import parsed, written
from register.rulebook.model import TODAY, Rule

_OTHERS: dict[type, tuple[type, ...]] = {
    exp.GT: (exp.GTE, exp.LT),
    exp.GTE: (exp.GT, exp.LTE),
    exp.LT: (exp.LTE, exp.GT),
    exp.LTE: (exp.LT, exp.GTE),
    exp.EQ: (exp.NEQ,),
    exp.NEQ: (exp.EQ,),
}
_NUDGES = (0.9, 1.1)


@dataclass(frozen=True)
class Mutant:
    """A rule's predicates after one change; `change` says which."""

    rule: str
    change: str
    condition: exp.Expression | None
    requires: exp.Expression
    beyond: exp.Expression | None = None

    def __str__(self) -> str:
        return f"{self.rule}: no example notices: {self.change}"


def mutants(rule: Rule) -> list[Mutant]:
    """Every rule that differs from this one by one small change."""
    condition = parsed(rule.condition) if rule.condition else None
    requires = parsed(rule.requires)
    beyond = parsed(rule.beyond) if rule.outside else None
    made: dict[tuple[str, str], Mutant] = {}
    for tree, name in ((condition, "applies"), (requires, "requires")):
        for changed, change in _changed(tree) if tree is not None else ():
            own = (changed, requires) if name == "applies" else (condition, changed)
            text = (name, written(changed))
            made.setdefault(text, Mutant(rule.id, f"{name}: {change}", *own, beyond))
    return [*made.values(), *_without_a_clause(rule, condition, requires)]


def _without_a_clause(rule: Rule, condition: exp.Expression | None, requires: exp.Expression) -> Iterator[Mutant]:
    for left_out in rule.outside:
        rest = replace(rule, outside=tuple(o for o in rule.outside if o is not left_out))
        beyond = parsed(rest.beyond) if rest.outside else None
        yield Mutant(rule.id, f"outside: {left_out.when} is left out", condition, requires, beyond)


def _changed(tree: exp.Expression) -> Iterator[tuple[exp.Expression, str]]:
    for index, node in enumerate(tree.walk()):
        for new, change in _replacements(node):
            copied = tree.copy()
            if index == 0:
                yield new, change
            else:
                next(n for i, n in enumerate(copied.walk()) if i == index).replace(new)
                yield copied, change


def _replacements(node: exp.Expression) -> Iterator[tuple[exp.Expression, str]]:
    was = written(node)

    def becomes(new: exp.Expression) -> tuple[exp.Expression, str]:
        return new, f"{was} becomes {written(new)}"

    for other in _OTHERS.get(type(node), ()):
        yield becomes(other(this=node.left.copy(), expression=node.right.copy()))
    if isinstance(node, exp.And | exp.Or):
        yield node.left.copy(), f"{written(node.right)} is left out"
        yield node.right.copy(), f"{written(node.left)} is left out"
    if isinstance(node, exp.In) and len(node.expressions) > 1:
        for word in node.expressions:
            kept = [other.copy() for other in node.expressions if other is not word]
            yield exp.In(this=node.this.copy(), expressions=kept), f"{written(word)} is left out"
    if isinstance(node, exp.In | exp.Between | exp.Is):
        yield becomes(exp.Not(this=exp.paren(node.copy(), copy=False)))
    if isinstance(node, exp.Abs):
        yield becomes(node.this.copy())
    if _is_nudged(node):
        for nudge in _NUDGES:
            yield becomes(_nudged(node, nudge))


def _is_nudged(node: exp.Expression) -> bool:
    """Limits and numbers, but not beside a column of whole numbers, where a little is nothing."""
    if isinstance(node, exp.Placeholder):
        number = node.name != TODAY
    else:
        number = isinstance(node, exp.Literal) and not node.is_string
    if not number or node.find_ancestor(exp.Round):
        return False
    around = node.find_ancestor(exp.EQ, exp.NEQ, exp.LT, exp.LTE, exp.GT, exp.GTE, exp.Between)
    read = around.find_all(exp.Column) if around is not None else ()
    return not any(columns.COLUMNS[column.name].kind == "integer" for column in read)


def _nudged(node: exp.Expression, nudge: float) -> exp.Expression:
    make: Callable[[float], exp.Expression] = exp.Literal.number
    if isinstance(node, exp.Placeholder):
        return exp.paren(exp.Mul(this=node.copy(), expression=make(nudge)), copy=False)
    value = float(node.this)
    return make(f"{value * nudge:.12g}" if value else f"{nudge - 1:.12g}")
