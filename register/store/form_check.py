"""Whether a register's triggers and views are this program's own: what another program took away, changed or added."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from functools import cache

from register.errors import Problem, RegisterError
from register.store.migrations import shown

TRIGGERS_AND_VIEWS = "SELECT name, sql, tbl_name FROM sqlite_schema WHERE type IN ('trigger', 'view')"
QUOTE = '"'


@cache
def _own() -> dict[str, str]:
    return dict(shown())


def _alike(one: str, other: str) -> bool:
    """Whether two statements are the same but for the room between words."""
    return one == other or one.split() == other.split()


def faults(connection: sqlite3.Connection, *, earlier: bool = False) -> list[str]:
    """What is not as this program makes it, a sentence each; a view of another program's own is none.

    A trigger that is missing leaves changes out of the history; one that is foreign changes what nobody entered.
    `earlier` for a register of an earlier form, whose own triggers and views are made anew anyway: of these only
    triggers that its tables lack are told, for what was changed without them is not in the history.
    """
    there = {name: (sql, table) for name, sql, table in connection.execute(TRIGGERS_AND_VIEWS)}
    found = []
    tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")}
    for name, sql in _own().items():
        kind = sql.split(maxsplit=2)[1].lower()
        if earlier and not (kind == "trigger" and name.rpartition("_")[0] in tables):
            continue
        if name not in there:
            found.append(f"the {kind} {name} is missing")
        elif not earlier and not _alike(there[name][0], sql):
            found.append(f"the {kind} {name} was changed")
    foreign = (f"there is a trigger of another program, {n}, on {there[n][1]}" for n in _foreign(connection))
    return [*found, *foreign]


def _foreign(connection: sqlite3.Connection) -> list[str]:
    names = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'")
    return [name for (name,) in names if name not in _own()]


def drop_foreign(connection: sqlite3.Connection) -> None:
    """Drop the triggers of other programs."""
    for name in _foreign(connection):
        connection.execute(f'DROP TRIGGER "{name.replace(QUOTE, 2 * QUOTE)}"')


def told(found: list[str], place: str) -> Problem:
    """What a reader is told of them."""
    cause = f"{_listed(found)}: another program was at it, and not every change is in the history"
    return Problem(cause, f"startroll repair {place} puts them back, and says so in the history", place)


def refused(found: Sequence[str]) -> RegisterError:
    """The error of writing to such a register."""
    cause = f"{_listed(found)}: what is written now would not be in the history as it is"
    return RegisterError(Problem(cause, "startroll repair puts them back; then do this again"))


def _listed(sentences: Sequence[str], most: int = 3) -> str:
    more = f" (and {len(sentences) - most} more)" if len(sentences) > most else ""
    return "; ".join(sentences[:most]) + more
