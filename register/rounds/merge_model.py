"""What a merge finds: the cells that two registers changed, and where they contradict each other."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Literal, NamedTuple

from register.rounds.lineage import Born
from register.rounds.three_way import Outcome

Side = Literal["ours", "theirs"]
# What says where a motor or a device is: changed together, and decided together.
PLACE = {
    "motor": ("tag", "motor_status", "motor_installed_on"),
    "device": ("tag", "device_status", "device_installed_on", "stored_since"),
}
STATUS = {"motor": "motor_status", "device": "device_status"}
# Rows that come and go with their position.
OF_A_POSITION = ("action", "concession", "event", "record", "control", "bypass", "protection")
WHERE, RETIRED, REMOVED = "place", "retired", "removed"


class Cell(NamedTuple):
    """A row, and the columns of it that are one matter."""

    born: Born
    columns: tuple[str, ...]


class Held(NamedTuple):
    """What a cell holds: its values, and for each that is blank why."""

    values: tuple[Any, ...]
    reasons: tuple[str | None, ...]


@dataclass(frozen=True, slots=True)
class Said:
    """What one side has in a cell, who entered it, when and why."""

    value: str
    who: str = ""
    when: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True)
class Conflict:
    """A matter that both registers changed, each in its own way; `table`, `row` and `column` name it."""

    table: str
    row: str
    column: str
    tag: str
    base: str
    here: Said
    there: Said

    @property
    def key(self) -> tuple[str, str, str]:
        """By which a decision names it."""
        return self.table, self.row, self.column


@dataclass(slots=True)
class MergePlan:
    """What a merge would do, cell by cell and row by row.

    `outcome` of each cell that the other register changed; `stays` are rows that the other removed and that stay;
    `returns` rows that were removed here and come back; `goes` rows that go with a position that the other retired;
    `declined` rows of which nothing is taken, `same_rows` those that stand here already, by the row that they are here.
    `put` are values by column that are set before all else, `unnoted` cells whose reason for a blank is forgotten.
    `waiting` are positions and their rows of which nothing more is asked until one conflict is decided.
    """

    outcome: dict[Cell, Outcome] = field(default_factory=dict)
    conflicts: list[Conflict] = field(default_factory=list)
    stays: set[Born] = field(default_factory=set)
    returns: list[Born] = field(default_factory=list)
    goes: list[Born] = field(default_factory=list)
    declined: set[Born] = field(default_factory=set)
    same_rows: dict[Born, Born] = field(default_factory=dict)
    put: dict[Born, dict[str, Any]] = field(default_factory=dict)
    unnoted: list[Cell] = field(default_factory=list)
    waiting: set[Born] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class Merged:
    """What a merge did, or would do where there is no `change_set`.

    `change_sets` were taken over; cells were `taken`, were the `same` on both sides, or `kept` as they are here. Rows
    `came` and `went`. `renumbered` are records and their like that have another number here. `audits` were kept in
    the copy and stay there.
    """

    change_set: int | None
    change_sets: int = 0
    taken: int = 0
    same: int = 0
    kept: int = 0
    came: int = 0
    went: int = 0
    conflicts: tuple[Conflict, ...] = ()
    decided: int = 0
    renumbered: tuple[str, ...] = ()
    audits: int = 0
