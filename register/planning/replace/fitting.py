"""Which model fits where: each is tried in place, with the settings that its sheet would give."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlite_utils import Database

from register import columns
from register.facts.assumptions import Assumption
from register.planning.replace.candidates import Finder
from register.planning.replace.catalogue import Offer
from register.planning.replace.dependent_rules import WHATEVER, is_owed, tells_early
from register.planning.stock.holdings import Fit
from register.planning.trial import Judged
from register.rulebook.model import Grade, Outcome, Pack

AT_ONCE = 20  # positions
WAY_ROUND = frozenset(column.name for column in columns.TABLES["bypass"].columns) - {"tag"}


@dataclass(frozen=True)
class Tried:
    """One model tried at a position: how it fits, and the settings with which it was tried."""

    offer: Offer
    fit: Fit
    settings: Mapping[str, Any]

    @property
    def model(self) -> str:
        """Its catalogue number."""
        return self.offer.model


def of_the_device(pack: Pack, assumptions: Iterable[Assumption]) -> dict[str, bool]:
    """The major rules that a starting device has a part in; whether each tells without settings.

    Left out are what is outstanding after every swap, and the bypass of the device.
    """
    stand_ins = tuple(assumptions)
    found = {}
    for rule in pack.rules:
        if rule.grade != Grade.MAJOR or rule.subject != "position" or is_owed(rule):
            continue
        early = tells_early(rule, stand_ins)
        if early != WHATEVER and not WAY_ROUND.intersection(rule.columns):
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
        there = {self.trials.base[tag]["model"] for tag in tags}
        there |= {offer.model for offer in self.finder.offers if offer.stored}
        self.offers = [
            offer for offer in self.finder.offers if not offer.stored and (offer.obtainable or offer.model in there)
        ]

    def each(self, tags: Sequence[str]) -> Iterator[tuple[str, dict[str, Tried]]]:
        """Every model at each position, some positions at once.

        What fails already by the rules that need no settings is tried no further.
        """
        for begin in range(0, len(tags), AT_ONCE):
            yield from self._some(tags[begin : begin + AT_ONCE]).items()

    def _some(self, tags: Sequence[str]) -> dict[str, dict[str, Tried]]:
        places = [(tag, offer) for tag in tags for offer in self.offers]
        bare = self.trials.judge((self.finder.store.at(*place) for place in places), self.early)
        found: dict[str, dict[str, Tried]] = {tag: {} for tag in tags}
        for row, (tag, offer) in enumerate(places):
            found[tag][offer.model] = Tried(offer, _fit(bare, row), {})
        able = [(tag, o) for tag, o in places if not found[tag][o.model].fit.failed]
        whole = self.finder.whole(able) if able else ()
        for (tag, offer), made in zip(able, whole, strict=True):
            failed = tuple(rule for rule in made.majors if rule in self.rules)
            unknown = tuple(rule for rule in made.open_majors if rule in self.rules)
            found[tag][offer.model] = Tried(offer, Fit(failed, unknown), made.settings)
        return found

    def to_read(self, tag: str, one: Tried) -> tuple[str, ...]:
        """The fields to read so that what is left open of a model at a position is told."""
        variant = self.finder.store.at(tag, one.offer, one.settings)
        fields = self.trials.to_read(variant, one.fit.open)
        return tuple(dict.fromkeys(name for names in fields.values() for name in names))


def _fit(judged: Judged, row: int) -> Fit:
    return Fit(judged.failed(row), judged.having(row, Outcome.CANT_TELL))
