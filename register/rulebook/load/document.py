"""A YAML file read node by node, so that every mistake is told with its place, and all at once."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from datetime import date
from difflib import get_close_matches
from pathlib import Path

import yaml

from register.errors import Problem
from register.resources import MOST_YAML_MB, small_file
from register.rulebook.load import yaml_errors
from register.rulebook.load.files import shown

# The C reader is eight times as quick; its nodes have the same marks.
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_TAG = "tag:yaml.org,2002:"
_WIDTH = 100
_FEW = 12
_TRUE = ("yes", "true", "on", "y")


class Document:
    """One YAML file: its nodes, and the problems found in it so far.

    Readers return None, and note the problem, where a node is not what is wanted.
    """

    def __init__(self, path: Path, *, may_be_empty: bool = False) -> None:
        self.path = path
        self.place = shown(path)
        self.problems: list[Problem] = []
        self.text = self._read()
        self.lines = self.text.splitlines()
        self.root = self._composed(may_be_empty)

    # problems

    def problem(self, cause: str, remedy: str, line: int, column: int = 0, width: int = 1) -> None:
        """Note what is wrong at a line and column, both counted from 0."""
        excerpt = self.lines[line] if line < len(self.lines) else ""
        at = column
        if len(excerpt) > _WIDTH:
            start = max(0, min(column - _WIDTH // 2, len(excerpt) - _WIDTH))
            at = column - start + (start > 0)
            excerpt = ("…" if start else "") + excerpt[start : start + _WIDTH]
        self.problems.append(
            Problem(
                cause=cause,
                remedy=remedy,
                place=f"{self.place}:{line + 1}:{column + 1}",
                excerpt=excerpt,
                column=at if excerpt else None,
                width=min(width, max(1, len(excerpt) - at)),
                line=line + 1,
            )
        )

    def blame(self, node: yaml.Node, cause: str, remedy: str) -> None:
        """Note what is wrong with a node."""
        start, end = node.start_mark, node.end_mark
        width = end.column - start.column if end.line == start.line else 1
        self.problem(cause, remedy, start.line, start.column, width)

    def blame_text(self, node: yaml.ScalarNode, cause: str, remedy: str, start: int, width: int) -> None:
        """Note what is wrong with part of a text that stands on one line or in a `|` block."""
        mark = node.start_mark
        if node.style == "|":
            before = node.value[:start]
            line = mark.line + 1 + before.count("\n")
            own = self.lines[line] if line < len(self.lines) else ""
            block = self.lines[mark.line + 1]
            indent = len(block) - len(block.lstrip(" "))
            column = min(len(own), indent + len(before) - (before.rfind("\n") + 1))
            self.problem(cause, remedy, line, column, width)
        else:
            quote = 1 if node.style in ("'", '"') else 0
            self.problem(cause, remedy, mark.line, mark.column + quote + start, width)

    def place_of(self, node: yaml.Node) -> str:
        """file:line:column of a node."""
        return f"{self.place}:{node.start_mark.line + 1}:{node.start_mark.column + 1}"

    # readers

    def fields(
        self, node: yaml.Node | None, required: Iterable[str], optional: Iterable[str] = ()
    ) -> dict[str, yaml.Node]:
        """The values of a mapping by key; unknown, repeated and missing keys are problems."""
        required, known = list(required), [*required, *optional]
        found: dict[str, yaml.Node] = {}
        meant: set[str] = set()
        for key, value in self.pairs(node):
            if key.value in known:
                found[key.value] = value
                continue
            meant |= set(get_close_matches(key.value, known, n=1))
            self.blame(key, f"unknown key {key.value!r}", nearest(key.value, known))
        if isinstance(node, yaml.MappingNode):
            for name in required:
                if name not in found and name not in meant:
                    self.blame(node, f"the key {name!r} is missing", f"add {name}: …")
        return found

    def pairs(self, node: yaml.Node | None) -> list[tuple[yaml.ScalarNode, yaml.Node]]:
        """The keys and values of a mapping; a repeated key is a problem."""
        if not isinstance(node, yaml.MappingNode):
            if node is not None:
                self.blame(node, f"{_kind(node)} where keys with values belong", "write key: value")
            return []
        seen: set[str] = set()
        pairs = []
        for key, value in node.value:
            if not isinstance(key, yaml.ScalarNode):
                self.blame(key, "a key that is not a word", "write key: value")
            elif key.value in seen:
                self.blame(key, f"the key {key.value!r} stands here twice", "keep one of them")
            else:
                seen.add(key.value)
                pairs.append((key, value))
        return pairs

    def items(self, node: yaml.Node | None) -> list[yaml.Node]:
        """The items of a list."""
        if isinstance(node, yaml.SequenceNode):
            return node.value
        if node is not None:
            block = isinstance(node, yaml.MappingNode)
            remedy = 'begin the line with "- "' if block else "write it as [one, two]"
            self.blame(node, f"{_kind(node)} where a list belongs", remedy)
        return []

    def words(self, node: yaml.Node | None) -> str:
        """A text; empty, after noting it, where there is none."""
        if node is None:
            return ""
        if isinstance(node, yaml.ScalarNode) and node.tag == f"{_TAG}str" and node.value.strip():
            return node.value.strip()
        self.blame(node, _not_text(node), _quoted(node))
        return ""

    def one_of(self, node: yaml.Node | None, choices: Iterable[str]) -> str:
        """A word of a closed list."""
        choices = tuple(map(str, choices))
        truth = isinstance(node, yaml.ScalarNode) and node.tag == f"{_TAG}bool"
        if truth and "yes" in choices:
            right = "yes" if node.value.lower() in _TRUE else "no"
            self.blame(node, f"{_kind(node)} where yes or no belongs", f'write "{right}"')
            return ""
        word = self.words(node)
        if word and word not in choices:
            self.blame(node, f"{word!r} is not one of {', '.join(choices)}", nearest(word, choices))
            return ""
        return word

    def truth(self, node: yaml.Node | None) -> bool:
        """`true` or `false`; false where nothing stands."""
        if node is not None and getattr(node, "value", "") not in ("true", "false"):
            self.blame(node, f"{_kind(node)} where true or false belongs", "write true or false")
        return node is not None and node.value == "true"

    def day(self, node: yaml.Node | None) -> str:
        """A day as ISO text; empty, after noting it, where there is none."""
        if node is None:
            return ""
        try:
            return date.fromisoformat(node.value).isoformat()
        except (TypeError, ValueError):
            self.blame(node, "this is not a day", "write it as 2026-03-01")
            return ""

    def number(self, node: yaml.Node | None) -> float | None:
        """A finite number."""
        if node is None:
            return None
        if isinstance(node, yaml.ScalarNode) and node.tag in (f"{_TAG}int", f"{_TAG}float"):
            try:
                value = float(node.value.replace("_", ""))
            except ValueError:
                value = math.nan
            if math.isfinite(value):
                return value
        self.blame(node, f"{_kind(node)} where a number belongs", _digits(node))
        return None

    # reading

    def _read(self) -> str:
        try:
            raw = small_file(self.path, MOST_YAML_MB)
        except OSError as error:
            self.problems.append(
                Problem(
                    f"it cannot be read: {error.strerror}", "see that the file is there and may be read", self.place
                )
            )
            return ""
        try:
            return raw.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            before = raw[: error.start].decode("utf-8", "replace")
            line = before.count("\n")
            self.lines = raw.decode("latin-1").splitlines()
            self.problem("this is not UTF-8 text", "save the file as UTF-8", line, len(before) - before.rfind("\n") - 1)
            return ""

    def _composed(self, may_be_empty: bool) -> yaml.Node | None:
        if self.problems:
            return None
        try:
            root = yaml.compose(self.text, Loader=_LOADER)
        except yaml.MarkedYAMLError as error:
            self.problem(*yaml_errors.told(error, self.lines))
            return None
        except yaml.YAMLError as error:
            at = getattr(error, "position", None) or 0
            before = self.text[:at]
            self.problem(
                "a character that no text file should hold",
                "remove it, or save the file anew as UTF-8 text",
                before.count("\n"),
                at - before.rfind("\n") - 1,
            )
            return None
        except RecursionError:
            self.problem("brackets inside brackets without end", "write it plainly", 0)
            return None
        if root is None and not may_be_empty:
            self.problem("the file is empty", "write it after the pattern of a neighbour", 0)
        return root


def nearest(word: str, among: Iterable[str] | Mapping[str, object]) -> str:
    """A remedy that names the nearest right word, or all of them."""
    hits = get_close_matches(word, list(among), n=1)
    if hits:
        return f"did you mean {hits[0]!r}?"
    known = list(among)
    more = f" and {len(known) - _FEW} more" if len(known) > _FEW else ""
    return f"one of: {', '.join(known[:_FEW])}{more}"


def _kind(node: yaml.Node) -> str:
    if isinstance(node, yaml.SequenceNode):
        return "a list"
    if isinstance(node, yaml.MappingNode):
        return "a mapping"
    return "nothing" if node.tag == f"{_TAG}null" else f"{node.value!r}"


def _not_text(node: yaml.Node) -> str:
    tag = node.tag.removeprefix(_TAG)
    if tag == "bool":
        meant = node.value.lower() in _TRUE
        return f"{node.value} is read as {str(meant).lower()}, and text belongs here"
    if tag in ("int", "float", "timestamp"):
        return f"{node.value} is a {'day' if tag == 'timestamp' else 'number'} where text belongs"
    return "nothing stands here" if not getattr(node, "value", "") else f"{_kind(node)} where text belongs"


def _digits(node: yaml.Node) -> str:
    written = str(getattr(node, "value", ""))
    if re.fullmatch(r"[-+]?\d+,\d+", written):
        return f"write a decimal point: {written.replace(',', '.')}"
    number = re.fullmatch(r"([-+]?\d+(?:\.\d+)?) ?(?!e\d)[A-Za-z%°].*", written)
    if number:
        return f"a number stands without its unit: write {number[1]}"
    return "write it in digits, with a decimal point where needed: 1000, 0.85"


def _quoted(node: yaml.Node) -> str:
    if isinstance(node, yaml.ScalarNode) and node.value and not node.tag.endswith("null"):
        return f'put it in quotes: "{node.value}"'
    if isinstance(node, yaml.MappingNode) and node.flow_style:
        return 'put the whole text in double quotes: "…"'
    return "write the text"
