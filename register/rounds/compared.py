"""Two registers of one origin, side by side: what each has changed that the other does not know."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from register.columns import TABLES
from register.errors import Problem, StartrollError
from register.rounds.lineage import NUMBERED, Born, Lineage, Row, Step, shared_until
from register.rounds.merge_model import OF_A_POSITION, PLACE, Cell, Held
from register.store.taken_back import NOTES


class Sight:
    """One of the two registers, as the other sees it: its news, and its rows before them.

    A row whose removal is not heeded (`alive`) is seen as it was when it was removed. What was undone again is no news
    where only the outcome counts, in the register that takes in; of the one that is taken in it comes over too.
    """

    def __init__(self, lineage: Lineage, known: Iterable[str], *, undone_too: bool = False) -> None:
        self.lineage = lineage
        known = set(known)
        self._cancelled = set() if undone_too else lineage.cancelled
        told = (s for s in lineage.steps if s.action != "follows" and s.change_set not in self._cancelled)
        self.news = [s for s in told if s.name not in known]
        self._new = {id(s) for s in self.news}
        self.alive: set[Born] = set()
        self.changed: dict[Born, list[Step]] = defaultdict(list)
        for step in self.news:
            if step.action not in NOTES:
                self.changed[step.born].append(step)
        self._before: dict[Born, tuple[Row | None, Row]] = {}

    def now(self, born: Born) -> Row | None:
        """A row as it is, or as it was when it was removed without being heeded."""
        row = self.lineage.row(born)
        if row is None and born in self.alive:
            return next((s.before for s in reversed(self.lineage.of[born]) if s.action == "delete"), None)
        return row

    def before(self, born: Born) -> Row | None:
        """A row as it was before the news."""
        return self._wound_back(born)[0]

    def held(self, cell: Cell) -> Held:
        """What a cell holds now."""
        return _held(cell, self.now(cell.born), self.lineage.blanks(cell.born))

    def held_before(self, cell: Cell) -> Held:
        """What a cell held before the news."""
        return _held(cell, *self._wound_back(cell.born))

    def last(self, cell: Cell) -> Step | None:
        """The last of the news about a cell."""
        for step in reversed(self.changed[cell.born]):
            if step.action in ("insert", "delete") or set(cell.columns) & (step.after.keys() | step.before.keys()):
                return step
        return None

    def _wound_back(self, born: Born) -> tuple[Row | None, Row]:
        if born not in self._before:
            row = self.lineage.row(born)
            self._before[born] = self._unwind(born, dict(row) if row else None, self.lineage.blanks(born))
        return self._before[born]

    def _unwind(self, born: Born, row: Row | None, reasons: Row) -> tuple[Row | None, Row]:
        fixed: set[str] = set()  # what the other knows of a column counts, and not what was there earlier
        for step in reversed(self.lineage.of[born]):
            if step.change_set in self._cancelled:
                continue
            new = id(step) in self._new
            if step.action in ("insert", "delete"):
                if not new:
                    break
                row = None if step.action == "insert" else dict(step.before)
            elif step.action == "blank":
                reasons |= {n: why for n, why in step.before.items() if new and n not in fixed}
            elif step.action == "update" and new and row is not None:
                row |= {n: value for n, value in step.before.items() if n not in fixed}
            if not new and step.action != "follows":
                fixed |= step.after.keys()
        return row, reasons


def _held(cell: Cell, row: Row | None, reasons: Row) -> Held:
    values = tuple((row or {}).get(name) for name in cell.columns)
    why = (None if v is not None else reasons.get(n) for n, v in zip(cell.columns, values, strict=True))
    return Held(values, tuple(why))


def cell_of(born: Born, column: str) -> Cell | None:
    """The cell of a row to which a column belongs; None for the number of a record, which means nothing."""
    if born.table in NUMBERED and column in TABLES[born.table].key:
        return None
    places = PLACE.get(born.table, ())
    return Cell(born, places if column in places else (column,))


def cells_of(steps: Iterable[Step]) -> dict[Cell, None]:
    """The cells that steps of one row touched, in order."""
    found: dict[Cell, None] = {}
    for step in steps:
        if step.action == "insert":
            names = [n for n, v in step.after.items() if v is not None]
        else:
            names = [n for n in {**step.before, **step.after} if n]
        found |= {c: None for c in (cell_of(step.born, name) for name in names) if c is not None}
    return found


def position_of(born: Born, row: Row | None) -> Born | None:
    """The position with which a row comes and goes."""
    if born.table == "position":
        return born
    found: Any = (row or {}).get("tag") if born.table in OF_A_POSITION else None
    return found


def parted(ours: Any, theirs: Any) -> tuple[Lineage, Lineage]:
    """Both histories since they parted; StartrollError where the registers are not of one origin."""
    since = shared_until(ours, theirs)
    if not since:
        raise StartrollError(
            Problem(
                "it is no copy of this register: their histories have nothing in common",
                "name a copy that was made of this register (startroll backup, or the file copied), or --register",
            )
        )
    return Lineage(ours, since), Lineage(theirs, since)
