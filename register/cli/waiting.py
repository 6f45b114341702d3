"""A bar on the error stream for whatever takes more than half a second, on a terminal only.

With NO_COLOR it is a line of plain text.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Lock, Timer
from typing import Any, TextIO

AFTER_S = 0.4
TITLES = {
    "demo": "Making the demo plant",
    "take-in": "Reading the list",
    "audit": "Judging the positions",
    "explain": "Judging the positions",
    "to-collect": "Judging the positions",
    "report": "Judging the positions",
    "round": "Judging the positions",
    "review": "Judging, and writing the pack",
    "starts": "Studying the starts",
    "study": "Studying the start",
    "window": "Studying the start at each limit",
    "restart": "Studying the starts",
    "candidates": "Trying types in place",
    "spares": "Trying types in place",
    "plan": "Trying types in place",
    "least-change": "Trying changes",
    "compare": "Comparing",
    "fleet": "Judging the plants",
    "rules": "Working on the rules",
}


class Waiting:
    """One bar for the whole run: it comes when it is needed, and goes before anything is printed."""

    def __init__(self) -> None:
        self.lock, self.over = Lock(), True
        self.bar: Any = None
        self.task: Any = None
        self.timer: Timer | None = None
        self.title, self.done = "", 0
        self.of: int | None = None

    def start(self, title: str, stream: TextIO) -> None:
        """Show the bar on that stream, in a moment; nothing where it is no terminal."""
        if not stream.isatty():
            return
        self.title, self.over = title, False
        self.timer = Timer(AFTER_S, self._show, [stream])
        self.timer.daemon = True
        self.timer.start()

    def _show(self, stream: TextIO) -> None:
        if os.environ.get("NO_COLOR"):
            stream.write(f"{self.title} …\n")
            return
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

        columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
        console = Console(file=stream)
        with self.lock:
            if self.over:
                return
            self.bar = Progress(*columns, console=console, transient=True, redirect_stdout=False, redirect_stderr=False)
            self.task = self.bar.add_task(self.title, total=self.of, completed=self.done)
            self.bar.start()

    def tell(self, done: int, of: int) -> None:
        """So much is done, of so much."""
        self.done, self.of = done, of
        if self.bar is not None:
            self.bar.update(self.task, completed=done, total=of, description=self.title)

    def stop(self) -> None:
        """Take the bar away; it does not come again."""
        if self.over:
            return
        with self.lock:
            self.over = True
            if self.timer is not None:
                self.timer.cancel()
            if self.bar is not None:
                self.bar.stop()


NOW = Waiting()


class Before:
    """A stream before whose first text the bar goes away."""

    def __init__(self, stream: TextIO) -> None:
        self.stream = stream

    def write(self, text: str) -> int:
        """Take the bar away, then write."""
        NOW.stop()
        return self.stream.write(text)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.stream, name)


@contextmanager
def waiting(command: str) -> Iterator[None]:
    """While a command runs: its bar, gone before the first text and at the end."""
    out, err = sys.stdout, sys.stderr
    if not err.isatty():
        yield
        return
    NOW.start(TITLES.get(command, "Working"), err)
    sys.stdout, sys.stderr = Before(out), Before(err)  # type: ignore[assignment]
    try:
        yield
    finally:
        NOW.stop()
        sys.stdout, sys.stderr = out, err


@contextmanager
def progress(title: str) -> Iterator[Callable[[int, int], None]]:
    """What is to be told of the progress of one stage."""
    NOW.title = title
    yield NOW.tell
