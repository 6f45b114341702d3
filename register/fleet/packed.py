"""Some hundred kept summaries put together in one file a table, so that the next roll-up opens few files.

It is worked out of the kept summaries alone and made anew where one of them is another: where a file's size, time or
number on the disk differs. Nothing is lost with it.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from register.fleet.extra import needed

if TYPE_CHECKING:
    import pyarrow

STATE = b"startroll.state"


class Packs:
    """The files put together, in a folder beside the tables."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._used: set[str] = set()

    def read(
        self, table: str, seen: Mapping[str, os.stat_result], columns: Sequence[str], made: Callable[[], pyarrow.Table]
    ) -> pyarrow.Table:
        """Some columns of the rows of several files, put together before or now.

        Parameters
        ----------
        table : whose rows they are.
        seen : the files, in their order, each as it now is on the disk.
        made : puts their rows together, of all columns.
        """
        parquet = needed("pyarrow.parquet")
        state = _hash(f"{file} {s.st_size} {s.st_mtime_ns} {s.st_ino}" for file, s in seen.items())
        path = self.folder / f"{table}-{_hash(seen)[:16].decode()}.rows"
        self._used.add(path.name)
        # Any error of a file that can be made anew means only that it is.
        with suppress(OSError, ValueError), parquet.ParquetFile(path) as file:
            if (file.schema_arrow.metadata or {}).get(STATE) == state:
                return file.read(columns=list(columns)).select(list(columns))
        rows = made()
        with suppress(OSError):
            self.folder.mkdir(exist_ok=True)
            part = path.with_name(f".{os.getpid()}.part")
            parquet.write_table(rows.replace_schema_metadata({STATE: state}), part, compression="snappy")
            part.replace(path)
        return rows.select(list(columns))

    def tidy(self) -> None:
        """Remove the files that were not read since this began."""
        with suppress(OSError):
            for path in self.folder.iterdir():
                if path.name not in self._used:
                    path.unlink()


def _hash(words: Iterable[str]) -> bytes:
    return hashlib.sha256("\n".join(words).encode()).hexdigest().encode()
