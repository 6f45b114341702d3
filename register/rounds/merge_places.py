"""Where motors and devices are once two registers are merged: never two at one position, none at one that is gone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, Protocol

from register.errors import Problem, StartrollError
from register.rounds.compared import Sight, cells_of
from register.rounds.lineage import Born, Step
from register.rounds.merge_model import PLACE, WHERE, Cell, Conflict, Held, MergePlan, Said, Side
from register.rounds.three_way import Outcome, alike, three_way

IN_STORE = "in store"


class Planner(Protocol):
    """What is needed of the plan in the making: `register.rounds.merge_plan.Planner`."""

    ours: Sight
    theirs: Sight
    plan: MergePlan

    def dead(self, position: Born) -> bool: ...  # noqa: D102
    def conflict(self, found: Conflict) -> Side | None: ...  # noqa: D102
    def said(self, side: Sight, step: Step | None, value: str) -> Said: ...  # noqa: D102
    def key(self, born: Born) -> str: ...  # noqa: D102
    def tag(self, born: Born | None) -> str: ...  # noqa: D102


@dataclass(slots=True)
class Move:
    """A motor or device that one of the two, or both, put elsewhere; `choice` is whose place it gets."""

    cell: Cell
    base: Held
    ours: Held
    theirs: Held
    outcome: Outcome
    choice: Literal["ours", "theirs", "base"]
    fell_back: bool  # one of the two moved it to a position that is gone

    @property
    def held(self) -> Held:
        """The place chosen."""
        return {"ours": self.ours, "theirs": self.theirs, "base": self.base}[self.choice]


def decide_places(planner: Planner, table: str) -> None:
    """Decide the places of all motors, or of all devices, and note the conflicts."""
    moves = {m.cell.born: m for m in _moves(planner, table)}
    for group in _linked(moves):
        contested = [m for m in group if m.outcome == "conflict"]
        if planner.plan.waiting.intersection(tag for m in group for tag in _tags(m)):
            for move in group:
                move.outcome = "conflict"
            continue
        _give_way(group)
        if not contested and not _clash(group):
            continue
        side = planner.conflict(_told(planner, table, group))
        for move in contested:
            move.outcome, move.choice = ("taken", "theirs") if side == "theirs" else ("kept", "ours")
        _give_way(group)  # also to what a decision put there
        _make_room(planner, group, loser="ours" if side == "theirs" else "theirs")
        for move in group if side is None else ():
            move.outcome = "conflict"
    for move in moves.values():
        _keep(planner, move)


def _moves(planner: Planner, table: str) -> Iterator[Move]:
    ours, theirs = planner.ours, planner.theirs
    for born in dict.fromkeys([*theirs.changed, *ours.changed]):
        cell = Cell(born, PLACE[table]) if born.table == table else None
        if cell is None or born in planner.plan.declined:
            continue
        by_them, by_us = (cell in cells_of(side.changed.get(born, ())) for side in (theirs, ours))
        if not by_them and not by_us:
            continue
        base = (theirs if by_them else ours).held_before(cell)
        waiting = planner.plan.waiting
        moved = _heeded(ours, cell, waiting), (_heeded(theirs, cell, waiting) if by_them else base)
        here, there = (_lasting(planner, held, base) for held in moved)
        outcome: Outcome = "kept"
        if by_them:
            outcome = three_way(base, here, there) if ours.now(born) is not None else "taken"
        yield Move(cell, base, here, there, outcome, "theirs" if outcome == "taken" else "ours", moved != (here, there))


def _heeded(side: Sight, cell: Cell, waiting: set[Born]) -> Held:
    """Where a side has it; not in store, where it only went there with a position whose retirement is not heeded.

    Of a position that is `waiting` for a decision, it is not heeded yet.
    """
    held, last = side.held(cell), side.last(cell)
    if last is None or last.action != "update" or last.after.get("tag", "") is not None:
        return held
    position = last.before.get("tag")
    if position not in side.alive | waiting or last.after.get(cell.columns[1], IN_STORE) != IN_STORE:
        return held  # a retirement puts into store; what failed or was scrapped was moved by itself
    if not any(s.action == "delete" and s.change_set == last.change_set for s in side.changed[position]):
        return held
    if _replaced(side, last, position):
        return held
    values = (last.before.get(name, value) for name, value in zip(cell.columns, held.values, strict=True))
    return Held(tuple(values), held.reasons)


def _replaced(side: Sight, last: Step, position: Born) -> bool:
    """Whether another came to a position once this one had left it, in the same change-set."""
    later = side.news[next(n for n, step in enumerate(side.news) if step is last) + 1 :]
    return any(
        step.born.table == last.born.table and step.change_set == last.change_set and step.after.get("tag") == position
        for step in later
    )


def _lasting(planner: Planner, held: Held, base: Held) -> Held:
    """A place to which it was moved; where that position is gone, the place before, or else in store."""
    if held == base or held.values[0] is None or not planner.dead(held.values[0]):
        return held
    return _back(planner, base)


def _back(planner: Planner, base: Held) -> Held:
    """The place before a move that is not heeded."""
    if base.values[0] is None or not planner.dead(base.values[0]):
        return base
    return Held((None, IN_STORE, *base.values[2:]), base.reasons)


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


def _give_way(group: list[Move]) -> None:
    """Put into store what cannot be where it was moved to, where another has its place before that."""
    while move := next((m for m in _clash(group) if m.fell_back and m.choice != "base"), None):
        stored = Held((None, IN_STORE, *move.base.values[2:]), move.base.reasons)
        move.outcome, move.choice, move.base = "kept", "base", stored


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
        move.outcome, move.choice, move.base = "kept", "base", _back(planner, move.base)


def _moved(move: Move, side: Literal["ours", "theirs"]) -> bool:
    return not alike(move.base, move.ours if side == "ours" else move.theirs)


def _keep(planner: Planner, move: Move) -> None:
    """Note in the plan what becomes of a move."""
    plan, cell = planner.plan, move.cell
    there, whole = planner.theirs.held(cell), planner.theirs.now(cell.born) is not None
    taken = move.choice == "theirs" and alike(move.held, there)
    if cell.born in planner.theirs.changed:
        told: Outcome = "taken" if taken or not whole else "kept"
        plan.outcome[cell] = move.outcome if move.outcome in ("conflict", "same") else told
    # What is taken is entered step by step, on what there was before.
    values = move.base.values if taken else move.held.values
    if not alike(values, planner.ours.held(cell).values):
        values = values if any(values) else (None, IN_STORE, *values[2:])
        plan.put.setdefault(cell.born, {}).update(zip(cell.columns, values, strict=True))


def _told(planner: Planner, table: str, group: list[Move]) -> Conflict:
    """The conflict of a group of moves; what gave way has no part in it."""
    group = [m for m in group if m.choice != "base"]
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
