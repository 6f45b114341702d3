"""Which model fits where: each is tried in place, with the settings that its sheet would give."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from sqlite_utils import Database

from register import columns
from register.facts.derived import entered_behind
from register.facts.trial import trial
from register.planning.candidates import Finder, is_light
from register.planning.holdings import Fit
from register.planning.offers import UNIDENTIFIED, Offer
from register.planning.trial import Judged
from register.rulebook.model import Grade, Outcome, Pack, Rule

# A rule that reads a column of these is about what a device brings; but what is done and entered
# anew after a swap, what lies in store beside it, and the way round it are not the device's.
OF_THE_DEVICE = frozenset({"device", "model", "setting"})
NOT_ITS_OWN = frozenset({"record", "around", "bypass"})


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


def of_the_device(pack: Pack) -> tuple[Rule, ...]:
    """The major rules of positions that a starting device has a part in."""
    return tuple(
        rule for rule in pack.rules
        if rule.grade == Grade.MAJOR and rule.subject == "position"
        and OF_THE_DEVICE & _tables(rule.columns) and not NOT_ITS_OWN & _tables(rule.columns)
    )  # fmt: skip


@cache
def _tables(names: tuple[str, ...]) -> frozenset[str]:
    behind = frozenset().union(*(entered_behind(name) for name in names))
    return frozenset(columns.FACTS[name].table for name in behind.union(names))


class Fitting:
    """Tries the models of a register, which is only read, at some of its positions.

    They are those that can be bought, that lie in store, or that stand at one of the positions.
    """

    def __init__(
        self, db: Database, tags: Sequence[str], *, pack: Pack, today: date,
        measured_only: bool = False,
    ) -> None:  # fmt: skip
        self.finder = Finder(db, tags, pack=pack, today=today, measured_only=measured_only)
        self.trials = self.finder.trials
        self.rules = of_the_device(self.trials.pack)
        self.light = tuple(rule for rule in self.rules if is_light(rule))
        there = {self.trials.base[tag]["model"] for tag in tags}
        there |= {offer.model for offer in self.finder.offers if offer.stored}
        self.offers = [
            offer for offer in self.finder.offers
            if not offer.stored and offer.model != UNIDENTIFIED
            and (offer.obtainable or offer.model in there)
        ]  # fmt: skip

    def at(self, tag: str) -> dict[str, Tried]:
        """Every model at one position; what fails without its settings is tried no further."""
        bare = self.trials.judge(
            (self.finder.store.at(tag, offer) for offer in self.offers), self.light
        )
        found = {o.model: Tried(o, _fit(bare, row), {}) for row, o in enumerate(self.offers)}
        able = [tried.offer for tried in found.values() if not tried.fit.failed]
        own = frozenset(rule.id for rule in self.rules)
        for made in self.finder.whole(tag, able) if able else ():
            failed = tuple(rule for rule in made.majors if rule in own)
            unknown = tuple(rule for rule in made.open_majors if rule in own)
            found[made.offer.model] = Tried(made.offer, Fit(failed, unknown), made.settings)
        return found

    def to_read(self, tag: str, one: Tried) -> tuple[str, ...]:
        """The fields to read so that what is left open of a model at a position is told."""
        variant = self.finder.store.at(tag, one.offer, one.settings)
        names = self.trials.undecided(variant, one.fit.open)
        (facts,) = trial(
            self.trials.db, [tag], tables=self.trials.method.tables,
            assumptions=self.trials.assumptions, tried=variant.changes,
        )  # fmt: skip
        return facts.to_read(names)


def _fit(judged: Judged, row: int) -> Fit:
    return Fit(judged.failed(row), judged.having(row, Outcome.CANT_TELL))
