"""Rules run on a connection that can only read: an interrupt that arrives while SQLite calls back stays one."""

import os
import signal
import sqlite3

import pytest

from register.rulebook.run import guard

LONG = "SELECT sum(a.i) FROM t AS a, t AS b, t AS c"


@pytest.fixture
def connection():
    made = sqlite3.connect(":memory:")
    made.execute("CREATE TABLE t (i)")
    made.executemany("INSERT INTO t VALUES (?)", [(i,) for i in range(200)])
    made.commit()
    yield made
    made.close()


@pytest.fixture(autouse=True)
def not_ignored():
    """What was begun in the background ignores interrupts: here they are Python's own."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


def _interrupting(monkeypatch, name, at):
    """That function of the guard, during whose call number `at` the interrupt arrives."""
    real, calls = getattr(guard.time, name), []

    def called():
        calls.append(1)
        if len(calls) == at:
            os.kill(os.getpid(), signal.SIGINT)
        return real()

    monkeypatch.setattr(guard.time, name, called)


@pytest.mark.skipif(os.name == "nt", reason="signals of POSIX")
def test_an_interrupt_in_the_progress_handler_is_an_interrupt(connection, monkeypatch):
    before = signal.getsignal(signal.SIGINT)
    _interrupting(monkeypatch, "monotonic", at=3)  # the first is the guard's own
    with pytest.raises(KeyboardInterrupt), guard.guarded(connection, deadline_s=60):
        connection.execute(LONG).fetchall()
    assert signal.getsignal(signal.SIGINT) is before


@pytest.mark.skipif(os.name == "nt", reason="signals of POSIX")
def test_an_interrupt_in_the_authorizer_is_an_interrupt(connection, monkeypatch):
    class Reading(set):
        def __contains__(self, action):
            os.kill(os.getpid(), signal.SIGINT)
            return set.__contains__(self, action)

    monkeypatch.setattr(guard, "_READING", Reading(guard._READING))
    with pytest.raises(KeyboardInterrupt), guard.guarded(connection, deadline_s=60):
        connection.execute("SELECT 1").fetchall()


def test_what_is_not_reading_and_what_is_too_long_are_still_refused(connection):
    with pytest.raises(sqlite3.DatabaseError, match="not authorized"), guard.guarded(connection, deadline_s=60):
        connection.execute("CREATE TABLE t (a)")
    with pytest.raises(guard.Overrun), guard.guarded(connection, deadline_s=0):
        connection.execute(LONG).fetchall()
