"""Which value of a limit holds where: the pack's, or a site's override."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from register.rulebook.model import TODAY, Override, Pack, Rule


class LimitLayers:
    """The limits of a pack as SQL, and in words.

    Nearest wins: position, area, site, pack; for what is no position, site and pack. Where an area
    has a value of its own, the limit of a position whose area is unknown is unknown too, so that
    filling the area in flips no verdict.
    """

    def __init__(self, pack: Pack, names: Iterable[str], subject: str = "position") -> None:
        self.names = tuple(dict.fromkeys(name for name in names if name != TODAY))
        self._limits = pack.limits
        self._layers = {name: pack.layer_of(name) for name in self.names}
        self._by_name: dict[str, list[Override]] = {name: [] for name in self.names}
        for override in pack.overrides:
            lies_there = subject == "position" or override.layer == "site"
            if override.limit in self._by_name and lies_there:
                self._by_name[override.limit].append(override)
        self._sql: dict[str, str] = {}
        self.values: dict[str, Any] = {}
        for name in self.names:
            self._lay(name)

    def sql(self, name: str) -> str:
        """What stands for `:name` in a query over facts; its values are in `values`."""
        return self._sql.get(name, f":{name}")

    def needs_area(self, name: str) -> bool:
        """Whether the value depends on the area."""
        return any(o.layer == "area" for o in self._by_name.get(name, ()))

    @property
    def differ(self) -> bool:
        """Whether an area or a position has a value of its own."""
        return any(o.layer != "site" for own in self._by_name.values() for o in own)

    def told(self, name: str, tag: str, area: str | None) -> tuple[float | None, str, str]:
        """Value, layer and reason of a limit at a position."""
        layers = {(o.layer, o.at): o for o in self._by_name[name]}
        for layer, at in (("position", tag), ("area", area), ("site", "")):
            if (layer, at) in layers:
                override = layers[layer, at]
                reason = f"{override.reason} ({override.by}, {override.on})"
                return override.value, f"{layer} {at}".strip(), reason
            if layer == "area" and area is None and self.needs_area(name):
                return None, "area", "the area of this position is unknown"
        limit = self._limits[name]
        return limit.value, self._layers[name], str(limit.basis)

    def _lay(self, name: str) -> None:
        own = self._limits[name].value
        positions, areas = [], []
        for override in self._by_name[name]:
            if override.layer == "site":
                own = override.value
            else:
                (positions if override.layer == "position" else areas).append(override)
        self.values[name] = own
        sql = f":{name}"
        if areas:
            sql = self._cases(name, "area", areas, f"CASE WHEN area IS NOT NULL THEN {sql} END")
        if positions:
            sql = self._cases(name, "tag", positions, sql)
        self._sql[name] = sql

    def _cases(self, name: str, column: str, layers: list[Override], otherwise: str) -> str:
        branches = []
        for count, override in enumerate(layers):
            key = f"{name}_{column}_{count}"
            self.values |= {f"{key}_at": override.at, f"{key}_value": override.value}
            branches.append(f"WHEN :{key}_at THEN :{key}_value")
        return f"CASE {column} {' '.join(branches)} ELSE {otherwise} END"


def read_by(
    rules: Iterable[Rule], pack: Pack, *, today: str, subject: str = "position"
) -> tuple[LimitLayers, Mapping[str, Any]]:
    """The limits that rules of one subject read, in layers, and all values to bind in a query."""
    layers = LimitLayers(pack, (name for rule in rules for name in rule.limits), subject)
    return layers, {**layers.values, TODAY: today}
