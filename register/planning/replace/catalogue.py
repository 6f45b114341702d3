"""What could stand at a position instead: every device in store, every catalogue model."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

from sqlite_utils import Database

from register.columns import TABLES
from register.planning.replace.installed import brought
from register.planning.trial import Variant

UNIDENTIFIED = "unidentified model"
SETTING = frozenset(c.name for c in TABLES["setting"].columns if c.name != "device")
FIRSTS = {"first_reviewed_on": "parameters reviewed", "first_bumped_on": "bump test"}


@dataclass(frozen=True)
class Offer:
    """One device that could be put in: from store by its `serial`, or a new one of its `model`.

    `brings` are the base columns that come with it. `lead_time_days` is 0 for one in store.
    """

    model: str
    serial: str | None
    kind: str
    maker: str
    price: float | None
    lead_time_days: float | None
    obtainable: bool
    brings: Mapping[str, Any]

    @property
    def stored(self) -> bool:
        """Whether it lies in store."""
        return self.serial is not None

    @property
    def name(self) -> str:
        """The serial of one in store, the model of a new one."""
        return self.serial if self.serial is not None else self.model


class Store:
    """The devices in store and the catalogue, and what is counted of them round a position."""

    def __init__(self, db: Database, today: date) -> None:
        self.db, self.today = db, today.isoformat()
        self.devices = [dict(row) for row in db.query("SELECT * FROM device")]
        self.models = {row["model"]: dict(row) for row in db.query("SELECT * FROM model")}
        self._sinces: dict[str, dict[str, Any]] = {}

    @cached_property
    def offers(self) -> tuple[Offer, ...]:
        """All of them: those in store first, then the catalogue, in order of name."""
        stored = (row for row in self.devices if _in_store(row))
        new = (name for name in self.models if not name.startswith(UNIDENTIFIED))
        return (
            *(self._stored(row) for row in sorted(stored, key=lambda r: r["device"])),
            *(self._new(name) for name in sorted(new)),
        )

    def _stored(self, row: Mapping[str, Any]) -> Offer:
        model = self.models.get(row["model"], {})
        brings = brought(row, model, self.today)
        return _offer(model, row["device"], brings, lead=0.0, obtainable=True)

    def _new(self, name: str) -> Offer:
        model = self.models[name]
        blank = {c.name: None for c in TABLES["device"].columns}
        brings = brought(blank | {"device": f"a new {name}", "model": name}, model, self.today)
        return _offer(model, None, brings, lead=model["lead_time_days"], obtainable=model["lifecycle"] != "withdrawn")

    def at(self, tag: str, offer: Offer, settings: Mapping[str, Any] | None = None) -> Variant:
        """An offer put at a position, what stood there having failed.

        Where nothing is set in it, what it was set to at its last place is still in it.
        """
        changes = {**offer.brings, **self._around(tag, offer), **(settings or {})}
        if settings is not None and SETTING.isdisjoint(settings):
            changes |= self._left_in.get(offer.serial, dict.fromkeys(SETTING))
        return Variant(offer.name, changes, tag)

    def _around(self, tag: str, offer: Offer) -> dict[str, Any]:
        """What is counted round the position once the offer is installed."""
        return {"spares_in_store": self._spares_beside[offer.name], **self._since(tag)}

    def _since(self, tag: str) -> dict[str, Any]:
        """The first checks since today, and the third latest event, of which the swap is one."""
        if tag not in self._sinces:
            events = sorted((*self._events[tag], self.today), reverse=True)
            firsts = {
                name: min((d for d in self._records[tag, kind] if d >= self.today), default=None)
                for name, kind in FIRSTS.items()
            }
            third = events[2] if len(events) > 2 else None
            self._sinces[tag] = {"third_last_event_on": third} | firsts
        return self._sinces[tag]

    @cached_property
    def _spares_beside(self) -> dict[str, int | None]:
        return {offer.name: self._spares(offer) for offer in self.offers}

    def _spares(self, offer: Offer) -> int | None:
        """Spares like the offer that stay in store; None where that is unknown."""
        model = self.models.get(offer.model)
        if model is None or offer.model.startswith(UNIDENTIFIED):
            return None
        stored = self._stored_models
        spares = sum(stored[m] for m in {offer.model, model["successor"]} - {None}) - offer.stored
        if spares:
            return spares
        told = stored.total() > offer.stored and not self._unclear
        return 0 if told and (model["successor"] or model["lifecycle"] == "current") else None

    @cached_property
    def _left_in(self) -> dict[str | None, dict[str, Any]]:
        """The latest settings of each device that has any."""
        rows = self.db.query("SELECT * FROM setting ORDER BY setting_recorded_on")
        return {row.pop("device"): row for row in map(dict, rows)}

    @cached_property
    def _unclear(self) -> bool:
        """Whether something lies about of which nobody knows the type, or whether it is a spare."""
        return any(
            row["device_status"] is None or (_in_store(row) and (row["model"] or UNIDENTIFIED).startswith(UNIDENTIFIED))
            for row in self.devices
            if row["tag"] is None
        )

    @cached_property
    def _stored_models(self) -> Counter:
        return Counter(row["model"] for row in self.devices if row["device_status"] == "in store")

    @cached_property
    def _events(self) -> dict[str, list[str]]:
        found: dict[str, list[str]] = defaultdict(list)
        for tag, day in self.db.execute("SELECT tag, happened_on FROM event"):
            found[tag].append(day)
        return found

    @cached_property
    def _records(self) -> dict[tuple[str, str], list[str]]:
        found: dict[tuple[str, str], list[str]] = defaultdict(list)
        sql = "SELECT tag, record_kind, done_on FROM record WHERE result <> 'not done'"
        for tag, kind, day in self.db.execute(sql):
            found[tag, kind].append(day)
        return found


def _in_store(row: Mapping[str, Any]) -> bool:
    return row["device_status"] == "in store" and row["tag"] is None


def _offer(
    model: Mapping[str, Any], serial: str | None, brings: Mapping[str, Any], *, lead: float | None, obtainable: bool
) -> Offer:
    return Offer(
        model=model.get("model") or UNIDENTIFIED,
        serial=serial,
        kind=model.get("device_kind") or "",
        maker=model.get("model_maker") or "",
        price=model.get("price"),
        lead_time_days=lead,
        obtainable=obtainable,
        brings=brings,
    )
