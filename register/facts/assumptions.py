"""Declared assumed values for what is missing: which there are, and which a verdict is based on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import yaml

from register import columns
from register.columns import source
from register.columns.model import Column
from register.columns.source import Source
from register.errors import Problem, RuleError
from register.facts.base import BASE
from register.facts.derived import entered_behind

KEYS = ("column", "stands_in", "sentence", "basis")
MAY = ("bound", "not_for", "only_for")
BOUNDS = ("typical", "lower", "upper")
# Their bits are added up in one signed 64-bit integer of a row of facts.
MOST = 62


@dataclass(frozen=True, slots=True)
class Assumption:
    """What is assumed for a blank: a value of its own, or that of another column.

    Rules of `not_for` do not take it; with `only_for` it applies to these kinds of device alone. Where
    it is a `bound`, the true value is no less than it (lower), or no more (upper).
    """

    column: str
    value: float | str | None
    from_column: str | None
    sentence: str
    basis: Source
    bit: int
    not_for: tuple[str, ...] = ()
    only_for: tuple[str, ...] = ()
    bound: str = "typical"

    @property
    def other_end(self) -> float | str | None:
        """What the true value may be instead, at the most; None where it is no bound."""
        column = BASE[self.column]
        if self.bound == "typical":
            return None
        if column.choices:
            return next(choice for choice in column.choices if choice != self.value)
        return column.high if self.bound == "lower" else column.low


def mask_for(names: Iterable[str], assumptions: Iterable[Assumption]) -> int:
    """The bits of all assumed values that may lie behind any of these columns."""
    behind: set[str] = set()
    for name in names:
        behind |= entered_behind(name) if name not in BASE else {name}
    return sum(1 << a.bit for a in assumptions if a.column in behind)


def stand_ins_named(bits: int, assumptions: Iterable[Assumption]) -> tuple[str, ...]:
    """The assumed values of these bits, in words."""
    return tuple(f"{a.column}: {a.sentence}" for a in assumptions if bits >> a.bit & 1)


def load_assumptions(path: Path) -> tuple[Assumption, ...]:
    """The assumed values that a file declares; RuleError with every problem of the file at once."""
    try:
        text = path.read_text(encoding="utf-8")
        root = yaml.compose(text, Loader=yaml.CSafeLoader)
    except (OSError, UnicodeDecodeError) as error:
        raise RuleError(Problem(f"cannot be read: {error}", "", str(path))) from None
    except yaml.MarkedYAMLError as error:
        raise RuleError(_unreadable(path, text, error)) from None
    reader = _Reader(path, text.splitlines())
    found = reader.assumptions(root)
    if reader.problems:
        raise RuleError(reader.problems, summary=f"{path.name} was not taken into use")
    return found


def _unreadable(path: Path, text: str, error: yaml.MarkedYAMLError) -> Problem:
    mark = error.problem_mark or error.context_mark
    if mark is None:
        return Problem(f"is not YAML: {error.problem}", "", str(path))
    lines = text.splitlines() or [""]
    row = min(mark.line, len(lines) - 1)
    place = f"{path}:{mark.line + 1}:{mark.column + 1}"
    return Problem(f"is not YAML: {error.problem}", "", place, lines[row], mark.column, 1, row + 1)


class _Reader:
    """Walks the nodes of the file and keeps every problem met on the way."""

    def __init__(self, path: Path, lines: list[str]) -> None:
        self.path, self.lines = path, lines
        self.problems: list[Problem] = []
        self.declared: set[str] = set()

    def wrong(self, node: yaml.Node, cause: str, remedy: str = "") -> None:
        row, start = node.start_mark.line, node.start_mark.column
        line = self.lines[row] if row < len(self.lines) else ""
        end = node.end_mark.column if node.end_mark.line == row else len(line)
        place = f"{self.path}:{row + 1}:{start + 1}"
        self.problems.append(Problem(cause, remedy, place, line, start, end - start, row + 1))

    def assumptions(self, root: yaml.Node | None) -> tuple[Assumption, ...]:
        if root is None:
            return ()
        if not isinstance(root, yaml.SequenceNode):
            self.wrong(root, "the file is not a list", "begin each assumed value with '- column: ...'")
            return ()
        if len(root.value) > MOST:
            self.wrong(root.value[MOST], f"more than {MOST} assumed values", "leave some out")
        read = [self.assumption(node, bit) for bit, node in enumerate(root.value)]
        return tuple(a for a in read if a is not None)

    def assumption(self, node: yaml.Node, bit: int) -> Assumption | None:
        fields = self.fields(node)
        if fields is None:
            return None
        column = self.column(fields["column"])
        sentence, basis = self.words(fields["sentence"]), source.read(fields["basis"], self.wrong)
        if column is None:
            return None
        value, taken_from = self.stand_in(fields["stands_in"], column)
        not_for, only_for = (self.listed(fields.get(key)) for key in MAY[1:])
        for kind in set(only_for) - set(columns.column("device_kind").choices):
            self.wrong(
                fields["only_for"],
                f"{kind!r} is no kind of device",
                f"one of {', '.join(columns.column('device_kind').choices)}",
            )
        return Assumption(
            column.name, value, taken_from, sentence, basis, bit, not_for, only_for, self.bound(fields, column)
        )

    def bound(self, fields: dict[str, yaml.Node], column: Column) -> str:
        """Which end of the true value it is; typical where nothing is said."""
        node = fields.get("bound")
        if node is None:
            return "typical"
        word = self.words(node)
        if word not in BOUNDS:
            self.wrong(node, f"{word!r} is no bound", f"one of {', '.join(BOUNDS)}")
        elif word != "typical" and not column.is_number and len(column.choices or ()) != 2:
            self.wrong(node, f"{column.name} has no other end", "say typical")
        return word

    def listed(self, node: yaml.Node | None) -> tuple[str, ...]:
        """Words separated by commas; none where the key is left out."""
        words = self.words(node).split(",") if node is not None else ()
        return tuple(word.strip() for word in words if word.strip())

    def fields(self, node: yaml.Node) -> dict[str, yaml.Node] | None:
        """The four fields of one assumed value, or None when they are not just those four."""
        before = len(self.problems)
        if not isinstance(node, yaml.MappingNode):
            self.wrong(node, "this is not an assumed value", f"it has the keys {', '.join(KEYS)}")
            return None
        found: dict[str, yaml.Node] = {}
        for key, value in node.value:
            if key.value not in KEYS + MAY:
                known = ", ".join(KEYS + MAY)
                self.wrong(key, f"unknown key {key.value!r}", f"one of {known}")
            elif key.value in found:
                self.wrong(key, f"the key {key.value!r} stands twice", "keep one of them")
            found[str(key.value)] = value
        missing = [key for key in KEYS if key not in found]
        if missing:
            self.wrong(node, f"{', '.join(missing)} missing", "every assumed value has all four keys")
        return found if len(self.problems) == before else None

    def words(self, node: yaml.Node) -> str:
        if not isinstance(node, yaml.ScalarNode) or not node.value.strip():
            self.wrong(node, "words are wanted here", "write a sentence")
            return ""
        return node.value.strip()

    def column(self, node: yaml.Node) -> Column | None:
        name = self.words(node)
        column = BASE.get(name)
        if name and column is None:
            near = columns.nearest(name, BASE)
            hint = f"did you mean {near!r}?" if near else "docs/columns.md lists the columns"
            reason = "is calculated" if name in columns.FACTS else "is not a column"
            self.wrong(node, f"{name!r} {reason}", hint)
        elif column is not None and name in self.declared:
            self.wrong(node, f"{name!r} has an assumed value already", "keep one of them")
        self.declared.add(name)
        return column

    def stand_in(self, node: yaml.Node, column: Column) -> tuple[float | str | None, str | None]:
        word = self.words(node)
        other = columns.FACTS.get(word)
        # A word of the closed list is that word, though a column be called the same.
        if other is not None and word not in (column.choices or ()):
            if (other.is_number, other.unit) != (column.is_number, column.unit) or other == column:
                self.wrong(
                    node,
                    f"{other.described()} cannot be assumed for {column.described()}",
                    "take another column of the same unit",
                )
            return None, word
        if column.is_number:
            return self.number(node, column), None
        if word and word not in (column.choices or (word,)):
            self.wrong(node, f"{word!r} is no value of {column.name}", f"one of {', '.join(column.choices)}")
        return word, None

    def number(self, node: yaml.Node, column: Column) -> float | None:
        try:
            value = float(node.value)
        except (TypeError, ValueError):
            near = columns.nearest(str(node.value), columns.FACTS)
            hint = f"did you mean the column {near!r}?" if near else f"a number in {column.unit}"
            self.wrong(node, f"{node.value!r} is neither a number nor a column", hint)
            return None
        low = -float("inf") if column.low is None else column.low
        high = float("inf") if column.high is None else column.high
        if not low <= value <= high:
            self.wrong(node, f"{value:g} is not to be believed for {column.described()}", f"{low:g} to {high:g}")
        return value
