"""What a rule may be about: a position, a bus, or a device in store; and what is known of each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from register.columns.model import Column


@dataclass(frozen=True, slots=True)
class Subject:
    """One kind of thing that is judged: `relation` has a row of `columns` for each `key`."""

    name: str
    plural: str
    relation: str
    key: str
    columns: Mapping[str, Column]

    def named(self, key: str) -> str:
        """One of them beside others: a position by its tag alone, `bus MCC-1`, a device so too."""
        return key if self.name == "position" else f"{self.name} {key}"


def _derived(relation: str, name: str, kind: str, unit: str, sentence: str) -> Column:
    return Column(name, kind, sentence, unit, origin="derived", table=relation)


BUS_DERIVED = tuple(
    _derived("bus_facts", *told)
    for told in (
        ("bus_positions", "integer", "", "positions that the register has on the bus"),
        ("feeder_limit_a", "real", "A", "largest protection that the code permits before all motors of the bus"),
        (
            "feeder_limit_known_a",
            "real",
            "A",
            "the same of the motors of which enough is known; more motors only raise it",
        ),
        (
            "transformer_fault_ka",
            "real",
            "kA",
            "fault current that the transformer lets through from a grid without limit",
        ),
        ("source_fault_ka", "real", "kA", "fault current from the grid upstream through the transformer"),
    )
)

STORE_DERIVED = tuple(
    _derived("store_facts", *told)
    for told in (("places_of_model", "integer", "", "positions whose device is of the spare's model"),)
)
