"""What a register or a made file holds, to be compared: without the seconds at which it was written."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from register.store import seals
from register.store.database import opened

# What is worked out anew where it is missing; seals, in which the clock is; a number drawn for each register.
NOT_COMPARED = {"facts", "gap_reason", "facts_state", "change_seal", "identity"}
CLOCK = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d(\.\d+)?)?Z?")


def check_whole(path: Path) -> None:
    """Assert that a register is sound, its seals fit and no change stands outside of a change-set."""
    with opened(path) as db:
        assert db.conn.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert not db.conn.execute("PRAGMA foreign_key_check").fetchall()
        sealed = seals.checked(db.conn)
        # The row of the site comes with the register, and is sealed with the first change-set.
        waiting = 0 if sealed.change_sets else 1
        assert (sealed.wrong, sealed.unsealed, sealed.outside) == (None, waiting, 0), sealed


def state(path: Path) -> dict[str, list]:
    """Every entered row, every change and every kept audit of a register file."""
    with closing(sqlite3.connect(path)) as db:
        tables = [
            name
            for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")
            if not name.startswith("sqlite_") and name not in NOT_COMPARED
        ]
        return {name: sorted(map(repr, _rows(db, name))) for name in tables}


def _rows(db: sqlite3.Connection, name: str) -> Iterator[tuple]:
    for row in db.execute(f'SELECT * FROM "{name}"'):
        yield tuple(CLOCK.sub("…", v) if isinstance(v, str) else v for v in row)


def made_by(path: Path) -> object:
    """What a file or folder holds; of a register its rows, of a workbook the sizes of its parts."""
    if path.is_dir():
        return {p.name: made_by(p) for p in sorted(path.rglob("*")) if p.is_file()}
    if path.suffix == ".db":
        return state(path)
    if path.suffix == ".xlsx":
        import zipfile

        with zipfile.ZipFile(path) as archive:
            return {p.filename: p.CRC for p in archive.infolist() if p.filename != "docProps/core.xml"}
    return path.read_bytes()
