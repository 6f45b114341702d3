"""The models that fit each position: every one is tried there, with the settings of its sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlite_utils import Database

from register import columns
from register.facts.assumptions import Assumption
from register.planning.replace.candidates import Finder
from register.planning.replace.catalogue import Candidate
from register.planning.replace.dependent_rules import POSITION, decided_early_by, is_repeated
from register.planning.stock.holdings import Fit
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

    They are those that can be bought, that lie in store, or that are installed at one of the positions.
    """

    def __init__(
        self, db: Database, tags: Sequence[str], *, pack: Pack, today: date, measured_only: bool = False
    ) -> None:
        self.finder = Finder(db, tags, pack=pack, today=today, measured_only=measured_only)
        self.trials = self.finder.trials
        self.rules = of_the_device(self.trials.pack, self.trials.assumptions)
        self.early = tuple(r for r in self.trials.pack.rules if self.rules.get(r.id))
        self.asked = tuple(r for r in self.trials.pack.rules if r.id in self.rules)
        there = {self.trials.base[tag]["model"] for tag in tags}
        there |= {c.model for c in self.finder.candidates if c.stored}
        self.candidates = [c for c in self.finder.candidates if not c.stored and (c.obtainable or c.model in there)]

    def each(self, tags: Sequence[str]) -> Iterator[tuple[str, dict[str, Tried]]]:
        """Every model at each position, some positions at once.

        What fails already by the rules that need no settings is tried no further.
        """
        for begin in range(0, len(tags), AT_ONCE):
            yield from self._some(tags[begin : begin + AT_ONCE]).items()

    def _some(self, tags: Sequence[str]) -> dict[str, dict[str, Tried]]:
        places = [(tag, candidate) for tag in tags for candidate in self.candidates]
        bare = self.trials.judge((self.finder.catalogue.at(*place) for place in places), self.early)
        found: dict[str, dict[str, Tried]] = {tag: {} for tag in tags}
        for (tag, candidate), failed, unknown in zip(places, *_unmet(bare), strict=True):
            found[tag][candidate.model] = Tried(failed, unknown, candidate=candidate, settings={})
        able = [(tag, c) for tag, c in places if not found[tag][c.model].failed]
        settings, variants = self.finder.with_settings(able) if able else ([], [])
        unmet = _unmet(self.trials.judge(variants, self.asked))
        for (tag, candidate), given, failed, unknown in zip(able, settings, *unmet, strict=True):
            found[tag][candidate.model] = Tried(failed, unknown, candidate=candidate, settings=given)
        return found

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
