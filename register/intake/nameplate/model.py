"""What was read on a nameplate, and what is proposed of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

Corner = tuple[float, float]
# how far the plate itself confirms a value. What the reader of the picture believes is no part of it.
AGREES = "agrees"  # the plate's own arithmetic comes out
ALONE = "not checked"  # nothing else on the plate says it
SEVERAL = "which one?"
DOUBTED = "doubted"


@dataclass(frozen=True, slots=True)
class TextLine:
    """A piece of text on a picture, with its corners in pixels: top left, top right, bottom right, bottom left."""

    text: str
    corners: tuple[Corner, Corner, Corner, Corner]


@dataclass(frozen=True, slots=True)
class Reading:
    """One value of one column as it stands on a plate.

    `row` tells which values belong together where a plate has several ratings (230/400 V, 49/28 A); `line`
    is the number of the piece of text, -1 where a person gave the value.
    """

    column: str
    value: Any
    text: str
    line: int = -1
    row: int = 0


@dataclass(frozen=True, slots=True)
class Proposal:
    """What a plate proposes for a column: its readings, how far the plate confirms them, and why."""

    column: str
    readings: tuple[Reading, ...]
    state: str
    why: str = ""

    @property
    def value(self) -> Any:
        """The one value proposed; None where there are several."""
        return self.readings[0].value if len(self.readings) == 1 else None


@dataclass(frozen=True, slots=True)
class Photograph:
    """A picture of a plate with its text."""

    name: str
    sha256: str
    width: int
    height: int
    lines: tuple[TextLine, ...]


@dataclass(frozen=True, slots=True)
class PlateRead:
    """A picture, what it proposes, what the register has at the position (nothing where none was named)."""

    photograph: Photograph
    proposals: tuple[Proposal, ...]
    tag: str | None
    on_file: Mapping[str, Any]
    accepted: tuple[tuple[str, str, str], ...] = ()
    note: str = ""
