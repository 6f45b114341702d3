"""Predicates as SQL in pieces, taken apart into clauses: ready to be run, with no tree of them.

A piece is text or a name in turn: text, name, text, name, …, text. What stands for a name (a limit, the
day) is put in when a rule is run, as a site may override limits.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

Pieces = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Side:
    """A clause; those of one `group` are the sides of one choice.

    `sql` is its truth, `text` itself as written, `slots` the same in pieces, to put values in; `reads` are its
    columns and `names` its limits.
    """

    sql: Pieces
    group: int
    text: str
    slots: Pieces
    reads: tuple[str, ...]
    names: tuple[str, ...]

    def valued(self, values: Mapping[str, str]) -> str:
        """The clause with a value in the place of each name."""
        return filled(self.slots, values.__getitem__)


@dataclass(frozen=True, slots=True)
class Compiled:
    """An expression: the SQL of its truth or number, and its clauses."""

    sql: Pieces
    sides: tuple[Side, ...]


def filled(pieces: Pieces, named: Callable[[str], str]) -> str:
    """The text of pieces, with what `named` gives in the place of each name."""
    return "".join(named(piece) if i % 2 else piece for i, piece in enumerate(pieces))
