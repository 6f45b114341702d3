"""A process of its own in which one command after another is tried: a hundred times cheaper than a process for each.

A command that kills the process, hangs, or takes more memory than allowed is noticed all the same, and the next one
has a new process.
"""

from __future__ import annotations

import gc
import os
import re
import resource
import signal
from collections.abc import Sequence
from dataclasses import replace
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path

from on_trial import HANGS_S, Ended, forked, in_place, texts

MOST_MB = 1024


class Room:
    """Where commands are tried; each has at most MOST_MB more memory than the program itself."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._pid = 0

    def __enter__(self) -> Room:
        return self

    def __exit__(self, *_) -> None:
        if self._pid:
            self._left()

    def tried(self, arguments: Sequence[object]) -> Ended:
        """How the command ended; AssertionError for one that hangs."""
        if not self._pid:
            self._ours, theirs = Pipe()
            self._pid = forked(lambda: _serve(self._ours, theirs, self.folder))
            theirs.close()
        self._ours.send([str(a) for a in arguments])
        try:
            if self._ours.poll(HANGS_S):
                return self._ours.recv()
        except EOFError:  # it is dead
            return Ended(self._left(), *texts(self.folder))
        os.kill(self._pid, signal.SIGKILL)
        self._left()
        raise AssertionError(f"it did not end within {HANGS_S} s: {arguments}")

    def _left(self) -> int:
        self._ours.close()
        pid, self._pid = self._pid, 0
        return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])


def _serve(ours: Connection, theirs: Connection, folder: Path) -> None:
    ours.close()
    gc.collect()
    gc.freeze()
    most = _status("VmSize") * 1024 + MOST_MB * 2**20
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    while True:
        try:
            arguments = theirs.recv()
        except EOFError:
            return
        Path("/proc/self/clear_refs").write_text("5")  # the most memory held is counted anew
        before = _status("VmRSS")  # that of all tests that this process had before counts for none
        ended = in_place(arguments, folder)
        theirs.send(replace(ended, most_mb=(_status("VmHWM") - before) / 1024))
        gc.collect()


def _status(name: str) -> int:
    """One of this process's numbers, kB."""
    return int(re.search(rf"{name}:\s*(\d+) kB", Path("/proc/self/status").read_text())[1])
