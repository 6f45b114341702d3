"""What is asked of a roll-up, and a hash of all that a register is judged by: where it agrees, a summary is reused."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path

import register
from register.facts.method import present_method
from register.fleet.tables import FORM
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Pack

# What judges, beside the calculations.
JUDGING = ("audit", "facts", "fleet", "maintenance", "rulebook", "store")


@dataclass(frozen=True)
class Asked:
    """How every register is judged: on which day (its own, where None), by which rules beside its own.

    `days_between` are the days to bring a spare from plant to plant, from near to far; without any, none is shared.
    """

    today: date | None = None
    fleet_rules: Path | None = None
    measured_only: bool = False
    days_between: tuple[float, ...] = ()

    def packs(self, own_rules: Path | None) -> dict[str, Pack]:
        """The rules of a plant: its own, and those given for all plants."""
        packs = {"own": load_pack(site_folder=own_rules)}
        return packs | ({"fleet": load_pack(site_folder=self.fleet_rules)} if self.fleet_rules else {})


def judged_by(packs: dict[str, Pack], asked: Asked) -> str:
    """One hash of rules, limits, tables, assumed values, options and the program."""
    told = [FORM, register.__version__, _program(), asked.measured_only, *((by, p.hash) for by, p in packs.items())]
    return hashlib.blake2b(repr(told).encode(), digest_size=16).hexdigest()


@cache
def _program() -> str:
    digest = hashlib.blake2b(present_method().encode(), digest_size=16)
    package = Path(register.__file__).parent
    for source in sorted(path for room in JUDGING for path in (package / room).rglob("*.py")):
        digest.update(source.read_bytes())
    return digest.hexdigest()
