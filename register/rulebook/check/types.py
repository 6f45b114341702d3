"""The type of every part of a predicate, from its leaves up, and what is wrong with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from difflib import get_close_matches

from sqlglot import exp

from register import columns
from register.columns import Subject
from register.rulebook.check import units
from register.rulebook.check.common_mistakes import DAYS_APART, having_word, truth_of, unknown
from register.rulebook.check.kinds import (
    ALIKE,
    COMPARISONS,
    DAY,
    HIDES_UNKNOWN,
    MAY_USE,
    PLAIN_FUNCTIONS,
    SPANS,
    TEXT,
    TRUTH,
    UNKNOWN,
    Blame,
    Kind,
    called,
    described,
)
from register.rulebook.model import TODAY
from register.rulebook.tables import FUNCTIONS


class Typing:
    """Types a tree from its leaves up; a part without a type has been blamed already."""

    def __init__(self, limits: Mapping[str, str], *, deliberate: bool, about: Subject | None = None) -> None:
        self.limits = limits
        self.about = about or columns.SUBJECTS["position"]
        self.deliberate = deliberate
        self.hides_unknown = False
        self.blames: list[Blame] = []

    def blame(self, node: exp.Expression, cause: str, remedy: str) -> None:
        """Note what is wrong at a node."""
        self.blames.append(Blame(node, cause, remedy))

    def of(self, node: exp.Expression) -> Kind | None:
        """The type of a node, or None where it has none."""
        if isinstance(node, HIDES_UNKNOWN):
            return self._hiding(node)
        if isinstance(node, exp.Paren):
            return self.of(node.this)
        if isinstance(node, exp.And | exp.Or | exp.Not):
            return self._logic(node)
        if isinstance(node, COMPARISONS):
            return self._compared(node, node.left, node.right)
        if isinstance(node, exp.Between):
            self._compared(node, node.this, node.args["low"])
            return self._compared(node, node.this, node.args["high"])
        if isinstance(node, exp.In):
            return self._in(node)
        if isinstance(node, exp.Add | exp.Sub | exp.Mul | exp.Div | exp.Neg):
            return self._reckoned(node)
        if isinstance(node, exp.Column | exp.Placeholder | exp.Literal | exp.Null):
            return self._leaf(node)
        if isinstance(node, exp.Alias | exp.Block):
            self.blame(node, "two expressions stand side by side", "join them: AND, OR, +, *")
            return None
        return self._function(node)

    # leaves

    def _leaf(self, node: exp.Expression) -> Kind | None:
        if isinstance(node, exp.Column):
            return self._column(node)
        if isinstance(node, exp.Placeholder):
            return self._named(node)
        if isinstance(node, exp.Null):
            return UNKNOWN
        if node.is_string:
            return replace(TEXT, literal=node.this)
        return Kind("number", units.constant(float(node.this)), whole=node.this.isdigit())

    def _column(self, node: exp.Column) -> Kind | None:
        name = node.name
        if node.table or node.this.args.get("quoted"):
            listed = having_word(name, self.about)
            near = None if listed else columns.nearest(name, self.about.columns)
            self.blame(
                node,
                "a column is written bare, and text in single quotes",
                f"write '{name}' for the text" + (f", or the column {near}" if near else ""),
            )
            return None
        known = self.about.columns.get(name)
        if known is None:
            self.blame(node, *unknown(name, self.about))
            return None
        if known.is_number:
            return Kind("number", units.unit(known.unit), whole=known.kind == "integer")
        return DAY if known.kind == "date" else replace(TEXT, choices=known.choices)

    def _named(self, node: exp.Placeholder) -> Kind | None:
        if node.name == TODAY:
            return DAY
        if node.name in self.limits:
            return Kind("number", units.unit(self.limits[node.name]))
        if node.name in self.about.columns:
            self.blame(
                node, f"there is no limit ':{node.name}'", f"{node.name} is a column: write it without the colon"
            )
            return None
        near = get_close_matches(node.name, [*self.limits, TODAY], n=1)
        self.blame(
            node,
            f"there is no limit ':{node.name}'",
            f"did you mean :{near[0]}?" if near else "declare it in limits.yml",
        )
        return None

    # logic and comparison

    def _logic(self, node: exp.Expression) -> Kind:
        for part in [node.this] if isinstance(node, exp.Not) else [node.left, node.right]:
            kind = self.of(part)
            if kind and kind.sort != "truth":
                self.blame(part, f"a {kind.sort} where a truth belongs", truth_of(part, self.about))
        return TRUTH

    def _in(self, node: exp.In) -> Kind:
        if not node.expressions:
            self.blame(node, "IN wants a list of words or numbers", "write IN ('one', 'two')")
        for word in node.expressions:
            self._compared(exp.EQ(this=node.this, expression=word), node.this, word, at=node)
        return TRUTH

    def _compared(
        self, node: exp.Expression, left: exp.Expression, right: exp.Expression, at: exp.Expression | None = None
    ) -> Kind:
        one, other = self.of(left), self.of(right)
        if one and other:
            self._match(node, left, right, one, other, at or node)
        return TRUTH

    def _match(self, node, left, right, one: Kind, other: Kind, at) -> None:
        one, other = self._as_day(one, other), self._as_day(other, one)
        if UNKNOWN in (one, other):
            self.blame(at, "a comparison with NULL is never true", "write IS NULL where it is meant")
        elif one.sort != other.sort or one.sort == "truth":
            days = {one.sort, other.sort} == {"day", "number"}
            remedy = f"{ALIKE}; the days between two: {DAYS_APART}" if days else ALIKE
            self.blame(at, f"a {one.sort} is compared with a {other.sort}", remedy)
        elif one.sort == "number" and not units.together(one.unit, other.unit):
            self.blame(
                at,
                f"{described(left, one)} is compared with {described(right, other)}",
                "bring both to one unit, with the constant that converts",
            )
        elif one.sort == "text" and not isinstance(node, exp.EQ | exp.NEQ):
            self.blame(at, "text has no larger and smaller", "compare by = or IN")
        elif one.sort == "text":
            self._words(right, one, other)
            self._words(left, other, one)
        elif one.sort == "day":
            for part, kind in ((left, one), (right, other)):
                self._day(part, kind)

    def _words(self, part: exp.Expression, listed: Kind, said: Kind) -> None:
        if not listed.choices:
            return
        if said.literal is not None and said.literal not in listed.choices:
            near = get_close_matches(said.literal, listed.choices, n=1, cutoff=0.4)
            hint = f"did you mean {near[0]!r}? " if near else ""
            self.blame(
                part,
                f"{said.literal!r} is none of the words of that column",
                f"{hint}one of: {', '.join(listed.choices)}",
            )
        elif said.choices and not set(said.choices) & set(listed.choices):
            self.blame(part, "these two columns have no word in common", "compare with one listed")

    def _as_day(self, kind: Kind, beside: Kind) -> Kind:
        """Text in quotes is a day where it stands beside one."""
        if beside.sort == "day" and kind.literal is not None:
            return replace(DAY, literal=kind.literal)
        return kind

    def _day(self, part: exp.Expression, kind: Kind) -> None:
        if kind.literal is None:
            return
        try:
            sound = date.fromisoformat(kind.literal).isoformat() == kind.literal
        except ValueError:
            sound = False
        if not sound:
            self.blame(
                part, f"{kind.literal!r} is not a day", "write it as '2026-03-01'; the day of the audit is :today"
            )

    # arithmetic and functions

    def _number(self, node: exp.Expression) -> Kind | None:
        kind = self.of(node)
        if kind and kind.sort != "number":
            self.blame(
                node, f"a {kind.sort} where a number belongs", f"the days between two days are a number: {DAYS_APART}"
            )
            return None
        return kind

    def _reckoned(self, node: exp.Expression) -> Kind | None:
        if isinstance(node, exp.Neg):
            return self._number(node.this)
        one, other = self._number(node.left), self._number(node.right)
        if not one or not other:
            return None
        whole = one.whole and other.whole
        if isinstance(node, exp.Mul):
            return Kind("number", units.times(one.unit, other.unit), whole)
        if isinstance(node, exp.Div):
            if whole:
                self.blame(
                    node,
                    "two whole numbers are divided, and SQL drops the remainder",
                    "write one with a decimal point: 1.0 / 3",
                )
            return Kind("number", units.times(one.unit, units.inverse(other.unit)))
        minus = isinstance(node, exp.Sub)
        return self._joined(node, [(node.left, one), (node.right, other)], minus=minus)

    def _joined(self, node: exp.Expression, parts: list, *, minus: bool | None = None):
        """Numbers that are added, or of which one is taken: all in one unit."""
        (_, kind), *rest = parts
        for part, other in rest:
            made = (
                units.together(kind.unit, other.unit)
                if minus is None
                else units.sum_of(kind.unit, other.unit, minus=minus)
            )
            if made is None:
                pair = f"{described(parts[0][0], kind)} goes together with {described(part, other)}"
                self.blame(node, pair, "bring both to one unit, with the constant that converts")
                return None
            kind = Kind("number", made, kind.whole and other.whole)
        return kind

    def _function(self, node: exp.Expression) -> Kind | None:
        name = PLAIN_FUNCTIONS.get(type(node)) or (node.name.lower() if isinstance(node, exp.Anonymous) else "")
        if isinstance(node, exp.Date):
            name = "date"
        if isinstance(node, exp.Max | exp.Min):
            self.blame(node, f"{node.key}() of one value is one over all rows", "give it two values or more")
            return None
        arguments = [
            a
            for value in node.args.values()
            if isinstance(value, list | exp.Expression)
            for a in (value if isinstance(value, list) else [value])
        ]
        if name in ("julianday", "date"):
            return self._calendar(node, name, arguments)
        if name in ("lower", "upper", "instr", "length"):
            return self._of_text(name, arguments)
        if name in FUNCTIONS:
            return self._of_numbers(node, name, arguments)
        self.blame(node, f"{called(node)} is not among what a rule may use", MAY_USE)
        return None

    def _calendar(self, node: exp.Expression, name: str, arguments: list) -> Kind | None:
        if not arguments:
            self.blame(node, f"{name}() without a day is the clock's", "give it a day; now is :today")
            return None
        kind = self.of(arguments[0])
        kind = kind and self._as_day(kind, DAY)
        if kind and kind.sort != "day":
            self.blame(arguments[0], f"a {kind.sort} where a day belongs", "give it a day")
        elif kind:
            self._day(arguments[0], kind)
        for modifier in arguments[1:]:
            if not modifier.is_string or not modifier.this.endswith(SPANS):
                self.blame(modifier, "this does not shift a day", "write it as '-30 days'")
        return DAY if name == "date" else Kind("number", units.unit("d"))

    def _of_text(self, name: str, arguments: list) -> Kind:
        for argument in arguments:
            kind = self.of(argument)
            if kind and kind.sort != "text":
                self.blame(argument, f"a {kind.sort} where text belongs", "give it text")
        return TEXT if name in ("lower", "upper") else Kind("number", units.Unit(), whole=True)

    def _of_numbers(self, node: exp.Expression, name: str, arguments: list) -> Kind | None:
        kinds = [self._number(argument) for argument in arguments]
        if not all(kinds):
            return None
        if name == "round":
            return replace(kinds[0], whole=False)
        if name == "sqrt":
            return Kind("number", units.root(kinds[0].unit))
        return self._joined(node, list(zip(arguments, kinds, strict=True)))

    # what turns unknown into known

    def _hiding(self, node: exp.Expression) -> Kind | None:
        self.hides_unknown = True
        if not self.deliberate:
            self.blame(
                node,
                f"{called(node)} turns unknown into known",
                "leave it out: unknown then comes out as can't tell; where it is meant, "
                "say unknown_is_deliberate: <reason>",
            )
        if isinstance(node, exp.Is) and isinstance(node.expression, exp.Null):
            self.of(node.this)
            return TRUTH
        if isinstance(node, exp.Coalesce):
            return self._alike(node, [node.this, *node.expressions])
        if isinstance(node, exp.Case | exp.If):
            return self._cases(node)
        if self.deliberate:
            self.blame(
                node, f"{called(node)} is not among what a rule may use", "write it with IS NULL, COALESCE or CASE"
            )
        return None

    def _cases(self, node: exp.Case | exp.If) -> Kind | None:
        if node.args.get("this") is not None and isinstance(node, exp.Case):
            self.blame(node, "CASE with a value behind it", "write CASE WHEN … THEN … END")
            return None
        branches = node.args["ifs"] if isinstance(node, exp.Case) else [node]
        for branch in branches:
            self._logic(exp.Not(this=branch.this))
        results = [branch.args["true"] for branch in branches]
        otherwise = node.args.get("default") or node.args.get("false")
        return self._alike(node, results + ([otherwise] if otherwise else []))

    def _alike(self, node: exp.Expression, parts: list) -> Kind | None:
        kinds = [self.of(part) for part in parts]
        if not all(kinds):
            return None
        if len({kind.sort for kind in kinds}) > 1:
            self.blame(node, f"{called(node)} gives now one sort of thing and now another", ALIKE)
            return None
        if kinds[0].sort == "number":
            return self._joined(node, list(zip(parts, kinds, strict=True)))
        return replace(kinds[0], literal=None)
