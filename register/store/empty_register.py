"""A register that holds nothing: its steps run once in a process, whatever number of registers it makes."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from functools import cache
from pathlib import Path

from sqlite_utils import Database

from register.store import migrations


def made() -> sqlite3.Connection:
    """A register that holds nothing, in memory, with a number of its own."""
    connection = sqlite3.connect(":memory:", isolation_level=None)
    connection.deserialize(_form(tuple(migrations.step_files())))
    if Database(connection)["identity"].exists():
        connection.execute("UPDATE identity SET register_id = lower(hex(randomblob(16)))")
    return connection


@cache
def _form(steps: tuple[Path, ...]) -> bytes:
    """What these steps make of nothing; what is random in it has to be drawn anew for each register."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        connection.execute("BEGIN")
        migrations.bring_up(Database(connection))
        connection.execute("COMMIT")
        return connection.serialize()
