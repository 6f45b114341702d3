"""What was entered at some positions, as rows of the base: read from a register, or from facts made of it."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from typing import Any, Protocol

from sqlite_utils import Database

from register.facts import changes
from register.facts.assumptions import Assumption
from register.facts.base import BASE, base_sql, believed

TAG = list(BASE).index("tag")
Row = dict[str, Any]


class EnteredRows(Protocol):
    """Where base rows come from."""

    @property
    def exempt(self) -> Mapping[str, frozenset[str]]:
        """For a column with an assumed value, the keys of the rows where it does not apply."""

    def rows(self, tags: Iterable[str], *, read: Container[str] = BASE) -> dict[str, Row]:
        """The base row of each of these positions, by column in the order of the base.

        Columns that are not among those to `read` may be blank in it.
        """


class OfRegister:
    """Base rows read from an open register."""

    def __init__(self, db: Database, assumptions: Iterable[Assumption]) -> None:
        self._db = db
        self.exempt: Mapping[str, frozenset[str]] = changes.not_applicable(db.conn, assumptions)

    def rows(self, tags: Iterable[str], *, read: Container[str] = BASE) -> dict[str, Row]:
        """The base row of each of these positions, without what cannot be believed."""
        changes.hold(self._db.conn, tags)
        found = self._db.conn.execute(base_sql(touched_only=True)).fetchall()
        return {row[TAG]: dict(zip(BASE, row, strict=True)) for row in believed(found)}


class OfFacts:
    """Base rows taken out of a table of facts, for positions of several registers that lie there side by side.

    A fact that was entered is the base's own value; one that was assumed was a blank.
    """

    def __init__(self, db: Database, assumptions: Iterable[Assumption]) -> None:
        self._db, self._assumptions = db, tuple(assumptions)
        self.exempt: Mapping[str, frozenset[str]] = {a.column: frozenset() for a in self._assumptions}

    def rows(self, tags: Iterable[str], *, read: Container[str] = BASE) -> dict[str, Row]:
        """The base row of each of these positions, blank in the columns that are not read."""
        names = [name for name in BASE if name == "tag" or name in read]
        assumed = [(1 << a.bit, a.column) for a in self._assumptions if a.column in names]
        changes.hold(self._db.conn, tags)
        sql = f"SELECT {', '.join(names)}, stand_ins FROM facts WHERE tag IN (SELECT tag FROM temp.touched)"
        blank, found = dict.fromkeys(BASE), {}
        for row in self._db.conn.execute(sql):
            # Without the last, which tells what was assumed.
            own = found[row[names.index("tag")]] = blank | dict(zip(names, row, strict=False))
            for bit, name in assumed if row[-1] else ():
                if row[-1] & bit:
                    own[name] = None
        return found
