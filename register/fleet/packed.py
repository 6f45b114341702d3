"""Some kept summaries put together in one file a table, so that the next roll-up opens few files.

It is worked out of the kept summaries alone and made anew where one of them is another: where a file's size, time or
number on the disk differs. Nothing is lost with it.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from register.fleet.extra import needed
from register.fleet.tables import as_parquet

if TYPE_CHECKING:
    import pyarrow

DIGEST_BYTES = 16


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
        pa, parquet = needed("pyarrow"), needed("pyarrow.parquet")
        path = self.folder / _name(table, seen)
        self._used.add(path.name)
        # Any error of a file that can be made anew means only that it is.
        with suppress(OSError, ValueError, KeyError), parquet.ParquetFile(pa.BufferReader(_sound(path))) as file:
            return file.read(columns=list(columns)).select(list(columns))
        rows = made()
        self.write(table, seen, as_parquet(rows))
        return rows.select(list(columns))

    def write(self, table: str, seen: Mapping[str, os.stat_result], data: bytes) -> None:
        """Keep the rows of several files as one, in Parquet, where this can be written.

        Parameters
        ----------
        table, seen : as for `read`.
        """
        path = self.folder / _name(table, seen)
        with suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True)
            part = path.with_name(f".{os.getpid()}.part")
            try:
                part.write_bytes(data + _digest(data))
                part.replace(path)
            finally:
                part.unlink(missing_ok=True)

    def tidy(self) -> None:
        """Remove the files that were not read since this began."""
        with suppress(OSError):
            for path in self.folder.iterdir():
                if path.name not in self._used:
                    path.unlink()


def _sound(path: Path) -> memoryview:
    """What was written to a file; ValueError where it says something else now: Parquet itself does not notice that."""
    whole = memoryview(path.read_bytes())
    data, told = whole[:-DIGEST_BYTES], whole[-DIGEST_BYTES:]
    if _digest(data) != told:
        raise ValueError
    return data


def _digest(data: bytes | memoryview) -> bytes:
    return hashlib.blake2b(data, digest_size=DIGEST_BYTES).digest()


def _name(table: str, seen: Mapping[str, os.stat_result]) -> str:
    """The name of the file for some files as they now are: where one is another, so is the name."""
    state = "\n".join(f"{file} {s.st_size} {s.st_mtime_ns} {s.st_ino}" for file, s in seen.items())
    return f"{table}-{hashlib.sha256(state.encode()).hexdigest()[:32]}.rows"
