"""Facts of several registers side by side in one scratch file, so that they are judged in one scan."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from sqlite_utils import Database

from register import columns
from register.audit.judge import Standards
from register.facts.build import SQL_TYPE, refresh
from register.facts.subjects import lay

# Behind a tag, a bus or a serial: which register it is of. No entry holds such a sign.
MARK = "\x1f"
_NAMED = {"position": ("tag", "bus"), "bus": ("bus",), "device in store": ("device",)}
_WHERE = "joined"


@dataclass(frozen=True)
class Joined:
    """The scratch file, open: `facts`, `bus_facts` and `store_facts` of all registers added."""

    db: Database
    path: Path

    def add(self, source: Database, number: int, standards: Standards) -> None:
        """Add the facts of an open register, brought up to date in it or beside it."""
        conn = source.conn
        refresh(
            source, tables=standards.tables, assumptions=standards.assumptions, measured_only=standards.measured_only
        )
        lay(conn, standards.assumptions)
        conn.execute("ATTACH ? AS " + _WHERE, (str(self.path),))
        try:
            conn.execute(f"PRAGMA {_WHERE}.synchronous = OFF")
            conn.execute(f"PRAGMA {_WHERE}.journal_mode = OFF")
            conn.execute("BEGIN")
            for subject in columns.SUBJECTS.values():
                names = (*subject.columns, "stand_ins")
                marked = (f"{n} || '{MARK}{number}'" if n in _NAMED[subject.name] else n for n in names)
                conn.execute(
                    f"INSERT INTO {_WHERE}.{subject.relation} ({', '.join(names)})"
                    f" SELECT {', '.join(marked)} FROM {subject.relation}"
                )
            conn.execute("COMMIT")
        finally:
            if conn.in_transaction:
                conn.execute("ROLLBACK")
            conn.execute("DETACH " + _WHERE)


@contextmanager
def joined(folder: Path) -> Iterator[Joined]:
    """An empty scratch file in a folder, for the facts of several registers; gone at the end."""
    path = folder / "joined.db"
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA synchronous = OFF")
        connection.execute("PRAGMA journal_mode = OFF")
        for subject in columns.SUBJECTS.values():
            typed = ", ".join(f"{c.name} {SQL_TYPE[c.kind]}" for c in subject.columns.values())
            typed = typed.replace(f"{subject.key} TEXT", f"{subject.key} TEXT PRIMARY KEY", 1)
            connection.execute(f"CREATE TABLE {subject.relation} ({typed}, stand_ins INTEGER NOT NULL) STRICT")
        try:
            yield Joined(Database(connection), path)
        finally:
            path.unlink()
