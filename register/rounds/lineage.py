"""The history of a register since it parted from another, told so that both can be compared.

A row is known by its `Born`: its table and the key that it had when the two parted, or when it was entered. So a motor
whose serial was read meanwhile is the same motor; and where a column refers to a row, its value is that row's `Born`.
"""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from sqlite_utils import Database

from register.columns import TABLES
from register.columns.renamed import row_now
from register.store.queries import key_text
from register.store.taken_back import NOTES, undone
from register.store.triggers import BLANK
from register.text import whole

Row = dict[str, Any]


class Born(NamedTuple):
    """A row by its table and the key with which it began."""

    table: str
    name: str


REFERS = {t.name: {c.name: c.references for c in t.columns if c.references} for t in TABLES.values()}
NUMBERED = {t.name for t in TABLES.values() if len(t.key) == 1 and t.column(t.key[0]).kind == "integer"}


@dataclass(slots=True)
class Step:
    """One recorded change of a row, or (`action` "blank") of why one of its columns is blank.

    `name` tells it from every other, also in a register that took it back; `before` and `after` are values by column,
    whole rows where one came or went.
    """

    name: str
    change_set: int | None
    at: str
    action: str
    born: Born
    before: Row
    after: Row
    key_before: str = ""
    key_after: str = ""


@dataclass
class Lineage:
    """The steps of a register after a change that it shares with another."""

    db: Database
    since: int
    steps: list[Step] = field(default_factory=list)
    _now: dict[Born, Row | None] = field(default_factory=dict)
    _born: dict[Born, Born] = field(default_factory=dict)
    _key: dict[Born, str | None] = field(default_factory=dict)
    _gone: dict[Born, Step] = field(default_factory=dict)
    _reason: dict[str, str | None] = field(default_factory=dict)
    _why: dict[Born, Row] = field(default_factory=dict)

    def __post_init__(self) -> None:
        log = list(self.db.query("SELECT * FROM change WHERE change_id > ? ORDER BY change_id", [self.since]))
        told = [self._read(row) for row in log]
        for step in reversed(told):
            self._wind_back(step)
        gone = undone(self.db)
        self.cancelled = gone | self._undoing(gone, {step.change_set for step in told})
        renamings = _renamings(told)
        for place, step in enumerate(told):
            self._name(step, place, renamings)
        self.steps = told
        self.names = {s.name for s in told if s.change_set not in gone}
        self.of: dict[Born, list[Step]] = defaultdict(list)
        for step in told:
            self.of[step.born].append(step)
        self._now = {}

    def _undoing(self, gone: set[int], told: set[int | None]) -> set[int]:
        """The change-sets that undo what is told here too; one that undoes what both had is news."""
        heads = self.db.execute("SELECT change_set, undoes, taken_in FROM change_set").fetchall()
        here = told | {taken_in for number, _, taken_in in heads if number in told}
        return {number for number, undoes, _ in heads if undoes in gone and undoes in here and number not in gone}

    def _read(self, row: Row) -> Step:
        before, after = (row_now(json.loads(row[half] or "{}")) for half in ("before", "after"))
        born = Born(row["table_name"], row["row_key"])
        return Step(_name_of(row), row["change_set"], row["at"], row["action"], born, before, after)

    def _wind_back(self, step: Step) -> None:
        """Complete a step from the rows as they were behind it, and undo it in them."""
        table, key = step.born
        step.key_before = step.key_after = key
        if step.action in NOTES or table == BLANK.name:
            return
        if step.action == "delete":
            self._now[step.born] = dict(step.before)
        elif step.action == "insert":
            step.after = dict(self.fetched(step.born) or {})
            self._now[step.born] = None
        else:
            was = (self.fetched(step.born) or {}) | step.before
            step.key_before = key_text(TABLES[table], was) if set(TABLES[table].key) & set(step.before) else key
            self._now[step.born] = None
            self._now[Born(table, step.key_before)] = was

    def _name(self, step: Step, place: int, renamings: dict[Born, list[tuple[int, str]]]) -> None:
        """Give the row of a step, and the rows that it refers to, the names with which they began."""
        table = step.born.table
        if table == BLANK.name:
            self._name_blank(step)
            return
        for column, other in REFERS[table].items():
            # A row that refers follows the new key of the other, which is recorded a moment later.
            old, new = step.before.get(column), step.after.get(column)
            if old and new and any(p > place and k == old for p, k in renamings.get(Born(other, new), ())):
                del step.before[column], step.after[column]
            for half in (step.before, step.after):
                if half.get(column) is not None:
                    half[column] = self.born(other, half[column])
        own = Born(table, step.key_before)
        step.born = self._begin(step) if step.action == "insert" else self.born(*own)
        if step.key_before != step.key_after:
            self._born.pop(own, None)
        self._born[Born(table, step.key_after)] = step.born
        if step.action == "delete":
            self._gone[own] = step
        self._key[step.born] = None if step.action == "delete" else step.key_after

    def _begin(self, step: Step) -> Born:
        """The name of a row that came; of one that came back, the one that it had."""
        table, key = step.born
        gone = self._gone.get(step.born)
        # The number of a record that is gone may be given to another one.
        if gone is not None and (table not in NUMBERED or gone.before == step.after):
            return gone.born
        if table in NUMBERED:
            return Born(table, f"new {step.name}")
        parts = [step.after.get(name) for name in TABLES[table].key]
        born = Born(table, " | ".join(part.name if isinstance(part, Born) else str(part) for part in parts) or key)
        while self._key.get(born) is not None:
            born = Born(table, f"{born.name} again")
        return born

    def _name_blank(self, step: Step) -> None:
        """A note of why a column is blank is told of that column's row; that it followed a new key is not told."""
        table, rest = step.born.name.split(" | ", 1)
        key, column = rest.rsplit(" | ", 1)
        was = step.before
        old = f"{was.get('table_name', table)} | {was.get('row_key', key)} | {was.get('column_name', column)}"
        before = self._noted(old) if step.action == "update" else self._noted(step.born.name)
        after = None if step.action == "delete" else step.after.get("reason", before)
        self._reason[old], self._reason[step.born.name] = None, after
        step.action = "blank" if old == step.born.name and before != after and table in TABLES else "follows"
        step.born = self.born(table, key)
        step.after = {column: after, "": {n: v for n, v in step.after.items() if n.startswith("noted")}}
        step.before = {column: before}

    def _noted(self, place: str) -> str | None:
        """Why a cell was blank before the step that is being told."""
        if place not in self._reason:
            sql = (
                "SELECT action, json_extract(after, '$.reason') FROM change WHERE table_name = 'blank'"
                " AND row_key = ? AND change_id <= ? ORDER BY change_id DESC LIMIT 1"
            )
            row = self.db.execute(sql, [place, self.since]).fetchone()
            self._reason[place] = row[1] if row and row[0] != "delete" else None
        return self._reason[place]

    def born(self, table: str, key: Any) -> Born:
        """The row that has this key now."""
        asked = Born(table, str(key))
        return self._born.get(asked, asked)

    def key(self, born: Born) -> str | None:
        """The key that a row has now; None where it is gone, or never was."""
        if born in self._key:
            return self._key[born]
        return born.name if self.fetched(born) is not None else None

    def row(self, born: Born) -> Row | None:
        """A row as it is now, what it refers to as `Born`; None where there is none."""
        key = self.key(born)
        found = None if key is None else self.fetched(Born(born.table, key))
        if found is None:
            return None
        refers = REFERS[born.table]
        return {n: self.born(refers[n], v) if n in refers and v is not None else v for n, v in found.items()}

    def blanks(self, born: Born) -> Row:
        """Why the columns of a row are blank, by column."""
        if born not in self._why:
            key = self.key(born)
            if key is None and self.of[born]:
                key = self.of[born][-1].key_before  # of a row that is gone, the notes stay
            sql = "SELECT column_name, reason FROM blank WHERE table_name = ? AND row_key = ?"
            self._why[born] = dict(self.db.execute(sql, [born.table, key]).fetchall()) if key is not None else {}
        return dict(self._why[born])

    def fetched(self, place: Born) -> Row | None:
        """The row with a key, as it is in the register (or, while winding back, as it was)."""
        if place not in self._now:
            where, values = where_key(place)
            columns = ", ".join(c.name for c in TABLES[place.table].columns)
            found = next(self.db.query(f"SELECT {columns} FROM {place.table} WHERE {where}", values), None)
            self._now[place] = found
        return self._now[place]


