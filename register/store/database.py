"""Make, open, write and copy a register: one SQLite file, one writer at a time."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from sqlite_utils import Database

from register import columns
from register.errors import (
    Problem,
    RegisterBusy,
    RegisterDamaged,
    RegisterError,
    RegisterMissing,
    RegisterNewer,
)
from register.store.migrations import STEPS, VERSION

APPLICATION_ID = 0x53524F4C


def create(path: Path, site: Mapping[str, object]) -> None:
    """Make an empty register for a site; RegisterError when the file or the site will not do."""
    if path.exists():
        raise RegisterError(
            Problem("there is a file of that name already", "name another, or move it", str(path))
        )
    words = columns.TABLES["site"].column("practice").choices
    if not site.get("site") or site.get("practice") not in words:
        raise RegisterError(
            Problem("a site needs a name and its practice", f"practice is one of {words}")
        )
    with _translated(path):
        connection = sqlite3.connect(path, isolation_level=None)
        try:
            connection.execute("BEGIN IMMEDIATE")
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            _migrate(connection, since=0)
            names = ", ".join(site)
            marks = ", ".join("?" * len(site))
            connection.execute(f"INSERT INTO site ({names}) VALUES ({marks})", list(site.values()))
            connection.execute("COMMIT")
        except BaseException:
            connection.close()
            path.unlink(missing_ok=True)
            raise
        connection.close()


def _migrate(connection: sqlite3.Connection, *, since: int) -> None:
    for step in STEPS[since:]:
        step(connection)
    connection.execute(f"PRAGMA user_version = {VERSION}")


@contextmanager
def opened(path: Path, *, write: bool = False) -> Iterator[Database]:
    """A register, open; refused when it is missing, damaged, newer, or not a register."""
    if not path.is_file():
        raise RegisterMissing(
            Problem("there is no register here", "startroll new makes one", str(path))
        )
    with _translated(path):
        mode = "rw" if write else "ro"
        connection = sqlite3.connect(f"{path.resolve().as_uri()}?mode={mode}", uri=True)
        connection.isolation_level = None
        try:
            _check(connection, path, write=write)
            connection.execute("PRAGMA foreign_keys = ON")
            yield Database(connection)
        finally:
            connection.close()


def _check(connection: sqlite3.Connection, path: Path, *, write: bool) -> None:
    if connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
        raise RegisterDamaged(
            Problem("this is another program's database, not a register",
                    "name a register that startroll made", str(path))
        )  # fmt: skip
    version = connection.execute("PRAGMA user_version").fetchone()[0]
    if version > VERSION:
        raise RegisterNewer(
            Problem(f"made by a later version (form {version}; this program knows {VERSION})",
                    "bring startroll up to date", str(path))
        )  # fmt: skip
    if connection.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
        raise RegisterDamaged(
            Problem("the file is damaged", "go back to the last backup", str(path))
        )


@contextmanager
def writing(
    db: Database, *, reason: str, author: str = "", source_file: str = "", source_hash: str = ""
) -> Iterator[int]:
    """The one write transaction: everything inside lands together, under one change-set."""
    connection = db.conn
    with _translated(Path(connection.execute("PRAGMA database_list").fetchone()[2])):
        connection.execute("BEGIN IMMEDIATE")
        try:
            made_on = datetime.now(UTC).isoformat(timespec="seconds")
            number = connection.execute(
                "INSERT INTO change_set (made_on, author, reason, source_file, source_hash)"
                " VALUES (?, ?, ?, ?, ?)", (made_on, author, reason, source_file, source_hash),
            ).lastrowid  # fmt: skip
            connection.execute("INSERT INTO open_change_set VALUES (1, ?)", (number,))
            yield number
            connection.execute("DELETE FROM open_change_set")
            connection.execute("COMMIT")
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise


def backup(path: Path, target: Path) -> Path:
    """Copy the register and check the copy; RegisterError when `target` exists or is unsound."""
    if target.exists():
        raise RegisterError(
            Problem("there is a file of that name already", "name another", str(target))
        )
    with opened(path) as db, _translated(target):
        db.conn.execute("VACUUM INTO ?", (str(target),))
    with opened(target) as copy:
        whole = copy.conn.execute("PRAGMA integrity_check(1)").fetchone()[0] == "ok"
        if not whole or copy.conn.execute("PRAGMA foreign_key_check").fetchone():
            raise RegisterDamaged(
                Problem("the copy is not sound", "check the disk; the register is untouched",
                        str(target))
            )  # fmt: skip
    return target


@contextmanager
def _translated(path: Path) -> Iterator[None]:
    """SQLite's own errors, said with place, cause and remedy."""
    try:
        yield
    except sqlite3.OperationalError as error:
        cause, remedy = str(error), "check that the folder exists and can be written"
        if "locked" in cause:
            cause = "another program is writing to it"
            remedy = "close that one, or try again in a minute"
        elif "full" in cause:
            cause, remedy = "the disk is full", "make room; nothing was changed"
        raise RegisterBusy(Problem(cause, remedy, str(path))) from None
    except sqlite3.DatabaseError as error:
        if isinstance(error, sqlite3.IntegrityError):
            raise
        raise RegisterDamaged(
            Problem(f"this is no sound register ({error})", "go back to the last backup", str(path))
        ) from None
