"""The models that fit each position: tried there with the settings of their sheets, as far as they could matter.

To look for settings is what takes long. A model that fails without any is tried no further; and no rule that was
unknown without them gets known by them, so that each model can be told how near it may come at best: one of another
kind than the present even before it is judged. What cannot come as near as another one that can be bought, and is not
asked about, is left out; but what may cover is tried until one of the present kind that can be bought does: to cover,
nothing may be unknown, while the nearest may be of the present kind and unknown.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlite_utils import Database

from register import columns
from register.facts.assumptions import Assumption
from register.maintenance.device_failures import OUT_OF_ORDER
from register.planning.replace.candidates import Finder
from register.planning.replace.catalogue import Candidate
from register.planning.replace.dependent_rules import POSITION, decided_early_by, is_repeated
from register.planning.stock.holdings import Far, Fit
from register.planning.trials import Judged
from register.rulebook.model import Grade, Outcome, Pack

AT_ONCE = 180  # positions
BYPASS = frozenset(column.name for column in columns.TABLES["bypass"].columns) - {"tag"}


@dataclass(frozen=True, kw_only=True)
class Tried(Fit):
    """One model tried at a position: how it fits, and the settings with which it was tried."""

    candidate: Candidate
    settings: Mapping[str, Any]

    @property
    def model(self) -> str:
        """Its catalogue number."""
        return self.candidate.model


Models = dict[str, Tried]
Places = Sequence[tuple[str, Candidate]]
Wanted = Callable[[str, Models, Models], list[str]]  # of some at a position, by what was found there


def of_the_device(pack: Pack, assumptions: Iterable[Assumption]) -> dict[str, bool]:
    """The major rules that depend on a starting device; for each, True where it needs no settings.

    Left out are what is repeated after every swap, and the bypass of a device.
    """
    stand_ins = tuple(assumptions)
    found = {}
    for rule in pack.rules:
        if rule.grade != Grade.MAJOR or rule.subject != "position" or is_repeated(rule):
            continue
        early = decided_early_by(rule, stand_ins)
        if early != POSITION and not BYPASS.intersection(rule.columns):
            found[rule.id] = bool(early)
    return found


class Fitting:
    """Tries the models of a register, which is only read, at some of its positions.

    They are those that can be bought, that lie in store, or that are installed at one of the positions. Those `besides`
    are tried at every position, however near others come.
    """

    def __init__(
        self,
        db: Database,
        tags: Sequence[str],
        *,
        pack: Pack,
        today: date,
        measured_only: bool = False,
        besides: Collection[str] = (),
    ) -> None:
        self.finder = Finder(db, tags, pack=pack, today=today, measured_only=measured_only)
        self.trials = self.finder.trials
        self.rules = of_the_device(self.trials.pack, self.trials.assumptions)
        self.early = tuple(r for r in self.trials.pack.rules if self.rules.get(r.id))
        self.asked = tuple(r for r in self.trials.pack.rules if r.id in self.rules)
        self.besides = frozenset(besides)
        self.stored = frozenset(c.model for c in self.finder.candidates if c.stored)
        there = {self.trials.base[tag]["model"] for tag in tags} | self.stored
        self.candidates = [c for c in self.finder.candidates if not c.stored and (c.obtainable or c.model in there)]

    def each(self, tags: Sequence[str]) -> Iterator[tuple[str, dict[str, Tried]]]:
        """The models at each position, some positions at once: all that could be the nearest, or are asked about."""
        for begin in range(0, len(tags), AT_ONCE):
            yield from self._some(tags[begin : begin + AT_ONCE]).items()

    def _some(self, tags: Sequence[str]) -> dict[str, Models]:
        found: dict[str, Models] = {tag: {} for tag in tags}
        unset: dict[str, Models] = {tag: {} for tag in tags}
        new = {tag: {c.model: Tried(candidate=c, settings={}) for c in self.candidates} for tag in tags}

        def taken(models: dict[str, Models], wanted: Wanted) -> Places:
            names = ((tag, name) for tag in tags for name in wanted(tag, models[tag], found[tag]))
            return [(tag, models[tag].pop(name).candidate) for tag, name in names]

        near, first = self._as_near, self._first
        for wanted, set_next in (self._alike, first), (near, first), (near, near):
            for tag, one in self._unset(taken(new, wanted)):
                (found if one.failed else unset)[tag][one.model] = one
            for tag, one in self._set(taken(unset, set_next)):
                found[tag][one.model] = one
        return found

    def _unset(self, places: Places) -> Iterator[tuple[str, Tried]]:
        """Models at positions, judged by the rules that need no settings."""
        judged = self.trials.judge((self.finder.catalogue.at(*place) for place in places), self.early)
        for (tag, candidate), failed, unknown in zip(places, *_unmet(judged), strict=True):
            yield tag, Tried(failed, unknown, candidate=candidate, settings={})

    def _set(self, places: Places) -> Iterator[tuple[str, Tried]]:
        """Models at positions, judged with the settings of their sheets."""
        settings, variants = self.finder.with_settings(places) if places else ([], [])
        unmet = _unmet(self.trials.judge(variants, self.asked))
        for (tag, candidate), given, failed, unknown in zip(places, settings, *unmet, strict=True):
            yield tag, Tried(failed, unknown, candidate=candidate, settings=given)

    def _alike(self, tag: str, waiting: Models, _: Models) -> list[str]:
        """The models of the present kind, and those asked about."""
        return [m for m, one in waiting.items() if not self._far(tag, one)[1] or self._is_asked_about(tag, one)]

    def _first(self, tag: str, waiting: Models, found: Models) -> list[str]:
        """Of those that may come as near the ones that may come nearest, and those asked about."""
        may = self._as_near(tag, waiting, found)
        least = min((self._far(tag, waiting[m]) for m in may), default=None)
        return [m for m, one in waiting.items() if self._far(tag, one) == least or self._is_asked_about(tag, one)]

    def _as_near(self, tag: str, waiting: Models, found: Models) -> list[str]:
        """The models that may come as near as the nearest one that can be bought, or may cover where that does not."""
        had = [one for one in found.values() if one.candidate.obtainable]
        if not had:
            return list(waiting)
        nearest = min(had, key=lambda one: self._far(tag, one))
        least = self._far(tag, nearest)
        return [m for m, o in waiting.items() if self._far(tag, o) <= least or (o.covers and not nearest.covers)]

    def _far(self, tag: str, one: Tried) -> Far:
        return one.far(alike=(one.candidate.kind or None) == self.trials.base[tag]["device_kind"])

    def _is_asked_about(self, tag: str, one: Tried) -> bool:
        """True for what is installed there, and for what lies in store where it may cover or is wanted now."""
        there = self.trials.base[tag]
        in_store = one.model in self.stored and (not one.open or there["device_status"] in OUT_OF_ORDER)
        return in_store or one.model == there["model"] or one.model in self.besides

    def to_read(self, tried: Mapping[str, Tried]) -> dict[str, tuple[str, ...]]:
        """By position, the fields to read so that what is unknown of a model there can be judged."""
        if not tried:
            return {}
        variants = [self.finder.catalogue.at(tag, one.candidate, one.settings) for tag, one in tried.items()]
        with self.trials.opened(variants) as opened:
            found = opened.to_read({tag: one.open for tag, one in tried.items()})
        return {
            tag: tuple(dict.fromkeys(name for rule in one.open for name in found[tag][rule]))
            for tag, one in tried.items()
        }


def _unmet(judged: Judged) -> tuple[list[tuple[str, ...]], list[tuple[str, ...]]]:
    """For each variant the rules that fail, and those that are unknown."""
    return judged.each_having(Outcome.FAILED), judged.each_having(Outcome.CANT_TELL)
