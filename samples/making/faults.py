"""Seeding faults: a fault edits one clean position so that named rules, and no others, fail."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from random import Random

Place = dict[str, object]


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


def starting(letters: str, **wanted: object) -> Callable[[Place], bool]:
    """A test for positions that start that way and hold those values."""
    return lambda p: p["letter"] in letters and all(p.get(k) == v for k, v in wanted.items())


def times(factor: float, column: str = "fla_a") -> Callable[[Place], float]:
    """So many times what the position has in that column."""
    return lambda p: round(factor * p[column], 1)


def seed(
    places: list[Place], catalogue: dict[str, Place], faults: Iterable[Fault]
) -> list[tuple[str, str, str]]:
    """Put each fault at the first clean position that suits; (tag, rule, note) of every one.

    Raises LookupError when no position suits a fault: the scene has to change.
    """
    seeded: list[tuple[str, str, str]] = []
    scarcest_first = sorted(faults, key=lambda fault: len(_suitable(places, catalogue, fault)))
    for fault in scarcest_first:
        suitable = _suitable(places, catalogue, fault)
        if not suitable:
            raise LookupError(f"no clean position suits the fault {fault.rules}: {fault.note}")
        place = Random(fault.note).choice(suitable)
        view = catalogue[place["model"]] | place
        if fault.model:
            entry = catalogue[place["model"]] | _worked_out(fault.model, view)
            entry["model"] = _own_number(entry["model"], catalogue)
            catalogue[entry["model"]] = entry
            place["model"] = entry["model"]
        place |= _worked_out(fault.edits, view)
        place["seeded"] = fault
        seeded += [(place["tag"], rule, fault.note) for rule in fault.rules.split()]
    return seeded


def _suitable(places: list[Place], catalogue: dict[str, Place], fault: Fault) -> list[Place]:
    return [
        place
        for place in places
        if not place.get("seeded") and fault.where(catalogue[place["model"]] | place)
    ]


def _worked_out(edits: dict[str, object], view: Place) -> Place:
    return {name: edit(view) if callable(edit) else edit for name, edit in edits.items()}


def _own_number(number: str, catalogue: dict[str, Place]) -> str:
    return next(own for letter in "KMNRW" if (own := f"{number}{letter}") not in catalogue)