def where_key(place: Born) -> tuple[str, list[Any]]:
    """SQL that finds the row with a key, and its values."""
    names = TABLES[place.table].key
    parts: list[Any] = place.name.rsplit(" | ", len(names) - 1)
    if place.table in NUMBERED:
        parts = [whole(place.name)]
    return " AND ".join(f"{name} = ?" for name in names), parts


def _renamings(steps: list[Step]) -> dict[Born, list[tuple[int, str]]]:
    """For each key that a row was given instead of another: where in the steps, and the key before."""
    found: dict[Born, list[tuple[int, str]]] = defaultdict(list)
    for place, step in enumerate(steps):
        if step.action == "update" and step.key_before != step.key_after:
            found[Born(step.born.table, step.key_after)].append((place, step.key_before))
    return found


def _name_of(row: Row) -> str:
    if row["origin"]:
        return str(row["origin"])
    parts = [row[n] for n in ("change_id", "at", "table_name", "row_key", "action", "before", "after")]
    return hashlib.blake2b(repr(parts).encode("utf-8", "surrogatepass"), digest_size=12).hexdigest()


def shared_until(one: Database, other: Database) -> int:
    """The last change that two registers have in common; 0 where they are not of one origin."""
    last = 0
    for mine, its in zip(_log(one), _log(other), strict=False):
        if mine != its:
            break
        last = mine[0]
    return last


def _log(db: Database) -> Iterator[tuple[Any, ...]]:
    sql = "SELECT change_id, at, table_name, row_key, action, before, after, origin FROM change ORDER BY change_id"
    return iter(db.execute(sql))
