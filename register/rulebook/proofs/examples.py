"""A rule's examples: do they come out as they say, and would they notice the rule being changed?"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass

from sqlglot import exp

from register import columns
from register.rulebook.check.expression import columns_in, names_in, outcome_sql, parsed
from register.rulebook.model import TODAY, Example, Outcome, Pack, Rule
from register.rulebook.proofs.mutants import Mutant, mutants
from register.rulebook.tables import SQL_TYPE

# What SQLite takes in one result row, with room to spare.
_AT_ONCE = 500


@dataclass(frozen=True)
class ExampleResult:
    """How an example came out."""

    rule: str
    example: Example
    outcome: Outcome

    @property
    def holds(self) -> bool:
        """Whether it came out as it says."""
        return self.outcome is self.example.outcome

    def __str__(self) -> str:
        says = "as it says" if self.holds else f"but says {self.example.outcome.word}"
        return f"{self.example.place}  {self.rule}: this example is {self.outcome.word}, {says}"


def run_examples(rule: Rule, pack: Pack) -> list[ExampleResult]:
    """Judge each example of a rule, at the pack's limits where it sets none of its own."""
    (outcomes,) = _outcomes(rule, pack, [_as_is(rule)])
    return [ExampleResult(rule.id, example, outcome) for example, outcome in zip(rule.examples, outcomes, strict=True)]


def failing_examples(pack: Pack) -> list[ExampleResult]:
    """The examples of a pack that do not come out as they say."""
    results = (result for rule in pack.rules for result in run_examples(rule, pack))
    return [result for result in results if not result.holds]


def survivors(rule: Rule, pack: Pack) -> list[Mutant]:
    """The small changes of a rule that none of its examples notices."""
    return _survivors(rule, pack, mutants(rule))


def all_survivors(pack: Pack) -> tuple[int, list[Mutant]]:
    """How many small changes of the pack's rules there are, and those that go unnoticed."""
    count, unnoticed = 0, []
    for rule in pack.rules:
        changed = mutants(rule)
        count += len(changed)
        unnoticed += _survivors(rule, pack, changed)
    return count, unnoticed


def _survivors(rule: Rule, pack: Pack, changed: list[Mutant]) -> list[Mutant]:
    (right, *others) = _outcomes(rule, pack, [_as_is(rule), *changed])
    return [mutant for mutant, found in zip(changed, others, strict=True) if found == right]


def _as_is(rule: Rule) -> Mutant:
    condition = parsed(rule.condition) if rule.condition else None
    beyond = parsed(rule.beyond) if rule.outside else None
    return Mutant(rule.id, "as it is", condition, parsed(rule.requires), beyond)


def _outcomes(rule: Rule, pack: Pack, changed: Iterable[Mutant]) -> list[tuple[Outcome, ...]]:
    """For each form of the rule, the outcomes of all examples; one table holds them."""
    changed = list(changed)
    # The columns of every clause stand in the table, those of a clause that is left out too.
    trees = [t for m in (_as_is(rule), *changed) for t in (m.condition, m.requires, m.beyond) if t is not None]
    connection = _table(rule, pack, trees)
    found: list[tuple[Outcome, ...]] = []
    for start in range(0, len(changed), _AT_ONCE):
        sql = ", ".join(
            outcome_sql(mutant.condition, mutant.requires, _column_of, mutant.beyond)
            for mutant in changed[start : start + _AT_ONCE]
        )
        rows = connection.execute(f"SELECT {sql} FROM example ORDER BY rowid").fetchall()
        found += [tuple(map(Outcome, own)) for own in zip(*rows, strict=True)]
    connection.close()
    return found or [() for _ in changed]


def _column_of(name: str) -> str:
    return f'":{name}"'


def _table(rule: Rule, pack: Pack, trees: list[exp.Expression]) -> sqlite3.Connection:
    """One row an example: the columns read, the limits and the day."""
    read, named = columns_in(*trees), names_in(*trees)
    typed = [f"{name} {SQL_TYPE[columns.COLUMNS[name].kind]}" for name in read]
    # A check is known from its day on; where a rule does not ask for the day, all of them are.
    day = "" if TODAY in named else f", {_column_of(TODAY)} TEXT NOT NULL DEFAULT '9999-12-31'"
    typed += [f"{_column_of(name)} {'TEXT' if name == TODAY else 'REAL'}" for name in named]
    connection = sqlite3.connect(":memory:")
    names = ", ".join((*read, *map(_column_of, named)))
    connection.execute(f"CREATE TABLE example ({', '.join(typed)}{day}) STRICT")
    marks = ", ".join("?" * len(typed))
    for example in rule.examples:
        values = [example.facts.get(name) for name in read]
        values += [example.named.get(name, None if name == TODAY else pack.limits[name].value) for name in named]
        connection.execute(f"INSERT INTO example ({names}) VALUES ({marks})", values)
    return connection
