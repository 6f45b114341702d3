"""A seal on each change-set, a hash over it, its changes and the seal before: a history altered later is noticed.

What a seal covers is as it was when it was sealed. Whoever alters the history and makes all later seals anew is
noticed only by those who kept the last one elsewhere: `startroll verify REGISTER` prints it.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass

SETS = (
    "SELECT change_set, made_on, author, reason, source_file, source_hash FROM change_set"
    " WHERE change_set > ? AND change_set <= ? ORDER BY change_set"
)
CHANGES = (
    "SELECT change_id, change_set, at, table_name, row_key, tag, tag_before, action, before, after FROM change"
    " WHERE change_id > ? AND change_id <= ? ORDER BY change_id"
)
LAST = "SELECT change_set, through, seal FROM change_seal ORDER BY change_set DESC LIMIT 1"
# The row of the site comes with the register itself, before there is a change-set.
OUTSIDE = "SELECT count(*) FROM change WHERE change_set IS NULL AND NOT (table_name = 'site' AND action = 'insert')"
NOTHING = (0, 0, "")


@dataclass(frozen=True, slots=True)
class Sealed:
    """What the seals of a register say.

    `wrong` is the first change-set whose seal does not fit, None where all fit; `seal` the last seal; `unsealed`
    how many changes came after it; `outside` how many changes another program made, which are of no change-set.
    """

    change_sets: int
    seal: str
    wrong: int | None
    unsealed: int
    outside: int


def seal(connection: sqlite3.Connection, change_set: int) -> None:
    """Seal a change-set and whatever came since the last seal; belongs at the end of its transaction."""
    before_set, before_change, before = connection.execute(LAST).fetchone() or NOTHING
    through = connection.execute("SELECT coalesce(max(change_id), 0) FROM change").fetchone()[0]
    made = _hash(connection, before, (before_set, change_set), (before_change, through))
    connection.execute("INSERT INTO change_seal VALUES (?, ?, ?)", (change_set, through, made))


def checked(connection: sqlite3.Connection) -> Sealed:
    """Every seal computed again from the history."""
    at = NOTHING
    wrong = None
    seals = connection.execute("SELECT change_set, through, seal FROM change_seal ORDER BY change_set").fetchall()
    for number, through, said in seals:
        if wrong is None and _hash(connection, at[2], (at[0], number), (at[1], through)) != said:
            wrong = number
        at = (number, through, said)
    last = connection.execute("SELECT coalesce(max(change_id), 0) FROM change").fetchone()[0]
    if wrong is None and seals and last < at[1]:
        wrong = at[0]  # its last changes are gone
    unsealed = connection.execute("SELECT count(*) FROM change WHERE change_id > ?", (at[1],)).fetchone()[0]
    outside = connection.execute(OUTSIDE).fetchone()[0]
    return Sealed(len(seals), at[2], wrong, unsealed, outside)


def holds(connection: sqlite3.Connection, expected: str) -> bool:
    """True where the seal is one of the register's, the last or an earlier one."""
    return connection.execute("SELECT 1 FROM change_seal WHERE seal = ?", (expected.strip(),)).fetchone() is not None


def _hash(connection: sqlite3.Connection, before: str, sets: tuple[int, int], changes: tuple[int, int]) -> str:
    made = hashlib.sha256(before.encode())
    for sql, between in ((SETS, sets), (CHANGES, changes)):
        for line in _lines(connection, sql, between):
            made.update(line)
    return made.hexdigest()


def _lines(connection: sqlite3.Connection, sql: str, between: tuple[int, int]) -> Iterator[bytes]:
    for row in connection.execute(sql, between):
        yield json.dumps(row, ensure_ascii=False, separators=(",", ":")).encode("utf-8", "surrogatepass") + b"\n"
