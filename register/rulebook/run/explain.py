"""Why a rule came out as it did: its clauses with their values, its margin, its limits."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable
from datetime import date
from typing import Any

from register.rulebook.clauses import Side, filled
from register.rulebook.model import TODAY, Clause, Explanation, Outcome, Pack, Rule
from register.rulebook.run import wording
from register.rulebook.run.compiled import compiled
from register.rulebook.run.guard import guarded
from register.rulebook.run.limit_layers import read_by
from register.rulebook.tables import CHECK_DAYS
from register.text import banded

_DEADLINE_S = 600.0


def explain(
    connection: sqlite3.Connection, pack: Pack, rule: Rule, tags: Iterable[str], *, today: date
) -> list[Explanation]:
    """Open the verdicts of one rule at some positions, in the order of `tags`.

    Parameters
    ----------
    connection : one that sees the table of the subject's facts.
    pack, rule : the limits in force, and the rule.
    tags : the positions; one without facts is left out.
    today : the day on which the verdict is given.
    """
    opening = _Opening(pack, rule, today)
    wanted = list(tags)
    found = {row[0]: opening.of(row) for row in opening.rows(connection, wanted)}
    return [found[tag] for tag in wanted if tag in found]


def margins(
    connection: sqlite3.Connection, pack: Pack, rule: Rule, tags: Iterable[str], *, today: date
) -> dict[str, tuple[float | None, dict[str, Any]]]:
    """For each position the margin and the values shown, the same as in `explain`, without the rest."""
    opening = _Opening(pack, rule, today)
    count = len(opening.columns)
    found = {}
    for tag, _, _, *row in opening.rows(connection, list(tags), parts=False):
        applies, holds, margin, *beyond = row[count:]
        outcome = Outcome.INAPPLICABLE if any(beyond) else _outcome(applies, holds)
        found[tag] = _telling(margin, outcome), dict(zip(opening.columns, row, strict=False))
    return found


def unknown_columns(
    connection: sqlite3.Connection, pack: Pack, rule: Rule, tags: Iterable[str], *, today: date
) -> dict[str, tuple[str, ...]]:
    """For each position where the rule is unknown, the columns that left it so.

    The same as in `explain`, without the rest. What is blank, and what is true, decides: rows that are
    alike in both are looked at once.
    """
    opening = _Opening(pack, rule, today)
    count = len(opening.columns)
    days = [place for place, name in enumerate(opening.columns) if name in CHECK_DAYS]
    known: dict[tuple, tuple[str, ...]] = {}
    found = {}
    for row in opening.rows(connection, list(tags)):
        values, margin = row[3 : 3 + count], 3 + count + 2
        later = [opening.is_later(values[place]) for place in days]
        blank = [value is None for value in values]
        key = (row[1] is None, *blank, *later, *row[3 + count : margin], *row[margin + 1 :])
        unknown = known.get(key)
        if unknown is None:
            unknown = known[key] = opening.unknown(row)
        if unknown:
            found[row[0]] = unknown
    return found


class _Opening:
    """What to select for one rule, and how to read a row of it."""

    def __init__(self, pack: Pack, rule: Rule, today: date) -> None:
        self.pack, self.rule = pack, rule
        self.layers, self.bound = read_by([rule], pack, today=today.isoformat(), subject=rule.subject)
        self.day = today.isoformat()
        self.today = f"'{self.day}'"
        self.condition: tuple[Side, ...] = compiled(rule.condition).sides if rule.condition else ()
        self.required = compiled(rule.requires).sides
        self.columns = rule.shown_columns
        self._told: dict[tuple[str, str | None], dict[str, tuple[float | None, str, str]]] = {}

    def rows(self, connection: sqlite3.Connection, tags: list[str], *, parts: bool = True) -> list[tuple]:
        """tag, area, practice, shown columns, condition, requirement, margin, outside or not, truth of each clause.

        Without the `parts` the clauses are left out.
        """
        whole = [(self.rule.condition, "1"), (self.rule.requires, ""), (self.rule.margin, "NULL")]
        whole += [(outside.when, "") for outside in self.rule.outside]
        pieces = [compiled(text).sql if text else (instead,) for text, instead in whole]
        pieces += [side.sql for side in self.condition + self.required if parts]
        truths = [f"({filled(own, self.layers.sql)})" for own in pieces]
        about = self.rule.about
        area, practice = (name if name in about.columns else "NULL" for name in ("area", "practice"))
        sql = (
            f"SELECT {', '.join([about.key, area, practice, *self.columns, *truths])} FROM {about.relation}"
            f" WHERE {about.key} IN (SELECT value FROM json_each(:tags))"
        )
        with guarded(connection, deadline_s=_DEADLINE_S):
            return connection.execute(sql, {**self.bound, "tags": json.dumps(tags)}).fetchall()

    def of(self, row: tuple) -> Explanation:
        """The explanation that a row tells."""
        tag, area, values, (applies, holds, margin, *beyond), parts, truths = self._taken_apart(row)
        limits = self._limits_at(tag, area)
        outside = next((o.says for o, there in zip(self.rule.outside, beyond, strict=True) if there), "")
        outcome = Outcome.INAPPLICABLE if outside else _outcome(applies, holds)
        told = {f":{name}": self._limit(name, limits[name][0]) for name in limits}
        told[f":{TODAY}"] = self.today
        told |= {name: wording.quoted(name, value) for name, value in values.items()}
        clauses = tuple(
            Clause(part.text, part.valued(told), None if truth is None else bool(truth))
            for part, truth in zip(parts, truths, strict=True)
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
            sentence=self._sentence(values, limits, row[2]),
            outside=outside,
            unknown_columns=self.unknown(row),
        )

    def unknown(self, row: tuple) -> tuple[str, ...]:
        """The columns without value in the clauses that are undecided; none where it is decided.

        Where none is blank (a division by zero, say), all columns of those clauses: one of them
        holds what can't be used.
        """
        _, area, values, (applies, holds, _, *beyond), parts, truths = self._taken_apart(row)
        if any(beyond) or _outcome(applies, holds) is not Outcome.CANT_TELL:
            return ()
        blank = {n for n, value in values.items() if value is None or (n in CHECK_DAYS and self.is_later(value))}
        if area is None:
            blank.add("area")
        held = {part.group for part, truth in zip(parts, truths, strict=True) if truth}
        read: dict[str, None] = {}
        for part, truth in zip(parts, truths, strict=True):
            if truth is None and part.group not in held:
                read |= dict.fromkeys(part.reads)
                if any(self.layers.needs_area(name) for name in part.names):
                    read["area"] = None
        return tuple(name for name in read if name in blank) or tuple(read)

    def is_later(self, day: Any) -> bool:
        """Whether a check's day was still to come on the audit's day."""
        return str(day) > self.day

    def _taken_apart(self, row: tuple) -> tuple:
        """A row's tag, area, values, whole truths, and the deciding clauses with theirs."""
        tag, area, _, *rest = row
        count, split, more = len(self.columns), len(self.condition), 3 + len(self.rule.outside)
        values = dict(zip(self.columns, rest[:count], strict=True))
        whole, truths = rest[count : count + more], rest[count + more :]
        if whole[0] == 1:
            return tag, area, values, whole, self.required, truths[split:]
        return tag, area, values, whole, self.condition, truths[:split]

    def _limits_at(self, tag: str, area: str | None) -> dict[str, tuple[float | None, str, str]]:
        """Value, layer and reason of each limit; the same everywhere where no area or position has its own."""
        if not self.layers.differ:
            tag, area = "", ""
        if (tag, area) not in self._told:
            self._told[tag, area] = {name: self.layers.told(name, tag, area) for name in self.layers.names}
        return self._told[tag, area]

    def _limit(self, name: str, value: float | None) -> str:
        return wording.shown(value, self.pack.limits[name].unit)

    def _sentence(self, values: dict, limits: dict, practice: str | None) -> str:
        """The finding's text with its values."""
        told = wording.in_sentences({name: values[name] for name in self.rule.finding_columns}, practice)
        for name, (value, _, _) in limits.items():
            told.setdefault(name, self._limit(name, value))
        return banded(self.rule.finding.format_map(told))


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
