"""The candidates for any position: every device in store, every catalogue model."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

from sqlite_utils import Database

from register.facts.whatif import NOT_YET, Variant
from register.planning.replace.dependent_rules import SETTING
from register.planning.replace.installed import brought, new_device
from register.text import shown

UNIDENTIFIED = "unidentified model"
FIRSTS = {"first_reviewed_on": "parameters reviewed", "first_bumped_on": "bump test"}


@dataclass(frozen=True)
class Candidate:
    """A device that could be put in: one in store by its `serial`, or a new one of its `model`.

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
        """True for one in store."""
        return self.serial is not None

    @property
    def name(self) -> str:
        """The serial of one in store, the model of a new one."""
        return self.serial if self.serial is not None else self.model

    @property
    def where(self) -> str:
        """How it is to be had, in words."""
        if self.stored:
            return "in store"
        if not self.obtainable:
            return "withdrawn, none in store: it can't be bought"
        if self.lead_time_days is None:
            return "to be bought, time of delivery unknown"
        return f"to be bought, {shown(self.lead_time_days, 'd')}"


class Catalogue:
    """The devices in store and the models, and what is counted of them at a position."""

    def __init__(self, db: Database, today: date) -> None:
        self.db, self.today = db, today.isoformat()
        self.devices = [dict(row) for row in db.query("SELECT * FROM device")]
        self.models = {row["model"]: dict(row) for row in db.query("SELECT * FROM model")}
        self._sinces: dict[str, dict[str, Any]] = {}

    @cached_property
    def candidates(self) -> tuple[Candidate, ...]:
        """All of them: those in store first, then the models, in order of name."""
        stored = sorted(filter(_in_store, self.devices), key=lambda row: row["device"])
        new = sorted(name for name in self.models if not name.startswith(UNIDENTIFIED))
        return (
            *(self._candidate(row, row["device"]) for row in stored),
            *(self._candidate(new_device(name), None) for name in new),
        )

    def _candidate(self, device: Mapping[str, Any], serial: str | None) -> Candidate:
        model = self.models.get(device["model"], {})
        return Candidate(
            model=model.get("model") or UNIDENTIFIED,
            serial=serial,
            kind=model.get("device_kind") or "",
            maker=model.get("model_maker") or "",
            price=model.get("price"),
            lead_time_days=model["lead_time_days"] if serial is None else 0.0,
            obtainable=serial is not None or model["lifecycle"] != "withdrawn",
            brings=brought(device, model, self.today),
        )

    def at(self, tag: str, candidate: Candidate, settings: Mapping[str, Any] | None = None) -> Variant:
        """A candidate put at a position, whose device has failed.

        Where nothing is set in it, what it was set to at its last place is still in it.
        """
        spares = {"spares_in_store": self._spares_beside[candidate.name]}
        changes = {**candidate.brings, **spares, **self._since(tag), **(settings or {})}
        if settings is not None and SETTING.isdisjoint(settings):
            changes |= self._left_in.get(candidate.serial, dict.fromkeys(SETTING))
        return Variant(tag, changes)

    def _since(self, tag: str) -> dict[str, Any]:
        """The first checks since today, and the third latest event, of which the swap is one; no start was seen yet."""
        if tag not in self._sinces:
            events = sorted((*self._events[tag], self.today), reverse=True)
            firsts = {
                name: min((d for d in self._records[tag, kind] if d >= self.today), default=None)
                for name, kind in FIRSTS.items()
            }
            third = events[2] if len(events) > 2 else None
            self._sinces[tag] = {"third_last_event_on": third, "settings_since_on": NOT_YET} | firsts
        return self._sinces[tag]

    @cached_property
    def _spares_beside(self) -> dict[str, int | None]:
        return {c.name: self._spares(c) for c in self.candidates}

    def _spares(self, candidate: Candidate) -> int | None:
        """Spares like the candidate that stay in store; None where that is unknown."""
        model = self.models.get(candidate.model)
        if model is None or candidate.model.startswith(UNIDENTIFIED):
            return None
        stored = self._stored_models
        spares = sum(stored[m] for m in {candidate.model, model["successor"]} - {None}) - candidate.stored
        if spares:
            return spares
        counted = stored.total() > candidate.stored and not self._unclear
        return 0 if counted and (model["successor"] or model["lifecycle"] == "current") else None

    @cached_property
    def _left_in(self) -> dict[str | None, dict[str, Any]]:
        """The latest settings of each device that has any."""
        rows = self.db.query("SELECT * FROM setting ORDER BY setting_recorded_on")
        return {row.pop("device"): row for row in map(dict, rows)}

    @cached_property
    def _unclear(self) -> bool:
        """True where a device lies about of unknown type, or of which nobody knows whether it is a spare."""
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
        return _days(self.db.execute("SELECT tag, happened_on FROM event"))

    @cached_property
    def _records(self) -> dict[tuple[str, str], list[str]]:
        sql = "SELECT tag, record_kind, done_on FROM record WHERE result <> 'not done'"
        return _days(((tag, kind), day) for tag, kind, day in self.db.execute(sql))


def _days(rows: Iterable[tuple[Any, str]]) -> dict[Any, list[str]]:
    found: dict[Any, list[str]] = defaultdict(list)
    for key, day in rows:
        found[key].append(day)
    return found


def _in_store(row: Mapping[str, Any]) -> bool:
    return row["device_status"] == "in store" and row["tag"] is None
