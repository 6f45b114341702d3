"""A plan of replacements as it is shown: what in which year, what is left, what an audit says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from register.planning.years.risk import Risk


@dataclass(frozen=True)
class NewDevice:
    """The device planned for a position: its model, or one in store, set as the sheet says.

    `failed` and `open` are the major rules it fails there, and those that are unknown;
    `clears` those that the present device fails, however it is set, and this one does not.
    """

    model: str
    stored: str
    price: float | None
    lead_time_days: float | None
    failed: tuple[str, ...]
    open: tuple[str, ...]
    clears: tuple[str, ...]
    settings: Mapping[str, Any]
    to_read: tuple[str, ...] = ()


@dataclass(frozen=True)
class Item:
    """One replacement: where, what for what, when, at what price, and the risk it takes away."""

    tag: str
    description: str | None
    area: str | None
    criticality: str | None
    old_device: str | None
    old_model: str | None
    candidate: NewDevice
    year: int
    price: float
    risk: Risk
    taken_away: float


@dataclass(frozen=True)
class SpareItem:
    """One spare to buy: the n-th of its model, when, at what price, for which positions, the risk it takes away.

    `found_pct` is the share of the failures there which then finds a spare on the shelf.
    """

    model: str
    kind: str | None
    year: int
    price: float
    lead_time_days: float | None
    nth: int
    tags: tuple[str, ...]
    found_pct: float
    taken_away: float


@dataclass(frozen=True)
class Left:
    """A position that would be the better for a replacement and has none in the plan: why not."""

    tag: str
    criticality: str | None
    risk: Risk
    why: str
    to_read: tuple[str, ...] = ()


@dataclass(frozen=True)
class YearEnd:
    """The audit of the whole register once all that is planned up to then is done.

    `new` are the major findings (tag, rule) that the year before had not; `outstanding` those of
    them that only ask for checks to be done and entered after a swap.
    """

    year: int
    spent: float
    replaced: int
    bought: int
    risk: float
    risk_unplanned: float
    majors: int
    cant_tell: int
    cleared: tuple[tuple[str, str], ...]
    new: tuple[tuple[str, str], ...]
    outstanding: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Plan:
    """The replacements and the spares of each year, what is left and why, and the audits year by year.

    Year 0 of `ends` is today. `better_pct` is by how much the best choice could at
    most take more risk away. `sound` devices are no better for a replacement; at `waiting`
    positions a failure would wait for a delivery, and `waiting_risk` is today's risk there; at
    `unstocked` of them no spare is weighed, as none is known to fit or to be had.
    """

    site: str
    today: str
    currency: str
    years: int
    budget: float
    outages: int | None
    items: tuple[Item, ...]
    spares: tuple[SpareItem, ...]
    left: tuple[Left, ...]
    ends: tuple[YearEnd, ...]
    better_pct: float
    rates: tuple[tuple[str, str], ...]
    sound: int
    waiting: int
    waiting_risk: float
    unstocked: int

    @property
    def taken_away(self) -> float:
        """The risk that the plan takes away until its end."""
        return sum(item.taken_away for item in self.items) + sum(spare.taken_away for spare in self.spares)
