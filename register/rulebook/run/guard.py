"""A connection that can only read, and not for ever, while rules run on it."""

from __future__ import annotations

import signal
import sqlite3
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

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

    def _past_its_end() -> bool:
        return time.monotonic() > end

    with _interrupts_kept(_authorised, _past_its_end) as interrupted:
        connection.set_authorizer(_authorised)
        connection.set_progress_handler(_past_its_end, _INSTRUCTIONS_BETWEEN_LOOKS)
        try:
            yield
        except sqlite3.DatabaseError as error:
            if interrupted:
                raise KeyboardInterrupt from None
            if str(error) == "interrupted" and _past_its_end():
                raise Overrun from None
            raise
        finally:
            connection.set_progress_handler(None, 0)
            connection.set_authorizer(None)
        if interrupted:
            raise KeyboardInterrupt


@contextmanager
def _interrupts_kept(*callbacks: Callable[..., object]) -> Iterator[list[int]]:
    """The interrupts that arrived inside a callback of SQLite, which would take one for a refusal."""
    kept: list[int] = []
    if threading.current_thread() is not threading.main_thread():
        yield kept  # only the main thread is handed signals
        return
    before = signal.getsignal(signal.SIGINT)
    inside = {callback.__code__ for callback in callbacks}

    def _handler(number: int, frame: FrameType | None) -> None:
        at = frame
        while at is not None and at.f_code not in inside:
            at = at.f_back
        if at is not None:
            kept.append(number)
        elif callable(before):
            before(number, frame)

    if not callable(before):
        yield kept  # ignored, or left to the system
        return
    signal.signal(signal.SIGINT, _handler)
    try:
        yield kept
    finally:
        signal.signal(signal.SIGINT, before)


def _authorised(action: int, _: str | None, function: str | None, *others: str | None) -> int:
    if action == sqlite3.SQLITE_FUNCTION:
        return sqlite3.SQLITE_OK if function in _CALLING else sqlite3.SQLITE_DENY
    return sqlite3.SQLITE_OK if action in _READING else sqlite3.SQLITE_DENY
