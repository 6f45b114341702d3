"""What becomes of each change that a copy has and the register has not: taken, the same, kept, or a conflict."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from register.columns import COLUMNS, TABLES
from register.errors import Problem, StartrollError
from register.rounds.compared import Sight, cells_of, position_of
from register.rounds.lineage import NUMBERED, Born, Lineage, Row, Step
from register.rounds.merge_model import (
    OF_A_POSITION,
    PLACE,
    REMOVED,
    RETIRED,
    Cell,
    Conflict,
    Held,
    MergePlan,
    Said,
    Side,
)  # fmt: skip
from register.rounds.merge_places import decide_places
from register.rounds.three_way import alike, three_way
from register.store.history import OUTSIDE
from register.text import shown

Decide = Callable[[Conflict], Side | None]
Heads = Callable[[Step], Mapping[str, Any]]


class Planner:
    """A plan in the making. `decide` says which side a conflict goes to; None where nobody has said."""

    def __init__(self, ours: Lineage, theirs: Lineage, decide: Decide) -> None:
        self.ours, self.theirs = Sight(ours, theirs.names), Sight(theirs, ours.names, undone_too=True)
        self.decide = decide
        self.plan = MergePlan()
        self.heads = {id(side): _heads(side.lineage) for side in (self.ours, self.theirs)}

    def run(self) -> MergePlan:
        """The plan; StartrollError where two different rows have one key."""
        self._positions()
        self._removed()
        self._same_rows()
        for born in self.theirs.changed:
            fleeting = self.theirs.now(born) is None and self.theirs.before(born) is None
            if fleeting and self.ours.lineage.key(born) is not None:
                self.plan.declined.add(born)  # it came and went there, and is another's work here
        self._refuse_one_key()
        for born, steps in self.theirs.changed.items():
            waits = born in self.plan.waiting and born.table not in PLACE
            if not waits and born not in self.plan.declined and born not in self.plan.same_rows:
                for cell in cells_of(steps):
                    if cell.columns != PLACE.get(born.table):
                        self._cell(cell)
        for table in PLACE:
            decide_places(self, table)
        return self.plan

    # Rows that one side removed.

    def _positions(self) -> None:
        for mine, other in ((self.ours, self.theirs), (self.theirs, self.ours)):
            for born in [b for b in mine.changed if b.table == "position" and _went(mine, b)]:
                if other.now(born) is None and other.lineage.key(born) is None:
                    continue
                group = self._group(born)
                done = [b for b in group if b != born and self._did(other, b, born)] or (
                    [born] if self._did(other, born, born) else []
                )
                if done:
                    self._contested(born, group, mine, other, done)
                elif mine is self.ours:
                    self._decline(group)

    def _decline(self, group: set[Born]) -> None:
        """Take nothing of what the other did with a position; motors and devices are rows of their own."""
        self.plan.declined |= {b for b in group & self.theirs.changed.keys() if b.table not in PLACE}

    def dead(self, position: Born) -> bool:
        """Whether a position is gone once all is merged; of one that waits for a decision nothing follows yet."""
        if position in self.plan.waiting:
            return False
        gone_here = self.ours.lineage.key(position) is None and position not in self.plan.returns
        came = self.theirs.lineage.key(position) is not None and self.theirs.before(position) is None
        if gone_here:
            return not came or position in self.plan.declined
        return position in self.plan.goes or (_went(self.theirs, position) and position not in self.plan.stays)

    def _contested(self, born: Born, group: set[Born], mine: Sight, other: Sight, done: list[Born]) -> None:
        """A position that one side retired while the other worked on it."""
        gone = next(s for s in reversed(mine.changed[born]) if s.action == "delete")
        work = [s for b in done for s in other.changed[b]]
        words = _listed(sorted({_what(step) for step in work}))
        retired, worked = self.said(mine, gone, RETIRED), self.said(other, work[-1], f"changed: {words}")
        here, there = (retired, worked) if mine is self.ours else (worked, retired)
        tag = self.tag(born)
        side = self.conflict(Conflict("position", tag, RETIRED, tag, "in service", here, there))
        if side is None:
            self.plan.waiting |= group | {born}
            return
        if (side == "ours") == (mine is self.theirs):  # it stays, or returns
            mine.alive |= {b for b in group if _went_with(mine, b, gone)}
            if mine is self.ours:
                self.plan.returns += [born, *sorted((mine.alive & group) - {born})]
            else:
                self.plan.stays |= mine.alive & group
        elif mine is self.ours:
            self._decline(group)
        else:
            self.plan.goes.append(born)

    def _group(self, position: Born) -> set[Born]:
        """The rows that come and go with a position, of both registers."""
        found = {position}
        for side in (self.ours, self.theirs):
            for born, steps in side.changed.items():
                if born.table in OF_A_POSITION:
                    rows: list[Row] = [s.after if s.action == "insert" else s.before for s in steps]
                    rows += [row for row in (side.now(born), side.before(born)) if row]
                    if any(position_of(born, row) == position for row in rows):
                        found.add(born)
                elif born.table in PLACE and (side.now(born) or {}).get("tag") == position:
                    found.add(born)
        return found

    def _did(self, side: Sight, born: Born, position: Born) -> bool:
        """Whether a side changed something that goes with a position, or brought something there."""
        if born not in side.changed:
            return False
        now, before = side.now(born), side.before(born)
        if born.table in PLACE:
            return (now or {}).get("tag") == position != (before or {}).get("tag")
        if (now is None) != (before is None):
            return True
        return any(not alike(side.held(c), side.held_before(c)) for c in cells_of(side.changed[born]))

    def _removed(self) -> None:
        """Rows of their own that one side removed: a motor, a device, a bus, a setting."""
        for mine, other in ((self.ours, self.theirs), (self.theirs, self.ours)):
            for born in [b for b in mine.changed if b.table not in ("position", *OF_A_POSITION) and _went(mine, b)]:
                if other.lineage.key(born) is not None and born not in self.plan.stays:
                    self._one_removed(born, mine, other)
            for born in [b for b in mine.changed if b.table in OF_A_POSITION and _went(mine, b)]:
                position = position_of(born, mine.before(born))
                whole = position is not None and mine.lineage.key(position) is None
                if not whole and other.lineage.key(born) is not None:
                    self._one_removed(born, mine, other)

    def _one_removed(self, born: Born, mine: Sight, other: Sight) -> None:
        work = other.changed.get(born, [])
        if not any(not alike(other.held(c), other.held_before(c)) for c in cells_of(work)):
            if mine is self.ours:
                self.plan.declined.add(born)
            return
        gone = next(s for s in reversed(mine.changed[born]) if s.action == "delete")
        removed, worked = self.said(mine, gone, REMOVED), self.said(other, work[-1], f"changed: {_what(work[-1])}")
        here, there = (removed, worked) if mine is self.ours else (worked, removed)
        side = self.conflict(Conflict(born.table, self.key(born), REMOVED, "", "there", here, there))
        if (side == "ours") == (mine is self.theirs):
            mine.alive.add(born)
            if mine is self.ours:
                self.plan.returns.append(born)
            else:
                self.plan.stays.add(born)
        elif mine is self.ours:
            self.plan.declined.add(born)

    # Rows that both sides entered.

    def _same_rows(self) -> None:
        """A record, an event or their like that both entered alike is one, and not two."""
        mine = [b for b in self.ours.changed if _came(self.ours, b)]
        for born in [b for b in self.theirs.changed if b.table in NUMBERED and _came(self.theirs, b)]:
            row = _content(born, self.theirs.now(born))
            twin = next((b for b in mine if b.table == born.table and _content(b, self.ours.now(b)) == row), None)
            if twin is not None and born not in self.plan.declined:
                mine.remove(twin)
                self.plan.same_rows[born] = twin

    def _refuse_one_key(self) -> None:
        """Two different rows must not have one key: which of them is misnamed, only people know."""
        problems = []
        for born, steps in self.theirs.changed.items():
            key = self.theirs.lineage.key(born)
            if (
                born.table in NUMBERED
                or key is None
                or not any(s.key_before != s.key_after or s.action == "insert" for s in steps)
            ):
                continue
            here = self.ours.lineage.born(born.table, key)
            if here != born and self.ours.lineage.key(here) == key:
                cause = f"two different rows of the table {born.table} are called {key!r}"
                told = f"{cause}: here the one that was {here.name!r}, in the copy the one that was {born.name!r}"
                remedy = "look which is really called so, correct the other one, here or in the copy; merge again"
                problems.append(Problem(told, remedy))
        if problems:
            raise StartrollError(problems)

    # Cells that both sides changed.

    def _cell(self, cell: Cell) -> None:
        if self.theirs.now(cell.born) is None or cell.born in self.plan.goes:
            self.plan.outcome[cell] = "taken"  # on its way to be removed
            return
        base, now, there = self.theirs.held_before(cell), self.ours.held(cell), self.theirs.held(cell)
        known = self.ours.now(cell.born) is not None
        outcome = three_way(base, now, there) if known else "taken"
        if outcome == "conflict":
            side = self.conflict(self._conflict_of(cell, base, now, there))
            outcome = "conflict" if side is None else "taken" if side == "theirs" else "kept"
            if side == "theirs":
                self._clear(cell, base, now, there)
        self.plan.outcome[cell] = outcome

    def _clear(self, cell: Cell, base: Held, now: Held, there: Held) -> None:
        """Make room for what the other says: of its steps, not each sets the value and why it is blank."""
        for name, was, here, other in zip(cell.columns, base.values, now.values, there.values, strict=True):
            if alike(was, other) and not alike(was, here):
                self.plan.put.setdefault(cell.born, {})[name] = was
        if any(now.reasons):
            self.plan.unnoted.append(cell)

    def _conflict_of(self, cell: Cell, base: Held, now: Held, there: Held) -> Conflict:
        column = cell.columns[0]
        was, here, other = (self.worded(cell, held) for held in (base, now, there))
        return Conflict(
            cell.born.table,
            self.key(cell.born),
            column,
            self.tag_of(cell.born),
            was,
            self.said(self.ours, self.ours.last(cell), here),
            self.said(self.theirs, self.theirs.last(cell), other),
        )

    def conflict(self, found: Conflict) -> Side | None:
        """Note a conflict; the side that it was decided for. While nobody decided, what is here is reckoned with."""
        side = self.decide(found)
        if side is None:
            self.plan.conflicts.append(found)
        return side

    # How it is told.

    def said(self, side: Sight, step: Step | None, value: str) -> Said:
        """What a side has in a cell, and who entered it, when and why: in that step."""
        if step is None:
            return Said(value)
        head = self.heads[id(side)](step)
        return Said(value, head.get("author") or "", step.at, head.get("reason") or OUTSIDE)

    def worded(self, cell: Cell, held: Held) -> str:
        """What a cell holds, as people read it."""
        words = []
        for name, value, reason in zip(cell.columns, *held, strict=True):
            text = self.key(value) if isinstance(value, Born) else shown(value, COLUMNS[name].unit)
            words.append(f"unknown ({reason})" if reason else text)
        return ", ".join(words)

    def key(self, born: Born) -> str:
        """What a row is called here, or else in the copy."""
        return self.ours.lineage.key(born) or self.theirs.lineage.key(born) or born.name

    def tag(self, born: Born | None) -> str:
        """The tag of a position; empty for none."""
        return self.key(born) if born is not None else ""

    def tag_of(self, born: Born) -> str:
        """The tag of the position where a row belongs; empty where it belongs to none."""
        row = self.ours.now(born) or self.theirs.now(born) or {}
        if born.table == "setting" and isinstance(row.get("device"), Born):
            return self.tag_of(row["device"])
        found = born if born.table == "position" else row.get("tag")
        return self.tag(found) if isinstance(found, Born) else ""


def _went(side: Sight, born: Born) -> bool:
    return side.lineage.key(born) is None and side.before(born) is not None


def _went_with(side: Sight, born: Born, gone: Step) -> bool:
    """Whether a row is gone since the change-set in which its position was retired."""
    gone_with = (s.action == "delete" and s.change_set == gone.change_set for s in side.changed.get(born, ()))
    return side.lineage.key(born) is None and any(gone_with)


def _came(side: Sight, born: Born) -> bool:
    return side.now(born) is not None and side.before(born) is None


def _content(born: Born, row: Row | None) -> list[tuple[str, Any]]:
    return sorted((n, v) for n, v in (row or {}).items() if n not in TABLES[born.table].key and v is not None)


def _what(step: Step) -> str:
    names = [n for n in {**step.before, **step.after} if n] if step.action in ("update", "blank") else []
    if step.born.table in PLACE and "tag" in step.after:
        return f"{step.born.table} moved there"
    return ", ".join(names) if names else f"a {step.born.table} {'entered' if step.action == 'insert' else 'removed'}"


def _listed(words: list[str], most: int = 4) -> str:
    more = len(words) - most
    return ", ".join(words[:most]) + (f" and {more} more" if more > 0 else "")


def _heads(lineage: Lineage) -> Heads:
    """The change-set of a step, read once."""
    known: dict[int | None, Mapping[str, Any]] = {None: {}}

    def head(step: Step) -> Mapping[str, Any]:
        if step.change_set not in known:
            sql = "SELECT * FROM change_set WHERE change_set = ?"
            known[step.change_set] = next(lineage.db.query(sql, [step.change_set]))
        return known[step.change_set]

    return head
