"""Rows of facts made a chunk at a time: on every core where there are several chunks.

Whoever makes a chunk, it comes out the same: chunks begin at the same rows, their reasons for missing values
are numbered within them, and they are handed on in order.
"""

from __future__ import annotations

import os
import signal
import threading
from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import TYPE_CHECKING, NamedTuple

from register.facts.fact_rows import made
from register.facts.method import Method

if TYPE_CHECKING:
    from concurrent.futures import Future, ProcessPoolExecutor

CHUNK = 4_000  # rows; fewer cost more a row, more take memory
Exempt = Mapping[str, frozenset[str]]


class Chunk(NamedTuple):
    """Rows of facts, and the reasons for their gaps in the order of their numbers, from 1."""

    rows: list[tuple]
    reasons: list[tuple[str, str, str]]


def chunks(base: Iterable[list[tuple]], method: Method, exempt: Exempt, *, many: int) -> Iterator[Chunk]:
    """The facts of chunks of base rows, in order.

    Parameters
    ----------
    base : chunks of rows of the base.
    method, exempt : as for `rows.made`.
    many : how many chunks there are; several are shared out among the cores.
    """
    workers = min(many, cores())
    if workers < 2:
        yield from (_chunk(rows, method, exempt) for rows in base)
        return
    from concurrent.futures import ProcessPoolExecutor  # few commands make facts, and fewer several chunks

    with pipes_may_break(), ProcessPoolExecutor(workers, initializer=_begin, initargs=(method, exempt)) as pool:
        try:
            waiting: deque[tuple[list[tuple], Future | None]] = deque()
            for rows in base:
                waiting.append((rows, _submitted(pool, rows)))
                if len(waiting) > workers + 1:
                    yield _finished(*waiting.popleft(), method, exempt)
            while waiting:
                yield _finished(*waiting.popleft(), method, exempt)
        finally:
            pool.shutdown(cancel_futures=True)


@contextmanager
def pipes_may_break() -> Iterator[None]:
    """Let a lost worker be an error that can be answered.

    A command ends without a word where the reader of its output goes away (`head`). While it has workers, the pipe
    that breaks may be the one to a worker that was killed; that shall not end the command.
    """
    if not hasattr(signal, "SIGPIPE") or threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGPIPE, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGPIPE, before or signal.SIG_DFL)


def cores() -> int:
    """How many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _chunk(rows: list[tuple], method: Method, exempt: Exempt) -> Chunk:
    numbers: dict[tuple[str, str, str], int] = {}
    return Chunk(list(made(rows, method, exempt, numbers)), list(numbers))


def _submitted(pool: ProcessPoolExecutor, rows: list[tuple]) -> Future | None:
    from concurrent.futures.process import BrokenProcessPool

    try:
        return pool.submit(_in_worker, rows)
    except BrokenProcessPool:
        return None


def _finished(rows: list[tuple], future: Future | None, method: Method, exempt: Exempt) -> Chunk:
    """What a worker made; where workers cannot live, it is made here."""
    from concurrent.futures.process import BrokenProcessPool

    try:
        if future is not None:
            return future.result()
    except BrokenProcessPool:
        pass
    return _chunk(rows, method, exempt)


_given: tuple[Method, Exempt]


def _begin(method: Method, exempt: Exempt) -> None:
    """Keep in a worker what is the same for all chunks."""
    global _given
    _given = method, exempt
    # Who interrupts the program interrupts the parent, which ends its workers.
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _in_worker(rows: list[tuple]) -> Chunk:
    return _chunk(rows, *_given)
