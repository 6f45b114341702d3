"""Why a rule came out as it did: its clauses with their values, its margin, its limits."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlglot import exp

from register.rulebook import wording
from register.rulebook.expression import (
    columns_in,
    conjuncts,
    disjuncts,
    names_in,
    parsed,
    written,
)
from register.rulebook.guard import guarded
from register.rulebook.laid import Laid, read_by
from register.rulebook.model import TODAY, Clause, Explanation, Outcome, Pack, Rule

_DEADLINE_S = 600.0


@dataclass(frozen=True)
class _Part:
    """A clause before it has values; those of one `group` are the sides of one choice."""

    tree: exp.Expression
    group: int
    joiner: str = ""


def explain(
    connection: sqlite3.Connection,
    pack: Pack,
    rule: Rule,
    tags: Iterable[str],
    *,
    today: date,
) -> list[Explanation]:
    """Open the verdicts of one rule at some positions, in the order of `tags`.

    Parameters
    ----------
    connection : one that sees the table `facts`.
    pack, rule : the limits in force, and the rule.
    tags : the positions; one without facts is left out.
    today : the day on which the verdict is given.
    """
    laid, values = read_by([rule], pack, today=today.isoformat())
    opening = _Opening(pack, rule, laid, today)
    wanted = list(tags)
    sql = (
        f"SELECT {', '.join(opening.selected)} FROM facts"
        " WHERE tag IN (SELECT value FROM json_each(:tags))"
    )
    with guarded(connection, deadline_s=_DEADLINE_S):
        rows = connection.execute(sql, {**values, "tags": json.dumps(wanted)}).fetchall()
    found = {row[0]: opening.of(row) for row in rows}
    return [found[tag] for tag in wanted if tag in found]


class _Opening:
    """What to select for one rule, and how to read a row of it."""

    def __init__(self, pack: Pack, rule: Rule, laid: Laid, today: date) -> None:
        self.pack, self.rule, self.laid, self.today = pack, rule, laid, today
        self.condition = _parts(rule.condition)
        self.required = _parts(rule.requires)
        self.columns = rule.shown_columns
        whole = [rule.condition or "1", rule.requires, rule.margin or "NULL"]
        trees = [parsed(text) for text in whole] + [p.tree for p in self.condition + self.required]
        self.selected = ["tag", "area", *self.columns, *(f"({written(t, laid.sql)})" for t in trees)]

    def of(self, row: tuple) -> Explanation:
        """The explanation that a row of the query tells."""
        tag, area, *rest = row
        count = len(self.columns)
        values = dict(zip(self.columns, rest[:count], strict=True))
        applies, holds, margin, *truths = rest[count:]
        limits = {name: self.laid.told(name, tag, area) for name in self.laid.names}
        outcome = _outcome(applies, holds)
        split = len(self.condition)
        parts, own = self.required, truths[split:]
        if applies != 1:
            parts, own = self.condition, truths[:split]
        clauses = tuple(
            self._clause(part, truth, values, limits)
            for part, truth in zip(parts, own, strict=True)
        )
        return Explanation(
            tag=tag,
            rule=self.rule.id,
            outcome=outcome,
            clauses=clauses,
            values=values,
            margin=_telling(margin, outcome),
            margin_unit=self.rule.margin_unit,
            limits=limits,
            sentence=self._sentence(values, limits),
            unknown_columns=self._unknown(parts, own, {**values, "area": area})
            if outcome is Outcome.CANT_TELL
            else (),
        )

    def _clause(self, part: _Part, truth: Any, values: dict, limits: dict) -> Clause:
        def named(name: str) -> str:
            if name == TODAY:
                return f"'{self.today.isoformat()}'"
            return wording.with_unit(limits[name][0], self.pack.limits[name].unit)

        def column(name: str) -> str:
            return wording.quoted(name, values[name])

        tree = part.tree.unnest()
        return Clause(
            text=part.joiner + written(tree),
            valued=part.joiner + written(tree, named, column),
            truth=None if truth is None else bool(truth),
        )

    def _sentence(self, values: dict, limits: dict) -> str:
        """The finding's text with its values."""
        told = {name: wording.of_column(name, values[name]) for name in self.rule.finding_columns}
        for name, (value, _, _) in limits.items():
            told.setdefault(name, wording.with_unit(value, self.pack.limits[name].unit))
        return self.rule.finding.format_map(told)

    def _unknown(self, parts: list[_Part], truths: list, values: dict) -> tuple[str, ...]:
        """The columns without value in the clauses that are undecided.

        Where none is blank (a division by zero, say), all columns of those clauses: one of them
        holds what can't be used.
        """
        held = {part.group for part, truth in zip(parts, truths, strict=True) if truth}
        undecided = [
            part.tree
            for part, truth in zip(parts, truths, strict=True)
            if truth is None and part.group not in held
        ]
        read = list(columns_in(*undecided))
        if any(self.laid.needs_area(name) for name in names_in(*undecided)):
            read.append("area")
        return tuple(name for name in read if values[name] is None) or tuple(read)


def _parts(text: str) -> list[_Part]:
    parts = []
    for group, clause in enumerate(conjuncts(parsed(text)) if text else []):
        sides = disjuncts(clause)
        if len(sides) == 1:
            parts.append(_Part(clause, group))
        else:
            parts += [
                _Part(side, group, "or " if i else "either ") for i, side in enumerate(sides)
            ]
    return parts


def _outcome(applies: Any, holds: Any) -> Outcome:
    if applies is None:
        return Outcome.CANT_TELL
    if not applies:
        return Outcome.INAPPLICABLE
    if holds is None:
        return Outcome.CANT_TELL
    return Outcome.PASSED if holds else Outcome.FAILED


def _telling(margin: float | None, outcome: Outcome) -> float | None:
    """The margin where it agrees with the outcome; otherwise some other clause decided."""
    if margin is None or outcome in (Outcome.CANT_TELL, Outcome.INAPPLICABLE):
        return None
    agrees = margin >= 0 if outcome is Outcome.PASSED else margin <= 0
    return float(margin) if agrees else None
