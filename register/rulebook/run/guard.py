"""A connection that can only read, and not for ever, while rules run on it."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager

from register.rulebook.tables import FUNCTIONS

_READING = {sqlite3.SQLITE_SELECT, sqlite3.SQLITE_READ}
_CALLING = {*FUNCTIONS, "coalesce", "ifnull", "iif", "sum"}
_INSTRUCTIONS_BETWEEN_LOOKS = 100_000


class Overrun(Exception):
    """A query went on past its deadline."""


@contextmanager
def guarded(connection: sqlite3.Connection, *, deadline_s: float) -> Iterator[None]:
    """Refuse everything but reading, and stop what runs past the deadline.

    Errors: Overrun, when it was stopped.
    """
    # At its first use on a connection SQLite builds this table, which a mere reader may not.
    connection.execute("SELECT 1 FROM json_each('[]')")
    end = time.monotonic() + deadline_s
    connection.set_authorizer(_authorised)
    connection.set_progress_handler(lambda: time.monotonic() > end, _INSTRUCTIONS_BETWEEN_LOOKS)
    try:
        yield
    except sqlite3.OperationalError as error:
        if str(error) == "interrupted" and time.monotonic() > end:
            raise Overrun from None
        raise
    finally:
        connection.set_progress_handler(None, 0)
        connection.set_authorizer(None)


def _authorised(action: int, _: str | None, function: str | None, *others: str | None) -> int:
    if action == sqlite3.SQLITE_FUNCTION:
        return sqlite3.SQLITE_OK if function in _CALLING else sqlite3.SQLITE_DENY
    return sqlite3.SQLITE_OK if action in _READING else sqlite3.SQLITE_DENY
