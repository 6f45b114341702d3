"""A register as it stands at one moment, in memory: its file is read once and never changed, not even recovered."""

from __future__ import annotations

import hashlib
import shutil
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from sqlite_utils import Database

from register.errors import Problem, RegisterMissing
from register.store import database, form_check, locks
from register.store.migrations import VERSION, bring_up

# Where SQLite writes in its header that a file is kept with a write-ahead log, which a copy in memory cannot be.
WAL_MARKS = slice(18, 20)
NO_WAL = b"\1\1"
LOGS = ("-journal", "-wal")


@dataclass(frozen=True)
class Snapshot:
    """A copy of a register in memory: `content_hash` is that of the file's bytes, `form` the one that it had."""

    db: Database
    content_hash: str
    size: int
    form: int
    notes: tuple[str, ...]


@contextmanager
def snapshot(path: Path, *, checked: Iterable[str] = ()) -> Iterator[Snapshot]:
    """A register in memory, in the present form whatever its own.

    Parameters
    ----------
    checked : the tables whose pages are checked one by one; damage elsewhere is met where it is read.

    Errors: as of `database.opened`.
    """
    if not path.is_file():
        what = "this is a folder" if path.is_dir() else "there is no register here"
        raise RegisterMissing(Problem(what, "name the register's file", str(path)))
    with database.translated(path):
        data = _bytes(path)
        digest = hashlib.sha256(data).hexdigest()
        with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
            form, notes = _loaded(connection, data, path, tuple(checked))
            connection.execute("PRAGMA foreign_keys = ON")
            yield Snapshot(Database(connection), digest, len(data), form, notes)


def _bytes(path: Path) -> bytes:
    """The file's bytes, with no other program writing in between."""
    if any(path.with_name(path.name + log).exists() for log in LOGS):
        return _recovered(path)
    with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True, isolation_level=None)) as lock:
        try:
            lock.execute("BEGIN")
            # Reads the header alone, and holds the lock of a reader until the end.
            lock.execute("PRAGMA user_version").fetchone()
        except sqlite3.DatabaseError as error:
            if error.sqlite_errorname.startswith(("SQLITE_BUSY", "SQLITE_CANTOPEN", "SQLITE_IOERR")):
                raise
        return path.read_bytes()


def _recovered(path: Path) -> bytes:
    """What the file is once a write that was cut off is undone, or its log taken in: worked out in a copy."""
    with TemporaryDirectory(prefix="startroll-") as folder:
        copy = Path(folder) / path.name
        for name in ("", *LOGS):
            source = path.with_name(path.name + name)
            if source.exists():
                shutil.copyfile(source, Path(folder) / source.name)
        with closing(sqlite3.connect(copy)) as connection:
            connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
            return connection.serialize()


def _loaded(
    connection: sqlite3.Connection, data: bytes, path: Path, checked: tuple[str, ...]
) -> tuple[int, tuple[str, ...]]:
    """Put the bytes into a connection and bring them into the present form; the form they had, and what is odd."""
    whole = len(data) >= database.HEADER_BYTES
    if whole and data[WAL_MARKS] != NO_WAL:
        data = data[: WAL_MARKS.start] + NO_WAL + data[WAL_MARKS.stop :]
    if whole:
        connection.deserialize(data)
    form = database.form_of(connection, path, len(data))
    pages, page_bytes = (connection.execute(f"PRAGMA {name}").fetchone()[0] for name in ("page_count", "page_size"))
    if len(data) < pages * page_bytes or not _sound(connection, checked):
        raise database.damaged(path, "the file is damaged")
    if form < 1:
        raise database.damaged(path, database.NO_FORM.format(form))
    found = form_check.faults(connection, earlier=form < VERSION)
    if form < VERSION or found:
        connection.execute("BEGIN IMMEDIATE")
        form_check.drop_foreign(connection)
        bring_up(Database(connection))
        connection.execute("COMMIT")
    database.check_columns(connection, path)
    told = form_check.told(found, str(path)) if found else None
    return form, tuple(notice.cause for notice in (locks.told(path), told) if notice)


def _sound(connection: sqlite3.Connection, tables: tuple[str, ...]) -> bool:
    there = {name for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")}
    checks = (connection.execute(f"PRAGMA quick_check({name})").fetchone()[0] for name in tables if name in there)
    return all(answer == "ok" for answer in checks)
