"""What a store holds and should hold, as it is shown: groups, what is short, who has no cover."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from register.planning.years.failure_rates import Rate

Far = tuple[int, bool, int]
READY, STALE, UNSURE = "ready", "past its shelf life", "shelf life is unknown"


@dataclass(frozen=True)
class Fit:
    """One model tried at one position: the major rules it fails, and those that are unknown."""

    failed: tuple[str, ...] = ()
    open: tuple[str, ...] = ()

    @property
    def covers(self) -> bool:
        """True where every major rule that depends on the device is passed."""
        return not self.failed and not self.open

    def far(self, *, alike: bool) -> Far:
        """How far it is from covering, the least being the nearest; `alike` is one of the present kind."""
        return len(self.failed), not alike, len(self.open)


Fits = Mapping[str, Mapping[str, Fit]]


@dataclass(frozen=True)
class Place:
    """A position as the store sees it; `rate` is the highest of all where its kind is unknown."""

    tag: str
    criticality: str | None
    standby: str | None
    kind: str | None
    model: str | None
    rate: Rate
    has_failed: bool = False

    @property
    def wants_one(self) -> bool:
        """Whether a spare lies there for it alone: critical, and no standby is known of."""
        return self.criticality == "critical" and self.standby != "installed"


@dataclass(frozen=True)
class Spare:
    """A device in store, and whether it may be put in: only a ready one counts as held."""

    serial: str
    model: str | None
    state: str
    to_read: tuple[str, ...] = ()


@dataclass(frozen=True)
class CatalogueItem:
    """A model as it can be bought."""

    model: str
    kind: str | None
    price: float | None
    lead_time_days: float | None
    lifecycle: str | None


@dataclass(frozen=True)
class Group:
    """Positions that one model covers: how many to hold for them, and what is held.

    `by_demand` is what the service level asks for; None where the lead time is unknown.
    `hold` adds those that have failed already, and is 1 at least where one `wants_one`.
    """

    item: CatalogueItem
    places: tuple[Place, ...]
    demand: float | None
    by_demand: int | None
    hold: int
    held: tuple[str, ...]
    enough_pct: float | None
    to_read: tuple[str, ...]

    @property
    def tags(self) -> tuple[str, ...]:
        """The positions, in order."""
        return tuple(place.tag for place in self.places)

    @property
    def failed_now(self) -> int:
        """Positions whose device has failed already."""
        return sum(place.has_failed for place in self.places)

    @property
    def short(self) -> int:
        """How many are missing."""
        return max(0, self.hold - len(self.held))


@dataclass(frozen=True)
class Bare:
    """A position that no model is known to cover: what the nearest fails, or what to read."""

    tag: str
    criticality: str | None
    nearest: str | None
    failed: tuple[str, ...]
    open: tuple[str, ...]
    to_read: tuple[str, ...] = ()


@dataclass(frozen=True)
class Stock:
    """What to hold, what is held, and what is not covered.

    `uncovered` are critical positions for which nothing ready in store is known to fit; `bare`
    those for which nothing that is tried does. `surplus` are ready and needed by no group. `rates`
    tell what the rate of each kind of device is based on.
    """

    site: str
    today: str
    currency: str
    service_level_pct: float
    groups: tuple[Group, ...]
    uncovered: tuple[Place, ...]
    bare: tuple[Bare, ...]
    surplus: tuple[Spare, ...]
    not_ready: tuple[Spare, ...]
    all_enough_pct: float | None
    rates: tuple[tuple[str, str], ...] = ()
