"""Whether rules keep their word: filling a blank may decide a firm verdict, never flip one."""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from register import columns
from register.rulebook.evaluate import evaluate
from register.rulebook.expression import facts_table, literals_in, parsed
from register.rulebook.model import Outcome, Pack

_TODAY = date(2026, 3, 1)
_DAYS = ("2024-01-01", "2026-02-27", "2026-03-01")
_NUMBERS = (0.0, 0.5, 1.0, 3.0, 10.0, 100.0, 1000.0)
_BLANK_SHARE = 0.35


@dataclass(frozen=True)
class Flip:
    """A firm verdict that filling one blank turned into another."""

    rule: str
    column: str
    value: Any
    before: Outcome
    after: Outcome
    row: dict[str, Any]

    def __str__(self) -> str:
        return (
            f"{self.rule}: {self.before.word} becomes {self.after.word}"
            f" when {self.column} is found to be {self.value!r}"
        )


def monotone(
    pack: Pack, connection_factory: Callable[[], sqlite3.Connection], *, trials: int, seed: int
) -> list[Flip]:
    """Fill blanks in random rows and give every firm verdict that flips, deliberate rules apart.

    Parameters
    ----------
    pack : the rules and limits.
    connection_factory : gives an empty database to work in.
    trials : how many rows; in each, one blank is filled.
    seed : of the random rows, so that a flip can be seen again.
    """
    chance = random.Random(seed)
    read = sorted({name for rule in pack.rules for name in rule.columns} - {"tag"})
    texts = {text for rule in pack.rules for text in (rule.condition, rule.requires) if text}
    said = {value for text in texts for value in literals_in(parsed(text))}
    said |= {limit.value for limit in pack.limits.values()}
    pools = {name: _pool(name, said) for name in read}
    rows, filled = [], []
    for trial in range(trials):
        row = {n: None if chance.random() < _BLANK_SHARE else chance.choice(pools[n]) for n in read}
        blank = [name for name in read if row[name] is None]
        if blank:
            name = chance.choice(blank)
            value = chance.choice(pools[name])
            rows += [
                {"tag": f"{trial:09d} a"} | row,
                {"tag": f"{trial:09d} b"} | row | {name: value},
            ]
            filled.append((name, value))
    connection = connection_factory()
    _insert(connection, rows)
    outcomes = evaluate(connection, pack, today=_TODAY).outcomes
    connection.close()
    return list(_flips(pack, rows, filled, outcomes))


def _flips(pack: Pack, rows: list[dict], filled: list, outcomes: Any) -> Iterator[Flip]:
    for column, rule in enumerate(pack.rules):
        if rule.unknown_is_deliberate:
            continue
        before, after = outcomes[::2, column], outcomes[1::2, column]
        for pair in ((before != Outcome.CANT_TELL) & (before != after)).nonzero()[0]:
            yield Flip(rule.id, *filled[pair], Outcome(int(before[pair])),
                       Outcome(int(after[pair])), rows[2 * pair])  # fmt: skip


def _pool(name: str, said: set[str | float]) -> list[Any]:
    """Values on both sides of whatever the rules compare the column with."""
    column = columns.FACTS[name]
    if column.choices:
        return list(column.choices)
    if column.kind == "date":
        return list(_DAYS)
    if column.is_number:
        numbers = {value for value in said if isinstance(value, float)} | set(_NUMBERS)
        return sorted({round(n) for n in numbers} if column.kind == "integer" else numbers)
    return sorted({value for value in said if isinstance(value, str)} | {"", "something else"})


def _insert(connection: sqlite3.Connection, rows: list[dict]) -> None:
    connection.execute(facts_table())
    if rows:
        marks = ", ".join(f":{name}" for name in rows[0])
        connection.executemany(f"INSERT INTO facts ({', '.join(rows[0])}) VALUES ({marks})", rows)
