"""A merge written into the register: every change of the copy in its order, under a change-set of its own."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping
from typing import Any

from sqlite_utils import Database

from register.columns import TABLES
from register.errors import Problem, StartrollError
from register.rounds.compared import Sight, cell_of
from register.rounds.lineage import NUMBERED, Born, Row, Step, where_key
from register.rounds.merge_model import OF_A_POSITION, STATUS, MergePlan
from register.store import origins
from register.store.history import OUTSIDE
from register.store.taken_back import (
    CONFIRMED,
    KEPT_HERE,
    broken_references,
    carry,
    last_change,
    mark,
    note,
    places_shared,
    record_under,
)  # fmt: skip
from register.store.triggers import KEPT

# The table whose key the key of another begins with.
PARENT = {"setting": "device", "protection": "position", "bypass": "position", "control": "position"}
HEAD = ("author", "reason", "source_file", "source_hash", "made_on")


class Writer:
    """Enters what the plan takes; belongs inside `database.writing`, whose change-set is `number`."""

    def __init__(self, db: Database, number: int, plan: MergePlan, ours: Sight, theirs: Sight) -> None:
        self.db, self.number, self.plan, self.ours, self.theirs = db, number, plan, ours, theirs
        self.sets: dict[int | None, int] = {}
        self.renumbered: list[str] = []
        self.came = self.went = 0
        self._key: dict[Born, str | None] = {b: ours.lineage.key(own) for b, own in plan.same_rows.items()}
        self._renamed: dict[Born, str] = {}
        self._aside: dict[Born, Row] = {}
        self._last_outside: int | None = None

    def write(self) -> None:
        """Enter everything; StartrollError where the register would not be sound."""
        self.db.conn.execute("PRAGMA defer_foreign_keys = ON")
        try:
            with places_shared(self.db.conn):
                gone = [self.key(position) for position in self.plan.goes]
                self._beforehand()
                for step in self.theirs.news:
                    self._step(step)
                record_under(self.db, self.number)
                self._afterwards(gone)
        except sqlite3.IntegrityError as error:
            cause = f"the two registers do not fit together: {error}"
            raise StartrollError(Problem(cause, "correct it here or in the copy, then merge again")) from None
        broken = broken_references(self.db.conn)
        if broken:
            raise StartrollError(
                Problem(
                    f"something was removed on one side that the other refers to: {', '.join(broken)}",
                    "bring it back, or take away what refers to it, here or in the copy; then merge again",
                )
            )

    # What is done before the other's changes are entered: what was decided against what is here.

    def _beforehand(self) -> None:
        for born in self.plan.returns:
            row = self.ours.now(born)
            if row is not None and self.ours.lineage.key(born) is None:
                last = next(s for s in reversed(self.ours.lineage.of[born]) if s.action == "delete")
                self._insert(born, row, last.key_before)
        for born, values in self.plan.put.items():
            if self.key(born) is not None:
                self._update(born, dict(values))
        for cell in self.plan.unnoted:
            where = [cell.born.table, self.key(cell.born), cell.columns[0]]
            self.db.conn.execute("DELETE FROM blank WHERE table_name = ? AND row_key = ? AND column_name = ?", where)
        for position in self.plan.goes:
            for table in OF_A_POSITION:
                self.db.conn.execute(f"DELETE FROM {table} WHERE tag = ?", [self.key(position)])

    def _afterwards(self, gone: list[str | None]) -> None:
        """Put into store what is still at a position that was retired against what was done here."""
        for tag in gone:
            for asset, status in STATUS.items():
                self.db.conn.execute(f"UPDATE {asset} SET tag = NULL, {status} = 'in store' WHERE tag = ?", [tag])

    # One change of the other.

    def _step(self, step: Step) -> None:
        self._under(step)
        before = last_change(self.db)
        left = self._entered(step)
        if left:
            self._note(step, left)
        if not mark(self.db, before, step.name, step.at):
            self._note(step, {**step.before, **step.after})
            mark(self.db, before, step.name, step.at)

    def _under(self, step: Step) -> None:
        """Record under the change-set of the step, which comes with it."""
        if step.change_set not in self.sets:
            head = {"author": "", "reason": OUTSIDE, "made_on": step.at}
            if step.change_set is not None:
                sql = f"SELECT {', '.join(HEAD)} FROM change_set WHERE change_set = ?"
                head = next(self.theirs.lineage.db.query(sql, [step.change_set]))
            self.sets[step.change_set] = carry(self.db, head, self.number)
        record_under(self.db, self.sets[step.change_set])

    def _entered(self, step: Step) -> Row:
        """Enter a step as far as the plan takes it; the values that it does not take."""
        born, told = step.born, step.action
        values = {n: v for n, v in (step.before if told == "delete" else step.after).items() if n}
        if told in (CONFIRMED, KEPT_HERE) or born in self.plan.declined or born in self.plan.same_rows:
            return {n: v for n, v in values.items() if v is not None} or {"": told}
        if told == "delete":
            return self._removed(born)
        taken = {n: v for n, v in values.items() if self._takes(born, n)}
        left = {n: v for n, v in values.items() if n not in taken and v is not None and not _is_number(born, n)}
        if told == "blank":
            self._blank(step, taken)
        elif told == "insert" and self.key(born) is None:
            self._came(step, taken)
        elif self.key(born) is not None:
            self._update(born, {n: v for n, v in taken.items() if told == "update" or v is not None})
        return left or ({} if taken else {"": told})

    def _takes(self, born: Born, column: str) -> bool:
        cell = cell_of(born, column)
        return cell is not None and self.plan.outcome.get(cell, "taken") == "taken"

    def _came(self, step: Step, taken: Row) -> None:
        """A row that came: as the other has it, or, where it was here and went a moment ago, with what stays of it."""
        born = step.born
        row = {**self._aside.get(born, {}), **taken}
        if born.table in STATUS and "tag" not in taken and born not in self._aside:
            row |= self.plan.put.get(born, {STATUS[born.table]: "in store"})
        self._insert(born, row, step.key_after)
        self.came += 1

    def _insert(self, born: Born, row: Row, key: str) -> None:
        table = TABLES[born.table]
        row = {c.name: self._here(row.get(c.name)) for c in table.columns if row.get(c.name) is not None}
        if born.table in NUMBERED:
            where, values = where_key(Born(born.table, key))
            free = not self.db.execute(f"SELECT 1 FROM {born.table} WHERE {where}", values).fetchone()
            row = {**row, table.key[0]: int(key) if free else None}
        elif len(table.key) == 1:
            row.setdefault(table.key[0], key)
        marks = ", ".join("?" * len(row))
        done = self.db.conn.execute(f"INSERT INTO {table.name} ({', '.join(row)}) VALUES ({marks})", list(row.values()))
        own = str(done.lastrowid) if born.table in NUMBERED else " | ".join(str(row[n]) for n in table.key)
        if born.table in NUMBERED and own != key:
            self.renumbered.append(f"{born.table} {key} of the copy is {born.table} {own} here")
        self._key[born] = own

    def _removed(self, born: Born) -> Row:
        key = self.key(born)
        found = self._row(Born(born.table, key)) if key is not None and born not in self.plan.stays else None
        if key is None or found is None:
            return {"": "delete"}
        where, values = where_key(Born(born.table, key))
        self._aside[born] = found
        self.db.conn.execute(f"DELETE FROM {born.table} WHERE {where}", values)
        self._key[born] = None
        self.went += 1
        return {}

    def _update(self, born: Born, values: Row) -> None:
        if not values:
            return
        key = self.key(born)
        assert key is not None, born
        where, parts = where_key(Born(born.table, key))
        new = {n: self._here(v) for n, v in values.items()}
        sets = ", ".join(f"{n} = ?" for n in new)
        self.db.conn.execute(f"UPDATE {born.table} SET {sets} WHERE {where}", [*new.values(), *parts])
        names = TABLES[born.table].key
        if set(names) & new.keys():
            own = [str(new.get(n, part)) for n, part in zip(names, parts, strict=True)]
            self._key[born] = " | ".join(own)
            self._renamed[Born(born.table, key)] = self._key[born] or ""
            origins.rename(self.db, born.table, key, self._key[born] or "")

    def _blank(self, step: Step, taken: Row) -> None:
        key = self.key(step.born)
        if key is None:
            return
        for column, reason in taken.items():
            where = [step.born.table, key, column]
            self.db.conn.execute("DELETE FROM blank WHERE table_name = ? AND row_key = ? AND column_name = ?", where)
            if reason:
                noted: Mapping[str, Any] = step.after.get("", {})
                self.db.table("blank").insert(
                    {**dict(zip(KEPT["blank"].key, where, strict=True)), "reason": reason, "noted_on": None, **noted}
                )

    def _note(self, step: Step, left: Row) -> None:
        """Keep in the history what of a step was not taken: it is so here too, or what is here stays."""
        born = self.plan.same_rows.get(step.born, step.born)
        key = self.key(born) or step.key_after
        row = self._row(Born(born.table, key)) or {}
        there = {n: self._here(v) for n, v in left.items() if n}
        here = {n: row.get(n) for n in there}
        cells = [cell for n in there if (cell := cell_of(step.born, n)) is not None]
        alike = step.born in self.plan.same_rows or (
            bool(cells) and all(self.plan.outcome.get(c) == "same" for c in cells)
        )
        action = step.action if step.action in (CONFIRMED, KEPT_HERE) else CONFIRMED if alike else KEPT_HERE
        tag = row.get("tag") if any(c.name == "tag" for c in KEPT[born.table].columns) else None
        note(self.db, action, born.table, key, here, there, tag)

    def _row(self, place: Born) -> Row | None:
        where, values = where_key(place)
        return next(self.db.query(f"SELECT * FROM {place.table} WHERE {where}", values), None)

    # The rows of the other, as they are called here.

    def key(self, born: Born) -> str | None:
        """The key that a row has here now; None where there is none."""
        key = self._key[born] if born in self._key else self.ours.lineage.key(born)
        parent = PARENT.get(born.table)
        if key is None or parent is None:
            return key
        head, mark, tail = key.rpartition(" | ") if born.table == "setting" else (key, "", "")
        return self._renamed.get(Born(parent, head), head) + mark + tail

    def _here(self, value: Any) -> Any:
        if not isinstance(value, Born):
            return value
        return self.key(value) or self.theirs.lineage.key(value) or value.name

    # Where the values came from.

    def keep_sources(self) -> None:
        """Take the cells of sheets over that the taken values came from."""
        other = self.theirs.lineage.db
        for theirs, ours in self.sets.items():
            if theirs is None:
                continue
            for source in list(other.query("SELECT * FROM source WHERE change_set = ?", [theirs])):
                self._source(other, source, ours)
            for found in list(other.query("SELECT * FROM found WHERE change_set = ?", [theirs])):
                born = self.theirs.lineage.born(found["table_name"], found["row_key"])
                if (key := self.key(born)) is not None and self._takes(born, found["column_name"]):
                    self.db.table("found").insert({**found, "row_key": key, "change_set": ours})
            for answer in list(other.query("SELECT * FROM answer WHERE change_set = ?", [theirs])):
                born = self.theirs.lineage.born(answer["table_name"], answer["row_key"])
                own = self.key(born) or answer["row_key"]
                self.db.table("answer").insert({**answer, "row_key": own, "change_set": ours})

    def _source(self, other: Database, source: Row, ours: int) -> None:
        letters, made = json.loads(source["letters"]), {}
        for row in list(other.query("SELECT * FROM source_row WHERE source = ?", [source["source"]])):
            born = self.theirs.lineage.born(row["table_name"], row["row_key"])
            key = self.key(born)
            if key is None or born in self.plan.declined:
                continue
            of_row = json.dumps(
                {n: at for n, at in letters.items() if n in TABLES[born.table].key or self._takes(born, n)}
            )
            if of_row not in made:
                head = {**source, "source": None, "change_set": ours, "letters": of_row}
                made[of_row] = self.db.table("source").insert(head).last_pk
            self.db.table("source_row").insert({**row, "row_key": key, "source": made[of_row]})


def _is_number(born: Born, column: str) -> bool:
    return born.table in NUMBERED and column in TABLES[born.table].key
