"""Facts made on several cores are those made on one, to the byte."""

import os
import signal

import pytest
from on_trial import forked

from register.facts import chunks as chunking
from register.facts.build import refresh

SMALL = 10


@pytest.fixture
def large(db):
    """A plant of three chunks, in which blanks, kinds and sizes vary from chunk to chunk."""
    for n in range(2 * SMALL - 1):
        tag, kind = f"X-{n:03}", ("A16", "B80")[n % 2]
        power = None if n % 7 == 0 else 5 + n
        for sql, row in (
            (
                "INSERT INTO position (tag, bus, load_kind) VALUES (?, ?, ?)",
                (tag, "MCC-1" if n % 5 else None, "mill" if n > 12 else "blower"),
            ),
            (
                "INSERT INTO motor (motor, tag, power_kw, motor_voltage_v, speed_rpm, fla_a)"
                " VALUES (?, ?, ?, 460, 1755, ?)",
                (f"mx{n}", tag, power, 10 + 1.6 * n),
            ),
            ("INSERT INTO device (device, model, tag) VALUES (?, ?, ?)", (f"dx{n}", kind, tag)),
        ):
            db.conn.execute(sql, row)
    return db


@pytest.fixture
def cores(monkeypatch):
    """Chunks of a few rows on as many cores as asked."""

    def set_to(count):
        monkeypatch.setattr(chunking, "CHUNK", SMALL)
        monkeypatch.setattr("register.facts.build.CHUNK", SMALL)
        monkeypatch.setattr(chunking, "cores", lambda: count)

    return set_to


def everything(db):
    """All that the build writes, the numbers of the reasons included."""
    relations = ("facts", "gap_reason", "facts_state")
    return [list(map(repr, db.conn.execute(f"SELECT * FROM {r}"))) for r in relations]


def built(db, method, **how):
    db.conn.execute("DROP TABLE IF EXISTS facts_state")
    refresh(db, **method, **how)
    return everything(db)


def test_several_cores_build_the_same_bytes_as_one(large, method, cores):
    cores(1)
    alone = built(large, method)
    cores(3)
    assert built(large, method) == alone
    assert len(alone[0]) == 2 * SMALL + 3


def test_progress_is_told_to_the_end(large, method, cores):
    cores(2)
    told = []
    built(large, method, progress=lambda done, of: told.append((done, of)))
    assert told[-1] == (23, 23)
    assert [done for done, _ in told] == [10, 20, 23]


def test_nothing_is_told_or_made_where_nothing_changed(large, method, cores):
    cores(2)
    built(large, method)
    told = []
    assert refresh(large, **method, progress=lambda *d: told.append(d)).rebuilt == 0
    large.conn.execute("UPDATE motor SET fla_a = 90 WHERE motor = 'mx3'")
    assert refresh(large, **method, progress=lambda *d: told.append(d)).rebuilt == 1
    assert told == [(1, 1)]


def _dies(*_):
    os.kill(os.getpid(), signal.SIGKILL)


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs a signal that kills")
def test_workers_that_are_killed_are_done_without(large, method, cores, monkeypatch):
    cores(1)
    alone = built(large, method)
    cores(2)
    monkeypatch.setattr(chunking, "_in_worker", _dies)
    assert built(large, method) == alone


@pytest.mark.skipif(not hasattr(signal, "SIGPIPE"), reason="needs a signal of broken pipes")
def test_a_command_that_pipes_may_end_outlives_its_workers(large, method, cores, monkeypatch):
    """As the command line sets itself up, so that `head` ends it: the pipe to a worker is another matter."""
    cores(2)
    monkeypatch.setattr(chunking, "_in_worker", _dies)

    def command():
        signal.signal(signal.SIGPIPE, signal.SIG_DFL)
        for _ in range(10):
            built(large, method)
        return signal.getsignal(signal.SIGPIPE) is not signal.SIG_DFL

    _, status = os.waitpid(forked(command), 0)
    assert os.waitstatus_to_exitcode(status) == 0


def test_what_fails_in_a_worker_fails_as_it_would_here(large, method, cores, monkeypatch):
    cores(2)
    monkeypatch.setattr(chunking, "made", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        built(large, method)
    assert not large.conn.in_transaction
