"""Where motors and devices are once two registers are merged: never two at one position, none at one that is gone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from register.errors import Problem, StartrollError
from register.rounds.compared import Sight, cells_of
from register.rounds.lineage import Born
from register.rounds.merge_model import PLACE, WHERE, Cell, Conflict, Held, Said
from register.rounds.three_way import Outcome, alike, three_way

if TYPE_CHECKING:
    from register.rounds.merge_plan import Planner

IN_STORE = "in store"


@dataclass(slots=True)
class Move:
    """A motor or device that one of the two, or both, put elsewhere; `choice` is whose place it gets."""

    cell: Cell
    base: Held
    ours: Held
    theirs: Held
    outcome: Outcome
    choice: Literal["ours", "theirs", "base"]

    @property
    def held(self) -> Held:
        """The place chosen."""
        return {"ours": self.ours, "theirs": self.theirs, "base": self.base}[self.choice]


def decide_places(planner: Planner, table: str) -> None:
    """Decide the places of all motors, or of all devices, and note the conflicts."""
    moves = {m.cell.born: m for m in _moves(planner, table)}
    _leave_gone(planner, moves.values())
    for group in _linked(moves):
        clash = [m for m in group if m.outcome == "conflict"] or _clash(group)
        if not clash:
            continue
        side = planner.conflict(_told(planner, table, group))
        for move in group:
            if move.outcome == "conflict":
                move.choice = side or "ours"
        _make_room(planner, group, loser="ours" if side == "theirs" else "theirs")
        if side is None:
            for move in group:
                move.outcome = "conflict"
    for born, move in moves.items():
        _keep(planner, born, move)


def _moves(planner: Planner, table: str) -> Iterator[Move]:
    plan, ours, theirs = planner.plan, planner.ours, planner.theirs
    for born in dict.fromkeys([*theirs.changed, *ours.changed]):
        cell = Cell(born, PLACE[table]) if born.table == table else None
        if cell is None or born in plan.declined:
            continue
        by_them, by_us = (cell in cells_of(side.changed.get(born, ())) for side in (theirs, ours))
        if not by_them and not by_us:
            continue
        base = (theirs if by_them else ours).held_before(cell)
        here = base if _retired_with(planner, ours, cell) else ours.held(cell)
        there = base if _retired_with(planner, theirs, cell) else theirs.held(cell)
        outcome: Outcome = "kept"
        if by_them:
            outcome = three_way(base, here, there) if ours.now(born) is not None else "taken"
        if theirs.now(born) is None:
            outcome = "taken" if by_them and born not in plan.stays else "kept"
        move = Move(cell, base, here, there, outcome, "theirs" if outcome == "taken" else "ours")
        if not alike(here, ours.held(cell)):
            plan.put[born] = _values(here, cell)  # it was put into store with a position that returns
        yield move


def _retired_with(planner: Planner, side: Sight, cell: Cell) -> bool:
    """Whether it went into store with a position whose retirement is not heeded."""
    last = side.last(cell)
    if last is None or last.action != "update" or last.after.get("tag", "") is not None:
        return False
    position = last.before.get("tag")
    if position not in side.alive:
        return False
    return any(s.action == "delete" and s.change_set == last.change_set for s in side.changed[position])


def _leave_gone(planner: Planner, moves) -> None:
    """Nothing is moved to a position that is gone."""
    for move in moves:
        tag = _tag(move)
        if tag is not None and planner.dead(tag):
            move.outcome = "kept"
            move.choice = "ours" if move.choice == "theirs" and planner.ours.now(move.cell.born) else "base"
            tag = _tag(move)
            if tag is not None and planner.dead(tag):
                move.choice, move.base = "base", _stored(move)


def _linked(moves: dict[Born, Move]) -> Iterator[list[Move]]:
    """Moves that have to do with one another: by way of a position that one leaves and another takes."""
    at: dict[Born, list[Move]] = defaultdict(list)
    for move in moves.values():
        for tag in _tags(move):
            at[tag].append(move)
    seen: set[int] = set()
    for first in moves.values():
        if id(first) in seen:
            continue
        group, waiting = [], [first]
        seen.add(id(first))
        while waiting:
            move = waiting.pop()
            group.append(move)
            for other in (m for tag in _tags(move) for m in at[tag]):
                if id(other) not in seen:
                    seen.add(id(other))
                    waiting.append(other)
        yield group


def _tags(move: Move) -> list[Born]:
    return [tag for held in (move.base, move.ours, move.theirs) if (tag := held.values[0]) is not None]


def _tag(move: Move) -> Born | None:
    """The position where it is installed, by the choice made."""
    tag, status = move.held.values[:2]
    return None if status == "scrapped" else tag


def _clash(group: list[Move]) -> list[Move]:
    """Two or more that would be installed at one position."""
    at: dict[Born, list[Move]] = defaultdict(list)
    for move in group:
        if (tag := _tag(move)) is not None:
            at[tag].append(move)
    return next((found for found in at.values() if len(found) > 1), [])


def _make_room(planner: Planner, group: list[Move], loser: Literal["ours", "theirs"]) -> None:
    """Take back moves of one side until no two are at one position."""
    while clash := _clash(group):
        move = next((m for m in clash if m.choice == loser and _moved(m, loser)), None)
        if move is None:
            raise StartrollError(
                Problem(
                    f"two would be installed at one position: {', '.join(planner.key(m.cell.born) for m in clash)}",
                    "move one of them away here (startroll move), then merge again",
                )
            )
        move.outcome = "kept"
        if loser == "theirs" and planner.ours.now(move.cell.born) is not None:
            move.choice = "ours"
        else:
            move.choice = "base"
            if _tag(move) is not None and planner.dead(move.base.values[0]):
                move.base = _stored(move)


def _moved(move: Move, side: Literal["ours", "theirs"]) -> bool:
    return not alike(move.base, move.ours if side == "ours" else move.theirs)


def _keep(planner: Planner, born: Born, move: Move) -> None:
    """Note in the plan what becomes of a move."""
    plan = planner.plan
    if born in planner.theirs.changed:
        plan.outcome[move.cell] = (
            move.outcome if move.outcome in ("conflict", "same") else ("taken" if move.choice == "theirs" else "kept")
        )
    if move.choice == "base":
        held = move.base if planner.ours.now(born) is not None or any(move.base.values) else _stored(move)
        plan.put[born] = _values(held if held.values[0] is not None or held.values[1] else _stored(move), move.cell)


def _stored(move: Move) -> Held:
    values = (None, IN_STORE, *move.base.values[2:])
    return Held(values, tuple(None for _ in values))


def _values(held: Held, cell: Cell) -> dict[str, object]:
    return dict(zip(cell.columns, held.values, strict=True))


def _told(planner: Planner, table: str, group: list[Move]) -> Conflict:
    """The conflict of a group of moves."""
    by_us = [m for m in group if _moved(m, "ours")]
    by_them = [m for m in group if _moved(m, "theirs")]
    rows = ", ".join(sorted({planner.key(m.cell.born) for m in (*by_us, *by_them)}))
    tags = sorted({planner.tag(tag) for m in group for tag in _tags(m)})
    return Conflict(
        table,
        rows,
        WHERE,
        ", ".join(tags),
        _places(planner, group, "base"),
        _side(planner, by_us, planner.ours, "ours"),
        _side(planner, by_them, planner.theirs, "theirs"),
    )


def _side(planner: Planner, moves: list[Move], side: Sight, which: Literal["ours", "theirs"]) -> Said:
    steps = [s for m in moves if (s := side.last(m.cell)) is not None]
    last = max(steps, key=lambda s: s.at, default=None)
    return planner.said(side, last, _places(planner, moves, which))


def _places(planner: Planner, moves: list[Move], which: Literal["base", "ours", "theirs"]) -> str:
    told = []
    for move in moves:
        tag, status = getattr(move, which).values[:2]
        place = planner.tag(tag) if tag is not None else status or "nowhere"
        told.append(f"{planner.key(move.cell.born)}: {place}")
    return "; ".join(sorted(told))
