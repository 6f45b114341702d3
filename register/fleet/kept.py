"""Summaries kept as Parquet, a folder for each table, in it one for each plant, in it one for each day."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from register.fleet.extra import needed
from register.fleet.packed import Packs
from register.fleet.tables import KEYS, TABLES, as_arrow, schema
from register.store import clock

if TYPE_CHECKING:
    import pyarrow

FILE = "summary.parquet"
PACKED = ".packed"
AT_ONCE = 400  # plants whose rows are in memory together
HEAD = ("judged_by", "register_hash", "stamp", "time_zone")


@dataclass(frozen=True)
class Known:
    """What is kept of a register: on which day and by what it was judged, and its hashes."""

    day: str
    judged_by: str
    register_hash: str
    stamp: str
    time_zone: str | None

    def is_of(self, day: str | None) -> bool:
        """Whether it was judged as on that day; on the day that it now is on site, where none is asked for."""
        if day is None:
            zone = clock.zone_named(self.time_zone) if self.time_zone else None
            day = datetime.now(UTC).astimezone(zone).date().isoformat()
        return self.day == day


def encoded(tables: Mapping[str, list[tuple]]) -> dict[str, bytes]:
    """Each table that has rows, as the bytes of a Parquet file."""
    pa, parquet = needed("pyarrow"), needed("pyarrow.parquet")
    made = {}
    for name, rows in tables.items():
        if rows:
            sink = pa.BufferOutputStream()
            parquet.write_table(as_arrow(name, rows), sink, compression="snappy", write_statistics=False)
            made[name] = sink.getvalue().to_pybytes()
    return made


class Kept:
    """A folder of kept summaries; `packed` where it stays, so that to put many summaries together once pays."""

    def __init__(self, folder: Path, *, packed: bool = False) -> None:
        self.folder = folder
        self._packs = Packs(folder / PACKED) if packed else None

    def write(self, plant: str, day: str, files: Mapping[str, bytes]) -> None:
        """Keep one summary. That of the plant itself comes last: a summary without is none."""
        for name in sorted(TABLES, key=lambda name: name == "plants"):
            target = self.folder / self._file(name, plant, day)
            if name not in files:
                target.unlink(missing_ok=True)
                continue
            target.parent.mkdir(parents=True, exist_ok=True)
            part = target.with_name(f".{os.getpid()}.part")
            part.write_bytes(files[name])
            part.replace(target)

    def heads(self) -> dict[str, list[Known]]:
        """What is kept of each plant, by day."""
        found: dict[str, list[Known]] = {}
        keys = [
            (plant, day)
            for plant in _folders(self.folder / "plants", "plant=")
            for day in _folders(self.folder / "plants" / f"plant={plant}", "day=")
        ]
        for part in self.read("plants", keys, HEAD):
            for row in part.to_pylist():
                if row["judged_by"]:
                    known = Known(**{name: row[name] for name in ("day", *HEAD)})
                    found.setdefault(row["plant"], []).append(known)
        return found

    def read(self, name: str, keys: Sequence[tuple[str, str]], names: Iterable[str]) -> Iterator[pyarrow.Table]:
        """Some columns of a table for some plants, in their order, a few hundred plants at a time.

        Parameters
        ----------
        keys : plant and day of each summary.
        names : the columns, beside plant and day.
        """
        columns = [*KEYS, *names]
        for start in range(0, len(keys), AT_ONCE):
            seen = {}
            for file in (self._file(name, *key) for key in keys[start : start + AT_ONCE]):
                with suppress(OSError):
                    seen[file] = os.stat(f"{self.folder}/{file}")
            if seen and self._packs:
                yield self._packs.read(name, seen, columns, partial(self._together, name, seen))
            elif seen:
                yield self._together(name, seen, columns)

    def tidy(self) -> None:
        """Remove what was put together of other summaries than those read."""
        if self._packs:
            self._packs.tidy()

    def _together(self, name: str, files: Iterable[str], columns: Sequence[str] | None = None) -> pyarrow.Table:
        """The rows of some files, one after another; of all columns, unless some are asked for."""
        dataset = needed("pyarrow.dataset")
        pa = needed("pyarrow")
        layout = dataset.partitioning(pa.schema([(key, pa.string()) for key in KEYS]), flavor="hive")
        there = [f"{self.folder}/{file}" for file in files]
        found = dataset.dataset(there, schema=schema(name, keys=True), format="parquet", partitioning=layout)
        return found.to_table(columns=columns)

    def _file(self, name: str, plant: str, day: str) -> str:
        return f"{name}/plant={plant}/day={day}/{FILE}"


def _folders(folder: Path, beginning: str) -> list[str]:
    """What follows that beginning in the names of folders within a folder, in order."""
    if not folder.is_dir():
        return []
    with os.scandir(folder) as inside:
        return sorted(one.name.removeprefix(beginning) for one in inside if one.name.startswith(beginning))
