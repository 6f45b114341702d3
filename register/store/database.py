"""Make, open, write and copy a register: one SQLite file, one writer at a time."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from register import columns
from register.errors import (
    Problem,
    RegisterBusy,
    RegisterDamaged,
    RegisterError,
    RegisterMissing,
    RegisterNewer,
    StartrollError,
)
from register.store import clock, empty_register, form_check, locks, seals
from register.store.migrations import VERSION, bring_up
from register.store.other_kind import of_another_kind, too_short
from register.store.output_file import aside, put, refuse_taken
from register.store.rows import add as add_row
from register.store.trouble import trouble

APPLICATION_ID = 0x53524F4C
HEADER_BYTES = 100
# A register that is larger is not read as a whole each time that it is opened; startroll backup does.
CHECKED_WHOLE_BYTES = 32 * 2**20
COLUMNS_THERE = (
    "SELECT form.name, part.name FROM sqlite_schema AS form, pragma_table_info(form.name) AS part"
    " WHERE form.type = 'table'"
)
FORM_OF_TABLES = "SELECT name, sql FROM sqlite_schema WHERE type = 'table' ORDER BY name"
# The tables of the last register that had every column: most registers are of one form.
_COMPLETE: list[tuple[str, str]] = []

NO_FORM = "form {} is none that a register ever had"

# What a person is to be told of the registers that this process opened, whatever it did with them.
NOTICES: list[Problem] = []


def create(path: Path, site: Mapping[str, object]) -> None:
    """Make an empty register for a site; StartrollError when the file or the site will not do."""
    refuse_taken(path)
    locks.check(path)
    wrong = [p for c in columns.TABLES["site"].columns for p in _not_believed(c, site.get(c.name))]
    if wrong:
        raise StartrollError(wrong)
    with translated(path), aside(path) as part:
        with closing(empty_register.made()) as made:
            made.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            Database(made).table("site").insert(dict(site))
            with closing(sqlite3.connect(part)) as file:
                made.backup(file)
        put(part, path)


def _not_believed(column: columns.Column, value: Any) -> Iterator[Problem]:
    if column.name == "time_zone" and value:
        try:
            clock.zone_named(value)
        except StartrollError as error:
            yield from error.problems
    elif value in (None, ""):
        if column.required:
            yield Problem(f"{column.sentence}: it is missing", "a site needs it", column.name)
    elif column.choices and value not in column.choices:
        words = ", ".join(column.choices)
        yield Problem(f"{column.sentence}: not {value!r}", f"one of {words}", column.name)
    elif column.is_number and not column.low <= value <= column.high:
        yield Problem(
            f"{column.sentence}: {value:g} {column.unit} is not to be believed",
            f"{column.low:g} to {column.high:g} {column.unit}",
            column.name,
        )


class _Connection(sqlite3.Connection):
    """A connection that knows what another program did to the form of its register."""

    faults: tuple[str, ...] = ()


@contextmanager
def opened(path: Path, *, write: bool = False) -> Iterator[Database]:
    """A register, open; refused when it is missing, damaged, newer, or not a register.

    An older one is brought up to date: in the file when it is opened to `write`, else in a copy that is forgotten.
    One whose triggers or views another program touched is read, with its own ones, in such a copy; to write to it is
    refused by `writing`. Where file locks do not hold, it is read and told of, and not opened to write.
    """
    if not path.is_file():
        what = "this is a folder" if path.is_dir() else "there is no register here"
        raise RegisterMissing(Problem(what, "name the register's file; startroll new makes one", str(path)))
    if write:
        locks.check(path)
    unsafe = locks.told(path)
    NOTICES.extend([unsafe] if unsafe else [])
    with translated(path):
        if not write and not unsafe:
            _undo_cut_off(path)
        connection = _connected(path, "rw" if write else "ro")
        try:
            form = _check(connection, path)
            if form == VERSION:
                check_columns(connection, path)
            found = form_check.faults(connection, earlier=form < VERSION)
            if found:
                NOTICES.append(form_check.told(found, str(path)))
            if write:
                _without_write_ahead(connection)
            if form < VERSION or found:
                connection = _brought_up(connection, write=write and not found)
                connection.faults = tuple(found)
            check_columns(connection, path)
            connection.execute("PRAGMA foreign_keys = ON")
            yield Database(connection)
        finally:
            connection.close()


def _connected(path: Path, mode: str) -> _Connection:
    uri = f"{path.resolve().as_uri()}?mode={mode}"
    return sqlite3.connect(uri, uri=True, isolation_level=None, factory=_Connection)


def _without_write_ahead(connection: sqlite3.Connection) -> None:
    """Give a register its rollback journal back: a write-ahead log, which another program began, fails on a share."""
    if connection.execute("PRAGMA journal_mode").fetchone()[0] == "wal":
        connection.execute("PRAGMA journal_mode = DELETE")


def _undo_cut_off(path: Path) -> None:
    """Let SQLite take back what a writer that was cut off left: a mere reader may not."""
    if path.with_name(f"{path.name}-journal").exists():
        # Where this fails, the reading that follows says why.
        with suppress(sqlite3.Error), closing(_connected(path, "rw")) as connection:
            connection.execute("SELECT 1 FROM sqlite_schema")


def _brought_up(connection: _Connection, *, write: bool) -> _Connection:
    """The register in the present form; an earlier version may have made it, another program may have touched it."""
    if not write:
        # A file of no name: SQLite keeps it in memory while it is small, on the disk when not, and takes it away.
        copy = sqlite3.connect("", isolation_level=None, factory=_Connection)
        connection.backup(copy)
        connection.close()
        connection = copy
    with connection:
        connection.execute("BEGIN IMMEDIATE")
        form_check.drop_foreign(connection)
        bring_up(Database(connection))
    return connection


def form_of(connection: sqlite3.Connection, path: Path, size: int) -> int:
    """The form that a register of `size` bytes says it has; refused when it is none, or of a later version."""
    if size < HEADER_BYTES:
        raise too_short(path, size)
    if connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
        raise RegisterDamaged(
            Problem(
                "this is another program's database, not a register", "name a register that startroll made", str(path)
            )
        )
    version = connection.execute("PRAGMA user_version").fetchone()[0]
    if version > VERSION:
        raise RegisterNewer(
            Problem(
                f"made by a later version (form {version}; this program knows {VERSION})",
                "bring startroll up to date",
                str(path),
            )
        )
    return version


def _check(connection: sqlite3.Connection, path: Path) -> int:
    """The form of a register; refused when the file is none, damaged, or of a later version."""
    size = path.stat().st_size
    version = form_of(connection, path, size)
    _check_pages(connection, path, size)
    if version < 1:
        raise damaged(path, NO_FORM.format(version))
    return version


def _check_pages(connection: sqlite3.Connection, path: Path, size: int) -> None:
    """Refuse a damaged file; of a large one only its length is checked, and the rest where it is read."""
    if size <= CHECKED_WHOLE_BYTES:
        whole = connection.execute("PRAGMA quick_check(1)").fetchone()[0] == "ok"
    else:
        pages, page_bytes = (connection.execute(f"PRAGMA {name}").fetchone()[0] for name in ("page_count", "page_size"))
        whole = size >= pages * page_bytes
    if not whole:
        raise damaged(path, "the file is damaged")


def check_columns(connection: sqlite3.Connection, path: Path) -> None:
    """Refuse a register that lacks a column."""
    form = connection.execute(FORM_OF_TABLES).fetchall()
    if form == _COMPLETE:
        return
    there = set(connection.execute(COLUMNS_THERE))
    missing = [name for name in _named() if name not in there]
    if missing:
        raise damaged(path, f"it lacks {', '.join('.'.join(name) for name in missing[:5])}")
    _COMPLETE[:] = form


def _named() -> Iterator[tuple[str, str]]:
    return ((table.name, c.name) for table in columns.TABLES.values() for c in table.columns)


def damaged(path: Path, cause: str) -> RegisterDamaged:
    """The error of a register that cannot be relied on."""
    return RegisterDamaged(Problem(cause, "go back to the last backup, or to the program that made it", str(path)))


@contextmanager
def writing(
    db: Database, *, reason: str, author: str = "", source_file: str = "", source_hash: str = "", dry: bool = False
) -> Iterator[int]:
    """The one write transaction: everything inside lands together, under one change-set; or, `dry`, nothing does."""
    if not reason.strip():
        raise StartrollError(Problem("a change needs its reason", "say what was seen, and where"))
    connection = db.conn
    place = connection.execute("PRAGMA database_list").fetchone()[2]
    if found := getattr(connection, "faults", ()):
        raise form_check.refused(found)
    with translated(Path(place)):
        connection.execute("BEGIN IMMEDIATE")
        try:
            head = {"author": author, "reason": reason, "source_file": source_file, "source_hash": source_hash}
            with _change_set(db, head) as number:
                yield number
            connection.execute("ROLLBACK" if dry else "COMMIT")
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise


@contextmanager
def _change_set(db: Database, head: dict[str, str]) -> Iterator[int]:
    """A change-set, open while something is written in the transaction that is under way, sealed at the end."""
    head["made_on"] = datetime.now(UTC).isoformat(timespec="seconds")
    number = add_row(db, "change_set", head)
    db.conn.execute("INSERT INTO open_change_set VALUES (1, ?)", (number,))
    yield number
    db.conn.execute("DELETE FROM open_change_set")
    # Change-sets that were taken over from a copy follow the one that took them.
    seals.seal(db.conn, db.conn.execute("SELECT max(change_set) FROM change_set").fetchone()[0])


def backup(path: Path, target: Path) -> Path:
    """Copy the register and check the copy; StartrollError when `target` exists or is unsound."""
    refuse_taken(target)
    with opened(path) as db, translated(target), aside(target) as part:
        db.conn.execute("VACUUM INTO ?", (str(part),))
        with closing(_connected(part, "ro")) as copy:
            if not _sound(copy) or copy.execute("PRAGMA foreign_key_check").fetchone():
                raise RegisterDamaged(
                    Problem(
                        "the copy is not sound and was removed",
                        "check the disk; the register is untouched",
                        str(target),
                    )
                )
        put(part, target)
    return target


def repair(path: Path, *, author: str = "") -> list[str]:
    """Put a register's own triggers and views back and record that; what was wrong, [] where nothing was.

    What was changed while a trigger was missing is not in the history, and cannot be put there.
    """
    locks.check(path)
    with translated(path), closing(_connected(path, "rw")) as connection:
        form = _check(connection, path)
        found = form_check.faults(connection, earlier=form < VERSION)
        if not found:
            return []
        db, reason = Database(connection), f"triggers and views put back: {'; '.join(found)}"
        with connection:  # all of it, and that it was done, or nothing
            connection.execute("BEGIN IMMEDIATE")
            form_check.drop_foreign(connection)
            bring_up(db)
            with _change_set(db, {"author": author, "reason": reason, "source_file": "", "source_hash": ""}):
                pass
    return found


def _sound(connection: sqlite3.Connection) -> bool:
    """True where SQLite has read all of a register and found it whole."""
    try:
        return connection.execute("PRAGMA integrity_check(1)").fetchone()[0] == "ok"
    except (sqlite3.DatabaseError, UnicodeDecodeError):  # what is wrong is told in letters that are none
        return False


@contextmanager
def translated(path: Path) -> Iterator[None]:
    """SQLite's own errors, said with place, cause and remedy."""
    try:
        yield
    except (sqlite3.IntegrityError, sqlite3.ProgrammingError):
        raise
    except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
        if _interrupted(error):
            raise KeyboardInterrupt from None
        if known := trouble(error):
            raise RegisterBusy(Problem(*known, str(path))) from None
        raise _explained(path, error) from None


def _interrupted(error: BaseException) -> bool:
    """True for an error that an interrupt led to: whoever took back what was not begun yet."""
    before = error.__context__
    return before is not None and (isinstance(before, KeyboardInterrupt) or _interrupted(before))


def _explained(path: Path, error: Exception) -> RegisterError:
    """Why SQLite gave up: damage only where reading all of the file has just shown it."""
    try:
        with closing(_connected(path, "ro")) as connection:
            whole = _sound(connection)
    except sqlite3.DatabaseError:
        whole = False
    if not whole:
        other = of_another_kind(path, "this is no sound register")
        return other or damaged(path, f"this is no sound register ({error})")
    if isinstance(error, UnicodeDecodeError):
        cause, remedy = "a text in it is not UTF-8; another program wrote it", "correct it with that program"
    else:
        cause, remedy = f"this could not be done ({error})", "do it again; nothing was changed"
    return RegisterError(Problem(f"the register is whole, but {cause}", remedy, str(path)))
