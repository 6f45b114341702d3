"""What both browsers of the tests have: where they are installed, a profile, and when a page is ready."""

from __future__ import annotations

import shutil
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

LIST_IS_MADE = "performance.getEntriesByName('ready').length"
# True once all that was written before is on the disk: the page's stores wait for one another in the order of asking.
ON_DISK = """shelf.then((db) => !db || new Promise((done, failed) => {
  const asking = db.transaction("kept", "readonly"); asking.objectStore("kept").count();
  asking.oncomplete = () => done(true); asking.onabort = asking.onerror = () => failed(asking.error); }))"""


def found(names: tuple[str, ...]) -> str | None:
    """The place of the first of these programs that is installed, or None."""
    return next(filter(None, map(shutil.which, names)), None)


class Profile:
    """A browser's folder: one that is given outlasts the browser, its own goes with `cleanup`."""

    def __init__(self, given: Path | None) -> None:
        self._own = None if given else tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        self.folder = given or Path(self._own.name)

    def cleanup(self) -> None:
        """Remove what is the browser's own."""
        if self._own:
            self._own.cleanup()


def until(run: Callable[[str], Any], script: str, *, seconds: float = 30) -> Any:
    """The value of an expression in the page as soon as it is true; TimeoutError where it is not in time."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        # An element comes over as an empty object: it is there.
        if (value := run(script)) not in (None, False, 0, ""):
            return value
        time.sleep(0.02)
    raise TimeoutError(script)
