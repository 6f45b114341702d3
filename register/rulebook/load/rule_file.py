"""One rule from one file, checked whole."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Mapping
from difflib import get_close_matches
from itertools import pairwise
from string import Formatter
from typing import Any

import yaml

from register import columns
from register.columns import source
from register.rulebook.check.common_mistakes import unknown
from register.rulebook.check.expression import columns_in, names_in, parsed
from register.rulebook.check.expression_check import check, of_nothing
from register.rulebook.load.document import Document, nearest
from register.rulebook.model import (
    OUTCOME_WORDS,
    PRACTICES,
    TODAY,
    Example,
    Grade,
    Harm,
    Limit,
    Outcome,
    Outside,
    Rule,
    Takes,
)

REQUIRED = ("title", "title_failed", "grade", "practice", "requires", "finding", "why", "action", "basis", "examples")
FLAGS = ("trial", "measured_only")
OPTIONAL = (
    "harm",
    "takes",
    "subject",
    *FLAGS,
    "outside",
    "doubts",
    "safe_side",
    "applies",
    "margin",
    "caution",
    "unknown_is_deliberate",
)
ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*/[a-z0-9]+(-[a-z0-9]+)*")


def read_rule(
    document: Document, rule_id: str, limits: Mapping[str, Limit], connection: sqlite3.Connection
) -> Rule | None:
    """The rule in a file; None where it is not sound, and the document has the problems."""
    if not ID.fullmatch(rule_id):
        document.problem(
            f"{rule_id!r} can't be the id of a rule", "name folder and file in small letters, digits, hyphens", 0
        )
    if document.root is None:
        return None
    return _Reader(document, limits, connection).rule(rule_id)


class _Reader:
    def __init__(self, document: Document, limits: Mapping[str, Limit], connection: sqlite3.Connection) -> None:
        self.document = document
        self.limits = limits
        self.connection = connection
        self.fields = document.fields(document.root, REQUIRED, OPTIONAL)
        subject = document.one_of(self.fields.get("subject"), list(columns.SUBJECTS))
        self.about = columns.SUBJECTS[subject or "position"]

    def rule(self, rule_id: str) -> Rule | None:
        words: dict[str, Any] = {
            name: self.document.words(self.fields.get(name))
            for name in ("title", "title_failed", "finding", "why", "action", "caution", "unknown_is_deliberate")
        }
        if words["title"] and words["title"] == words["title_failed"]:
            remedy = "say what is wrong when the requirement is not met"
            self.document.blame(self.fields["title_failed"], "title_failed says the same as title", remedy)
        grade = self.document.one_of(self.fields.get("grade"), [grade.value for grade in Grade])
        practice = self.document.one_of(self.fields.get("practice"), PRACTICES)
        words |= {name: self.document.truth(self.fields.get(name)) for name in FLAGS}
        # Packs kept before there was this key hold rules without it.
        words["harm"] = Harm(self.document.one_of(self.fields.get("harm"), list(Harm)) or Harm.MACHINE)
        words["takes"] = self._takes()
        basis = [source.read(n, self.document.blame) for n in self.document.items(self.fields.get("basis"))]
        predicates = self._predicates(bool(words["unknown_is_deliberate"]))
        words["outside"] = self._outside()
        words |= {name: self._column_named(name) for name in ("doubts", "safe_side")}
        if self.document.problems:
            self._finding(words["finding"])
            self._examples({}, {})
            return None
        made = self._assembled(rule_id, words, Grade(grade), practice, tuple(basis), predicates)
        return None if self.document.problems else made

    def _assembled(self, rule_id, words, grade, practice, basis, predicates) -> Rule:
        texts = {name: text for name, (text, _) in predicates.items()}
        judged = [parsed(texts[name]) for name in ("applies", "requires") if texts[name]]
        beyond = [parsed(outside.when) for outside in words["outside"]]
        margin = [parsed(texts["margin"])] if texts["margin"] else []
        names = names_in(*judged, *margin, *beyond)
        read = columns_in(*judged) + (("practice",) if practice != "any" else ())
        shown = self._finding(words["finding"])
        finding_columns = tuple(name for name in shown if name in self.about.columns)
        rule = Rule(
            id=rule_id,
            grade=grade,
            practice=practice,
            basis=basis,
            **words,
            **texts,
            path=self.document.path,
            subject=self.about.name,
            columns=tuple(dict.fromkeys(read)),
            margin_columns=columns_in(*margin),
            outside_columns=columns_in(*beyond),
            applies_columns=columns_in(*judged[:1]) if texts["applies"] else (),
            finding_columns=finding_columns,
            limits=tuple(dict.fromkeys(n for n in (*names, *shown) if n in self.limits)),
            margin_unit=predicates["margin"][1],
            examples=(),
        )
        readable = {name: columns.COLUMNS[name] for name in (*rule.shown_columns, *rule.outside_columns, "practice")}
        named = {name for name in names_in(*judged, *beyond) if name != TODAY} | set(rule.limits)
        examples = self._examples(readable, dict.fromkeys([*named, TODAY]))
        made = Rule(**{**rule.__dict__, "examples": examples})
        if not self.document.problems:
            self._coverage(made)
        return made

    # predicates

    def _predicates(self, deliberate: bool) -> dict[str, tuple[str, str]]:
        """Text and unit of `applies`, `requires`, `margin`."""
        found: dict[str, tuple[str, str]] = {}
        hides = False
        for name, wants in (("applies", "truth"), ("requires", "truth"), ("margin", "number")):
            text, unit, hidden = self._expression(self.fields.get(name), wants=wants, deliberate=deliberate)
            found[name] = (text, unit)
            hides |= hidden
        if found["requires"][0] and not deliberate and not self.document.problems:
            node = self.fields["requires"]
            assert isinstance(node, yaml.ScalarNode)
            for fault in of_nothing(node.value, self.connection, self.about.relation):
                self.document.blame_text(node, fault.cause, fault.remedy, fault.start, fault.width)
        if deliberate and not hides and not self.document.problems:
            self.document.blame(
                self.fields["unknown_is_deliberate"],
                "nothing in this rule turns unknown into known",
                "remove unknown_is_deliberate",
            )
        return found

    def _expression(self, node: yaml.Node | None, *, wants: str, deliberate: bool) -> tuple[str, str, bool]:
        """Text and unit of one expression, checked, and whether it turns unknown into known."""
        text = self.document.words(node)
        if not text or not self._on_one_line(node):
            return text, "", False
        checked = check(
            node.value,
            wants=wants,
            connection=self.connection,
            limits={n: limit.unit for n, limit in self.limits.items()},
            deliberate=deliberate,
            about=self.about,
        )
        for fault in checked.faults:
            self.document.blame_text(node, fault.cause, fault.remedy, fault.start, fault.width)
        return text, checked.unit, checked.hides_unknown

    def _column_named(self, key: str) -> str:
        """The column that a key names; empty where it is left out."""
        name = self.document.words(self.fields.get(key))
        if name and name not in self.about.columns:
            self.document.blame(self.fields[key], *unknown(name, self.about))
        elif name and key == "safe_side" and "doubts" not in self.fields:
            self.document.blame(self.fields[key], "there is nothing doubted", "add doubts: <column>")
        return name

    def _takes(self) -> tuple[Takes, ...]:
        """What setting it right takes, each word once."""
        node = self.fields.get("takes")
        found: list[str] = []
        for item in self.document.items(node):
            word = self.document.one_of(item, list(Takes))
            if word in found:
                self.document.blame(item, f"{word!r} stands here twice", "name it once")
            found.append(word)
        if node is not None and not found and not self.document.problems:
            self.document.blame(node, "an empty list", f"name one or more of {', '.join(Takes)}, or leave takes out")
        return tuple(Takes(word) for word in found if word)

    def _outside(self) -> tuple[Outside, ...]:
        """Where the rule does not reach, each condition checked as the others are."""
        found = []
        for item in self.document.items(self.fields.get("outside")):
            fields = self.document.fields(item, ("when", "says"))
            node, says = fields.get("when"), self.document.words(fields.get("says"))
            text = self._expression(node, wants="truth", deliberate=False)[0]
            found.append(Outside(text, says))
        return tuple(found)

    def _on_one_line(self, node: yaml.ScalarNode) -> bool:
        if node.style == "|" or node.end_mark.line == node.start_mark.line:
            return True
        if node.style != ">" and "\n" not in self._between(node):
            return True
        self.document.blame(
            node,
            "an expression over several lines that YAML folds into one",
            "write it on one line, or on several after |",
        )
        return False

    def _between(self, node: yaml.ScalarNode) -> str:
        lines = self.document.lines[node.start_mark.line : node.end_mark.line + 1]
        lines[-1] = lines[-1][: node.end_mark.column]
        return "\n".join(lines).rstrip()

    # finding

    def _finding(self, text: str) -> tuple[str, ...]:
        """The columns and limits that the finding's text names."""
        node = self.fields.get("finding")
        names = []
        try:
            parts = list(Formatter().parse(text))
        except ValueError:
            self.document.blame(node, "a curly bracket without its fellow", "write {column}")
            return ()
        for (_, name, form, conversion), (behind, *_) in pairwise([*parts, ("",)]):
            if name is None:
                continue
            if form or conversion or not re.fullmatch(r"\w+", name):
                self.document.blame(node, f"{{{name}}} can't be filled in", "write {column}")
            else:
                self._filled_in(node, name, behind)
            names.append(name)
        return tuple(names)

    def _filled_in(self, node: yaml.ScalarNode, name: str, behind: str) -> None:
        """A name in curly brackets is known, and no unit stands behind it a second time."""
        limit, column = self.limits.get(name), self.about.columns.get(name)
        unit = (column or limit).unit if column or limit else ""
        if not column and not limit:
            if not any(f"no limit ':{name}'" in p.cause for p in self.document.problems):
                near = get_close_matches(name, [*self.about.columns, *self.limits], n=1)
                remedy = f"did you mean {near[0]!r}?" if near else unknown(name, self.about)[1]
                self._blame_name(node, name, f"unknown column or limit {name!r}", remedy)
        elif unit and re.match(rf"\s*{re.escape(unit)}(?!\w)", behind):
            self._blame_name(
                node,
                name,
                f"the unit {unit} would stand here twice",
                f"remove it: {{{name}}} is filled in with its unit",
            )

    def _blame_name(self, node: yaml.ScalarNode, name: str, cause: str, remedy: str) -> None:
        if "\n" in node.value or node.style == ">":
            self.document.blame(node, f"{{{name}}}: {cause}", remedy)
        else:
            start = max(0, node.value.find(f"{{{name}")) + 1
            self.document.blame_text(node, cause, remedy, start, len(name))

    # examples

    def _examples(self, readable: Mapping, named: Mapping) -> tuple[Example, ...]:
        examples = []
        for node in self.document.items(self.fields.get("examples")):
            before = len(self.document.problems)
            row: dict[str, Any] = {}
            outcome = ""
            for key, value in self.document.pairs(node):
                if key.value == "is":
                    outcome = self.document.one_of(value, OUTCOME_WORDS)
                else:
                    row[key.value] = self._given(key, value, readable, named)
            if isinstance(node, yaml.MappingNode) and not any(k.value == "is" for k, _ in node.value):
                self.document.blame(node, "the example has no outcome", f"say is: {', '.join(OUTCOME_WORDS)}")
            if outcome and len(self.document.problems) == before:
                place = self.document.place_of(node)
                examples.append(Example(Outcome.of_word(outcome), row, place))
        return tuple(examples)

    def _given(self, key: yaml.ScalarNode, value: yaml.Node, readable, named) -> Any:
        name = key.value
        if value.tag.endswith(":null") and self._run_together(key):
            return None
        if name.startswith(":"):
            if named and name[1:] not in named:
                self.document.blame(key, f"this rule names no {name!r}", nearest(name[1:], named))
            return self.document.day(value) if name == f":{TODAY}" else self.document.number(value)
        column = self.about.columns.get(name)
        if column is None:
            self.document.blame(key, *unknown(name, self.about))
            return None
        if readable and name not in readable:
            self.document.blame(key, f"this rule does not read {name!r}", f"remove it; it reads {', '.join(readable)}")
        return self._value(column, value)

    def _run_together(self, key: yaml.ScalarNode) -> bool:
        """Whether a key without a value is the rest of something written wrongly."""
        line, column = self.document.lines[key.start_mark.line], key.start_mark.column
        number = re.search(r"(\d+), *$", line[:column])
        joined = re.fullmatch(r"(:?\w+):(\S.*)", key.value)
        if key.value.isdigit() and number:
            self.document.blame(key, "a number has no comma", f"write a decimal point: {number[1]}.{key.value}")
        elif joined:
            self.document.blame(key, "there is no blank behind the colon", f"write {joined[1]}: {joined[2]}")
        return bool(joined or (key.value.isdigit() and number))

    def _value(self, column: columns.Column, node: yaml.Node) -> Any:
        if isinstance(node, yaml.ScalarNode) and node.tag.endswith(":null"):
            return None
        if column.is_number:
            value = self.document.number(node)
            return int(value) if column.kind == "integer" and value is not None else value
        if column.kind == "date":
            return self.document.day(node)
        if column.choices:
            return self.document.one_of(node, column.choices)
        return self.document.words(node)

    def _coverage(self, rule: Rule) -> None:
        """Every outcome that the rule can have needs an example, and each example its own day."""
        node = self.fields["examples"]
        wanted = {Outcome.PASSED, Outcome.FAILED}
        if not rule.unknown_is_deliberate:
            wanted.add(Outcome.CANT_TELL)
        if rule.condition:
            wanted.add(Outcome.INAPPLICABLE)
        for outcome in sorted(wanted - {example.outcome for example in rule.examples}):
            self.document.blame(node, f"no example comes out {outcome.word}", f"add one: {{is: {outcome.word}, …}}")
        if f":{TODAY}" in rule.applies + rule.requires:
            for example in rule.examples:
                if TODAY not in example.named:
                    self.document.blame(
                        node, "an example without the day of the audit", 'give each ":today": "2026-03-01"'
                    )
                    break
