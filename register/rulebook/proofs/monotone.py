"""Whether rules keep their word: filling blanks may decide a firm verdict, never flip one."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from register.rulebook.model import Outcome, Pack, Rule
from register.rulebook.proofs.random_facts import Invented, Row, judged, subjects
from register.rulebook.run.wording import quoted

_BLANK_SHARE = 0.35


@dataclass(frozen=True)
class Flip:
    """A firm verdict that filling blanks turned into another; as few blanks as it takes.

    `row` holds what the rule read before, `filled` what was found out, `times` how often in all.
    """

    rule: str
    before: Outcome
    after: Outcome
    row: Row
    filled: Row
    times: int

    def __str__(self) -> str:
        return (
            f"{self.rule}: {self.before.word} becomes {self.after.word}"
            f" when {_told(self.filled)}; before: {_told(self.row)}"
        )


def _told(row: Row) -> str:
    return ", ".join(f"{name} is {quoted(name, value)}" for name, value in row.items())


def monotone(pack: Pack, connection_factory: Callable[[], sqlite3.Connection], *, trials: int, seed: int) -> list[Flip]:
    """Fill the blanks of random rows and give a flip of each rule that has one.

    Rules that treat the unknown as known on purpose are left out. That a position lies outside a
    rule's reach may be learned at any time: it takes a verdict back, and never turns it round.

    Parameters
    ----------
    pack : the rules and limits.
    connection_factory : gives an empty database to work in.
    trials : how many rows; each is judged with its blanks and with all of them filled.
    seed : of the random rows, so that a flip can be seen again.
    """
    connection = connection_factory()
    found = []
    for subject in subjects(pack):
        invented = Invented(pack, subject, seed=seed)
        found += _flips(pack, invented, connection, trials)
    connection.close()
    return found


def _flips(pack: Pack, invented: Invented, connection: sqlite3.Connection, trials: int) -> Iterator[Flip]:
    rows = [invented.row(_BLANK_SHARE) for _ in range(trials)]
    filled = [invented.filled(row) for row in rows]
    before = judged(connection, pack, invented.rules, rows)
    after = judged(connection, pack, invented.rules, filled)
    outside = np.array([bool(rule.outside) for rule in invented.rules])
    taken_back = outside & (after == Outcome.INAPPLICABLE)
    flipped = (before != Outcome.CANT_TELL) & (before != after) & ~taken_back
    for column, rule in enumerate(invented.rules):
        places = flipped[:, column].nonzero()[0]
        if places.size and not rule.unknown_is_deliberate:
            first = places[0]
            yield _smallest(pack, rule, connection, rows[first], filled[first], len(places))


def _smallest(pack: Pack, rule: Rule, connection: sqlite3.Connection, row: Row, filled: Row, times: int) -> Flip:
    """The flip as one blank, or as few as it takes: what flips nothing is known from the start."""
    known = {name: row[name] for name in rule.columns if name in row}
    found = {name: filled[name] for name, value in known.items() if value is None}

    def outcome(more: Row) -> Outcome:
        return Outcome(int(judged(connection, pack, [rule], [row | more])[0, 0]))

    before, after = outcome({}), outcome(found)
    for name in list(found):
        if len(found) > 1 and outcome(known | {name: found[name]}) == before:
            known[name] = found.pop(name)
    return Flip(rule.id, before, after, known, found, times)
