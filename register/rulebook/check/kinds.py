"""What a part of a predicate is: a truth, a number with a unit, text with its words, or a day."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from sqlglot import exp

from register.rulebook.check.units import Unit
from register.rulebook.tables import FUNCTIONS

COMPARISONS = (exp.EQ, exp.NEQ, exp.LT, exp.LTE, exp.GT, exp.GTE)
_SAME = (exp.NullSafeEQ, exp.NullSafeNEQ)
HIDES_UNKNOWN = (exp.Is, exp.Coalesce, exp.Nullif, exp.Case, exp.If, *_SAME)
# fmt: off
PLAIN_FUNCTIONS = {
    exp.Abs: "abs", exp.Round: "round", exp.Sqrt: "sqrt", exp.Greatest: "max", exp.Least: "min",
    exp.Lower: "lower", exp.Upper: "upper", exp.StrPosition: "instr", exp.Length: "length",
}
# fmt: on
ALIKE = "numbers go with numbers, text with text in single quotes, days with days"
MAY_USE = "AND OR NOT = <> < <= > >= BETWEEN IN + - * / and the functions " + ", ".join(FUNCTIONS)
SPANS = (" day", " days", " month", " months", " year", " years")


@dataclass(frozen=True)
class Kind:
    """What a part of an expression is: `sort` is truth, number, text, day or unknown."""

    sort: str
    unit: Unit | None = None
    whole: bool = False
    choices: tuple[str, ...] = ()
    literal: str | None = None


TRUTH, TEXT, DAY, UNKNOWN = Kind("truth"), Kind("text"), Kind("day"), Kind("unknown")


class Blame(NamedTuple):
    """Something wrong at a node."""

    node: exp.Expression
    cause: str
    remedy: str


@dataclass(frozen=True)
class Fault:
    """One thing wrong in an expression: the text from `start`, `width` characters of it.

    It is not `sure` where the text could not be read, so that some slip may be the reason.
    """

    cause: str
    remedy: str
    start: int
    width: int
    sure: bool = True


def called(node: exp.Expression) -> str:
    """What a person calls a node: IS, CASE, total()."""
    if isinstance(node, exp.Anonymous):
        return f"{node.name}()"
    words = {
        exp.Is: "IS",
        exp.Case: "CASE",
        exp.If: "IIF",
        exp.Coalesce: "COALESCE or IFNULL",
        exp.NullSafeEQ: "IS",
        exp.NullSafeNEQ: "IS",
    }
    return words.get(type(node)) or type(node).__name__.upper()


def described(node: exp.Expression, kind: Kind) -> str:
    """A number as written, with its unit in words."""
    what = node.sql("sqlite", normalize_functions=False, comments=False)
    return f"{what} ({kind.unit.label or 'a plain number'})"
