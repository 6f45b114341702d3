"""Predicates as trees: parsed by sqlglot, written again for SQLite, taken apart into clauses."""

from __future__ import annotations

import logging
import re
from collections.abc import Callable
from functools import cache

from sqlglot import exp, parse_one

from register.rulebook.clauses import Compiled, Side
from register.rulebook.model import TODAY, Outcome
from register.rulebook.tables import CHECK_DAYS, FUNCTIONS

# What no expression holds, and what is not taken for white space at its ends.
MARK = "\x01"
# What it cannot read is told as a problem of the file, and not beside it.
logging.getLogger("sqlglot").setLevel(logging.ERROR)
_SHOUTED = re.compile(rf"\b({'|'.join(FUNCTIONS)})(?=\()", re.IGNORECASE)


@cache
def parsed(text: str) -> exp.Expression:
    """The tree of an expression; sqlglot's error when it has none. Not to be changed in place."""
    return parse_one(text, read="sqlite")


def written(
    node: exp.Expression, named: Callable[[str], str] = ":{}".format, column: Callable[[str], str] | None = None
) -> str:
    """The SQL text of a tree, with what `named` gives in the place of each `:name`.

    `column` gives the text in the place of each column, where it is not to be its name.
    """

    def replaced(part: exp.Expression) -> exp.Expression:
        if isinstance(part, exp.Placeholder):
            return exp.Var(this=named(part.name))
        if column and isinstance(part, exp.Column):
            return exp.Var(this=column(part.name))
        if isinstance(part, exp.Not) and isinstance(part.this, exp.Is):
            # sqlglot keeps IS NOT NULL as NOT … IS NULL, which reads worse.
            return exp.Is(this=part.this.this, expression=exp.Not(this=part.this.expression))
        return part

    text = node.transform(replaced).sql("sqlite", normalize_functions=False, comments=False)
    return _SHOUTED.sub(lambda found: found[0].lower(), text)


def outcome_sql(condition: exp.Expression | None, requires: exp.Expression, named: Callable[[str], str]) -> str:
    """The SQL of a rule's outcome: 0 to 3, as in `Outcome`.

    A truth is 1, 0 or NULL, and NULL is unknown, in the condition as in the requirement.
    """
    known = known_by(named)
    judged = f"coalesce(NOT ({written(requires, named, known)}), {Outcome.CANT_TELL:d})"
    if condition is None:
        return judged
    return (
        f"CASE ({written(condition, named, known)}) WHEN 1 THEN {judged}"
        f" WHEN 0 THEN {Outcome.INAPPLICABLE:d} ELSE {Outcome.CANT_TELL:d} END"
    )


def known_by(named: Callable[[str], str]) -> Callable[[str], str]:
    """What stands for a column in a query: a check dated after the audit's day was not done yet."""

    def known(name: str) -> str:
        if name not in CHECK_DAYS:
            return name
        return f"CASE WHEN {name} <= {named(TODAY)} THEN {name} END"

    return known


def compile_text(text: str) -> Compiled:
    """An expression in pieces, taken apart into its clauses."""
    tree, sides = parsed(text), []
    for group, clause in enumerate(conjuncts(tree)):
        choices = disjuncts(clause)
        for index, choice in enumerate(choices):
            joiner = "" if len(choices) == 1 else "or " if index else "either "
            sides.append(_side(choice.unnest(), group, joiner))
    return Compiled(_pieces(tree), tuple(sides))


def _pieces(tree: exp.Expression) -> tuple[str, ...]:
    named = f"{MARK}{{}}{MARK}".format
    return tuple(written(tree, named, known_by(named)).split(MARK))


def _side(tree: exp.Expression, group: int, joiner: str) -> Side:
    marked = written(tree, f"{MARK}:{{}}{MARK}".format, f"{MARK}{{}}{MARK}".format)
    return Side(
        sql=_pieces(tree),
        group=group,
        text=joiner + written(tree),
        slots=tuple((joiner + marked).split(MARK)),
        reads=columns_in(tree),
        names=names_in(tree),
    )


def columns_in(*nodes: exp.Expression) -> tuple[str, ...]:
    """The columns that trees read, each once, in the order in which they are written."""
    found = (part.name for node in nodes for part in node.find_all(exp.Column, bfs=False))
    return tuple(dict.fromkeys(found))


def names_in(*nodes: exp.Expression) -> tuple[str, ...]:
    """The `:names` that trees read, each once."""
    found = (part.name for node in nodes for part in node.find_all(exp.Placeholder, bfs=False))
    return tuple(dict.fromkeys(found))


def literals_in(node: exp.Expression) -> list[str | float]:
    """The texts and numbers that stand in a tree."""
    return [part.this if part.is_string else float(part.this) for part in node.find_all(exp.Literal)]


def conjuncts(node: exp.Expression) -> list[exp.Expression]:
    """What must all hold, from the outside."""
    return _flat(node, exp.And)


def disjuncts(node: exp.Expression) -> list[exp.Expression]:
    """Of what one must hold, from the outside."""
    return _flat(node, exp.Or)


def _flat(node: exp.Expression, kind: type) -> list[exp.Expression]:
    inner = node.unnest()
    if isinstance(inner, kind):
        return _flat(inner.left, kind) + _flat(inner.right, kind)
    return [node]
