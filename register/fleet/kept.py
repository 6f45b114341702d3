"""Summaries kept as Parquet, a folder for each table, in it one for each plant, in it one for each day."""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from register.errors import Problem, StartrollError
from register.fleet.extra import needed
from register.fleet.packed import Packs
from register.fleet.tables import KEYS, TABLES, as_arrow, as_parquet, schema
from register.store import clock

if TYPE_CHECKING:
    import pyarrow

try:
    import fcntl
except ImportError:  # not on Windows
    fcntl = None  # type: ignore[assignment]

FILE = "summary.parquet"
PACKED = ".packed"
LOCK = ".lock"
AT_ONCE = 40  # summaries put together in one file a table, and in memory together
UNREAD = {"findings", "ages"}  # tables that are there for others than the roll-up
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


@dataclass(frozen=True)
class Encoded:
    """A summary as files, one for each table that has rows; without any where what is kept still holds."""

    plant: str
    day: str
    files: Mapping[str, bytes]


@dataclass(frozen=True)
class Part:
    """Some summaries as files, and of each table that a roll-up reads all their rows in one."""

    summaries: tuple[Encoded, ...]
    together: Mapping[str, bytes]


def encoded(summaries: Iterable[tuple[str, str, Mapping[str, list[tuple]]]]) -> Part:
    """Some summaries as the bytes of Parquet files.

    Parameters
    ----------
    summaries : plant, day and tables of each; those without tables are kept already.
    """
    pa = needed("pyarrow")
    made, whole = [], defaultdict(list)
    for plant, day, tables in summaries:
        own = {name: as_arrow(name, rows) for name, rows in tables.items() if rows}
        made.append(Encoded(plant, day, {name: as_parquet(table) for name, table in own.items()}))
        for name in own.keys() - UNREAD:
            keys = (pa.repeat(key, len(own[name])) for key in (plant, day))
            whole[name].append(pa.Table.from_arrays([*keys, *own[name].columns], schema=schema(name, keys=True)))
    return Part(tuple(made), {name: as_parquet(pa.concat_tables(parts)) for name, parts in whole.items()})


class Kept:
    """A folder of kept summaries; `packed` where they are put together too, so that few files need be opened."""

    def __init__(self, folder: Path, *, packed: bool = False) -> None:
        self.folder = folder
        self._packs = Packs(folder / PACKED) if packed else None

    def write(self, plant: str, day: str, files: Mapping[str, bytes]) -> dict[str, os.stat_result]:
        """Keep one summary; each of its files as it now is on the disk, by table.

        That of the plant itself goes first and comes last: a summary without is none, so that one cut short is never
        taken for the one before.
        """
        targets = {name: self.folder / self._file(name, plant, day) for name in TABLES}
        with ExitStack() as stack:
            # All are on the disk before the first takes its place: of a full one the summary before is left whole.
            parts = {name: _part(targets[name], data, stack) for name, data in files.items()}
            targets["plants"].unlink(missing_ok=True)
            seen = {}
            for name in sorted(TABLES, key=lambda name: name == "plants"):
                if name in parts:
                    seen[name] = parts[name].stat()
                    parts[name].replace(targets[name])
                else:
                    targets[name].unlink(missing_ok=True)
        return seen

    def write_part(self, part: Part) -> None:
        """Keep some summaries, and what was put together of them."""
        seen: dict[str, dict[str, os.stat_result]] = defaultdict(dict)
        for one in part.summaries:
            for name, state in self.write(one.plant, one.day, one.files).items() if one.files else ():
                seen[name][self._file(name, one.plant, one.day)] = state
        if self._packs and all(one.files for one in part.summaries):
            for name, data in part.together.items():
                self._packs.write(name, seen[name], data)

    @contextmanager
    def alone(self) -> Iterator[None]:
        """No other run writes into the folder meanwhile, where files can be locked.

        Raises StartrollError where one does.
        """
        with ExitStack() as stack:
            if fcntl is not None:
                try:
                    self.folder.mkdir(parents=True, exist_ok=True)
                    fcntl.flock(stack.enter_context((self.folder / LOCK).open("a")), fcntl.LOCK_EX | fcntl.LOCK_NB)
                except BlockingIOError:
                    told = "another roll-up writes into it", "wait for its end, or name another folder"
                    raise StartrollError(Problem(*told, str(self.folder))) from None
                except OSError:  # it is only read, or lies where nothing can be locked
                    pass
            yield

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
        """Some columns of a table for some plants, in their order, `AT_ONCE` plants at a time.

        Parameters
        ----------
        keys : plant and day of each summary.
        names : the columns, beside plant and day.
        """
        columns = [*KEYS, *names]
        for start in range(0, len(keys), AT_ONCE):
            seen = self._seen(name, keys[start : start + AT_ONCE])
            if seen and self._packs:
                yield self._packs.read(name, seen, columns, partial(self._together, name, seen))
            elif seen:
                yield self._together(name, seen, columns)

    def tidy(self) -> None:
        """Remove what was put together of other summaries than those read."""
        if self._packs:
            self._packs.tidy()

    def _seen(self, name: str, keys: Iterable[tuple[str, str]]) -> dict[str, os.stat_result]:
        """The files of a table that are there, each as it now is on the disk."""
        seen = {}
        for file in (self._file(name, *key) for key in keys):
            with suppress(OSError):
                seen[file] = os.stat(f"{self.folder}/{file}")
        return seen

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


def _part(target: Path, data: bytes, stack: ExitStack) -> Path:
    """The bytes in a file beside the one whose place they are to take; gone at the end where they did not."""
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_name(f".{os.getpid()}.part")
    stack.callback(part.unlink, missing_ok=True)
    part.write_bytes(data)
    return part


def _folders(folder: Path, beginning: str) -> list[str]:
    """What follows that beginning in the names of folders within a folder, in order."""
    if not folder.is_dir():
        return []
    with os.scandir(folder) as inside:
        return sorted(one.name.removeprefix(beginning) for one in inside if one.name.startswith(beginning))
