"""The positions that a filter selects: an expression in the rules' language, checked as theirs and only read."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, replace
from datetime import date

from sqlite_utils import Database

from register.errors import Problem, StartrollError
from register.rulebook.check.expression_check import Checked, check
from register.rulebook.check.kinds import Fault
from register.rulebook.clauses import filled
from register.rulebook.model import TODAY
from register.rulebook.run.compiled import compiled
from register.rulebook.run.guard import Overrun, guarded
from register.rulebook.tables import facts_table
from register.store.queries import positions

DEADLINE_S = 60.0
EVERYWHERE = "tag <> ''"
HIDES = "this turns unknown into known: the filter would select positions of which nobody knows that they belong there"


@dataclass(frozen=True)
class Selection:
    """The tags for which a filter is true, and those for which it is unknown."""

    tags: tuple[str, ...]
    untold: tuple[str, ...]


def select(db: Database, where: str, *, today: date, area: str | None = None) -> Selection:
    """The positions for which a filter is true; of one area, if asked. The facts must be up to date.

    Raises StartrollError with everything that is wrong in the filter, or when there is no such area.
    """
    check_filter(where)
    tags = None if area is None else [row["tag"] for row in positions(db, area=area)]
    sql = f"SELECT tag, ({filled(compiled(where).sql, ':{}'.format)}) FROM facts"
    if tags is not None:
        sql += " WHERE tag IN (SELECT value FROM json_each(:tags))"
    values = {TODAY: today.isoformat(), "tags": json.dumps(tags)}
    try:
        with guarded(db.conn, deadline_s=DEADLINE_S):
            rows = db.conn.execute(f"{sql} ORDER BY +tag", values).fetchall()
    except Overrun:
        raise _wrong(where, f"the filter took longer than {DEADLINE_S:g} s and was stopped") from None
    except sqlite3.Error as error:
        raise _wrong(where, f"SQLite refuses it: {error}") from None
    return Selection(tuple(t for t, truth in rows if truth), tuple(t for t, truth in rows if truth is None))


def check_filter(where: str) -> None:
    """Raise StartrollError with everything that is wrong in a filter."""
    found = _checked(where, deliberate=False)
    if found.hides_unknown and not _checked(where, deliberate=True).faults:
        remedy = "leave IS NULL, COALESCE and CASE out; a value is written only where the column is blank anyway"
        raise StartrollError(_problem(where, Fault(HIDES, remedy, found.faults[0].start, found.faults[0].width)))
    if found.faults:
        raise StartrollError(_problem(where, _of_no_limit(where, fault)) for fault in found.faults)


def quoted(text: str) -> str:
    """A text as it stands in a filter: in single quotes, its own doubled."""
    return "'" + text.replace("'", "''") + "'"


def _checked(where: str, *, deliberate: bool) -> Checked:
    with closing(sqlite3.connect(":memory:")) as empty:
        empty.execute(facts_table())
        return check(where, wants="truth", limits={}, deliberate=deliberate, connection=empty)


def _of_no_limit(where: str, fault: Fault) -> Fault:
    """A fault; where it is about a limit, with the remedy of a filter, which has none."""
    return replace(fault, remedy="write its value") if where[fault.start : fault.start + 1] == ":" else fault


def _wrong(where: str, cause: str) -> StartrollError:
    return StartrollError(Problem(cause, "write the filter plainer", "--where", where))


def _problem(where: str, fault: Fault) -> Problem:
    """A fault with its line of the filter and a caret under it."""
    before = 0
    for line in _lines(where):
        if fault.start <= before + len(line):
            break
        before += len(line) + 1
    return Problem(
        fault.cause, fault.remedy, "--where", excerpt=line, column=max(0, fault.start - before), width=fault.width
    )


def _lines(text: str) -> Iterator[str]:
    yield from text.split("\n")
