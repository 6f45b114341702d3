"""Seeding faults: a fault edits one clean position so that named rules, and no others, fail."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from random import Random

Place = dict[str, object]

# The place of a fault is drawn by its note; a note that was reworded is drawn by its first words.
DRAWN_BY = {
    "a long, thin cable across the yard": "long way round the yard on a thin cable",
    "critical drive without a bypass": "critical drive without a way round",
    "device failed, running on the bypass": "device failed, running on the way round",
    "glass-lined pump; its bypass is a hard start": "glass-lined pump; its way round is a hard start",
    "the bypass has no line protection": "the way round has no line protection",
    "the bypass lost the device's overload": "the way round lost the device's overload",
    "bypass not tested for three years": "way round not tried for three years",
    "6 starts an hour; by its duty code the device withstands 5": (
        "6 starts an hour; by its duty code the device bears 5"
    ),
    "9 starts an hour of a motor that withstands about 5": "9 starts an hour of a motor that bears about 5",
    "jogged 14 times an hour; the device withstands 10": "jogged 14 times an hour; the device bears 10",
    "old motor, not rated for a drive": "old motor, not made for a drive",
    "ramp for pumps set on a blower": "pump stop set on a blower",
}


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing made wrong: where it may be put, what it changes, which rules must see it.

    A value of `edits` or `model` may be a function of the position. `model` changes the catalogue
    entry, which then becomes an entry of its own. Nothing may be blank where the fault is only seen
    in a whole study of the start.
    """

    rules: str
    note: str
    where: Callable[[Place], bool]
    edits: dict[str, object] = field(default_factory=dict)
    model: dict[str, object] = field(default_factory=dict)
    whole: bool = False

    @property
    def of_the_papers(self) -> bool:
        """Whether it is one of records or of spares, which leaves motor and device alone."""
        themes = {rule.split("/")[0] for rule in self.rules.split()}
        own = self.model.keys() <= {"price", "lead_time_days"}
        return own and themes <= {"commissioning", "lifecycle"}

    def beside(self, other: Fault) -> Fault:
        """Both at one position."""
        return Fault(
            f"{self.rules} {other.rules}",
            self.note,
            self.where,
            self.edits | other.edits,
            self.model | other.model,
            whole=self.whole or other.whole,
        )


def starting(letters: str, **wanted: object) -> Callable[[Place], bool]:
    """A test for positions that start that way and hold those values."""
    return lambda p: p["letter"] in letters and all(p.get(k) == v for k, v in wanted.items())


def times(factor: float, column: str = "fla_a") -> Callable[[Place], float]:
    """So many times what the position has in that column."""
    return lambda p: round(factor * p[column], 1)


def seed(places: list[Place], catalogue: dict[str, Place], faults: Iterable[Fault]) -> list[tuple[str, str, str]]:
    """Put each fault at the first clean position that suits; (tag, rule, note) of every one.

    Raises LookupError when no position suits a fault: the scene has to change.
    """
    seeded: list[tuple[str, str, str]] = []
    scarcest_first = sorted(faults, key=lambda fault: len(_suitable(places, catalogue, fault)))
    for fault in scarcest_first:
        suitable = _suitable(places, catalogue, fault) or _beside(places, catalogue, fault)
        if not suitable:
            raise LookupError(f"no clean position suits the fault {fault.rules}: {fault.note}")
        place = Random(DRAWN_BY.get(fault.note, fault.note)).choice(suitable)
        view = catalogue[place["model"]] | place
        if fault.model:
            entry = catalogue[place["model"]] | _worked_out(fault.model, view)
            entry["model"] = _own_number(entry["model"], catalogue)
            catalogue[entry["model"]] = entry
            place["model"] = entry["model"]
        place |= _worked_out(fault.edits, view)
        before = place.get("seeded")
        place["seeded"] = fault.beside(before) if before else fault
        seeded += [(place["tag"], rule, fault.note) for rule in fault.rules.split()]
    return seeded


def _suitable(places: list[Place], catalogue: dict[str, Place], fault: Fault) -> list[Place]:
    return [place for place in places if not place.get("seeded") and fault.where(catalogue[place["model"]] | place)]


def _beside(places: list[Place], catalogue: dict[str, Place], fault: Fault) -> list[Place]:
    """Positions whose fault and this one do not touch each other, one of them of the papers."""
    return [
        place
        for place in places
        if (before := place.get("seeded"))
        and before.of_the_papers != fault.of_the_papers
        and before.edits.keys().isdisjoint(fault.edits)
        and not (before.model and fault.model)
        and fault.where(catalogue[place["model"]] | place)
    ]


def _worked_out(edits: dict[str, object], view: Place) -> Place:
    return {name: edit(view) if callable(edit) else edit for name, edit in edits.items()}


def _own_number(number: str, catalogue: dict[str, Place]) -> str:
    return next(own for letter in "KMNRW" if (own := f"{number}{letter}") not in catalogue)
