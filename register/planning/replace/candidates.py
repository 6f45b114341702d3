"""What could go in the place of a device: everything tried there, and ranked by what it would fail.

Every offer is judged by the rules that need neither its settings nor the study of its start; then
the best first by all rules, with the settings of its sheet, until no other could come before those
that are judged whole. So the order is that of judging every one of them whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from itertools import islice
from math import inf
from typing import Any

import numpy as np
from sqlite_utils import Database

from register.planning.replace.catalogue import Offer, Store
from register.planning.replace.dependent_rules import BROUGHT, WHATEVER, is_owed, tells_early
from register.planning.replace.other_changes import READS, forced, said
from register.planning.settings.settings import NEEDS, chosen
from register.planning.trial import Trials, Variant
from register.rulebook.model import Outcome, Pack

FIRST, MORE = 16, 4  # offers judged whole at first, and how many times as many the next time
AT_ONCE = 2_000  # offers judged whole at once, at all positions together
POSITIONS = 50  # searched together
MAJOR = "major"


@dataclass(frozen=True)
class Candidate:
    """An offer as it would stand at a position: what it would fail, what is unknown of it.

    `failed` and `open` are rules by grade; `owed` those decided by checks and readings that are
    made anew once a device has come in, which speak neither for nor against it. `opens` are the
    major rules that are unknown of it, less those already unknown there for want of
    what is read at the position. `settings` are those that its sheet gives, `forces` what it would
    have changed round it.
    """

    offer: Offer
    variant: Variant
    settings: Mapping[str, Any]
    outcomes: Mapping[str, Outcome]
    provisional: tuple[str, ...]
    failed: Mapping[str, tuple[str, ...]]
    open: Mapping[str, tuple[str, ...]]
    owed: tuple[str, ...]
    opens: tuple[str, ...]
    forces: tuple[str, ...]

    @property
    def majors(self) -> tuple[str, ...]:
        """The major rules that it would fail."""
        return self.failed[MAJOR]

    @property
    def open_majors(self) -> tuple[str, ...]:
        """The major rules that are unknown of it."""
        return self.open[MAJOR]

    @property
    def fits(self) -> bool:
        """Whether it fails no major rule."""
        return not self.majors

    @property
    def rank(self) -> tuple:
        """Its place in the order: the least comes first."""
        return _rank(self.offer, len(self.majors), len(self.opens), len(self.forces))


@dataclass(frozen=True)
class Ranked:
    """The best candidates for a position, in order, out of so many tried.

    `never` are the major rules that none of them passes; of these, `own` are the position's: no
    device affects them.
    """

    tag: str
    candidates: tuple[Candidate, ...]
    tried: int
    never: tuple[str, ...] = ()
    own: tuple[str, ...] = ()

    @property
    def best(self) -> Candidate | None:
        """The first, where it can be had and fails no major rule."""
        found = self.candidates[0] if self.candidates else None
        return found if found and found.fits and found.offer.obtainable else None


@dataclass
class _Search:
    """The search at one position: what waits, least rank first, and what is judged whole."""

    tag: str
    waiting: list[tuple[tuple, int]]
    never: frozenset[str]
    own: frozenset[str]
    found: list[Candidate] = field(default_factory=list)
    next_many: int = FIRST

    def settled(self, top: int | None) -> bool:
        """Whether those waiting can change neither the first `top` nor what none passes."""
        if not self.waiting:
            return True
        if top is None or len(self.found) < top:
            return False
        told = self.found[0].fits or set(self.found[0].majors) <= self.never
        return told and self.found[top - 1].rank <= self.waiting[0][0]

    def taken(self) -> list[int]:
        """The next to be judged whole."""
        now, self.waiting = self.waiting[: self.next_many], self.waiting[self.next_many :]
        self.next_many *= MORE
        return [at for _, at in now]

    def ranked(self, top: int | None, tried: int) -> Ranked:
        """What came of it."""
        never = set(self.never)
        if self.found and not self.waiting:
            never |= set.intersection(*(set(c.majors) for c in self.found))
        return Ranked(self.tag, tuple(self.found[:top]), tried, tuple(sorted(never)), tuple(sorted(self.own)))


class Finder:
    """Finds candidates at some positions of an open register, which is only read."""

    def __init__(
        self,
        db: Database,
        tags: Sequence[str],
        *,
        pack: Pack,
        today: date,
        measured_only: bool = False,
        stored_only: bool = False,
    ) -> None:
        self.trials = Trials(db, tags, pack=pack, today=today, measured_only=measured_only)
        self.store = Store(db, today)
        self.offers = [o for o in self.store.offers if o.stored or not stored_only]
        rules, stand_ins = self.trials.pack.rules, self.trials.assumptions
        self.early = {r.id: tells_early(r, stand_ins) for r in rules if not is_owed(r)}
        self.band = tuple(pack.limits[name].value for name in ("control_voltage_low", "control_voltage_high"))

    def candidates(self, tag: str, *, top: int | None = 5) -> Ranked:
        """The best `top` candidates for a position, in order; None for all of them."""
        return self.at_each([tag], top=top)[0]

    def at_each(self, tags: Iterable[str], *, top: int | None = 1) -> list[Ranked]:
        """The best `top` candidates for each of some positions, in their order."""
        tags, found = list(tags), []
        for begin in range(0, len(tags), POSITIONS):
            some = self._searched(tags[begin : begin + POSITIONS], top)
            found += [search.ranked(top, len(self.offers)) for search in some]
        return found

    def _searched(self, tags: Sequence[str], top: int | None) -> list[_Search]:
        together = max(1, AT_ONCE // max(1, len(self.offers)))
        searches = [
            search for begin in range(0, len(tags), together) for search in self._begun(tags[begin : begin + together])
        ]
        while going := [s for s in searches if not s.settled(top)]:
            asked = ((search, at) for search in going for at in search.taken())
            while now := list(islice(asked, AT_ONCE)):
                whole = self.whole([(search.tag, self.offers[at]) for search, at in now])
                for (search, _), candidate in zip(now, whole, strict=True):
                    search.found.append(candidate)
            for search in going:
                search.found.sort(key=lambda c: c.rank)
        return searches

    def _begun(self, tags: Sequence[str]) -> Iterator[_Search]:
        """Every offer by the rules that tell early: the least rank that each can have."""
        rules = [rule for rule in self.trials.pack.rules if self.early.get(rule.id)]
        own = {rule for rule, early in self.early.items() if early == WHATEVER}
        many = len(self.offers)
        places = [(tag, offer) for tag in tags for offer in self.offers]
        judged = self.trials.judge((self.store.at(*place) for place in places), rules, beside=READS)
        forces = self._forced(judged.facts, [tag for tag, _ in places]).sum(axis=1).tolist()
        majors = judged.counts(Outcome.FAILED, MAJOR).tolist()
        for number, tag in enumerate(tags):
            rows = slice(number * many, (number + 1) * many)
            told = {r.id for r in rules} - self._open_here[tag]
            unknown = judged.counts(Outcome.CANT_TELL, MAJOR, told)[rows].tolist()
            ranks = map(_rank, self.offers, majors[rows], unknown, forces[rows])
            waiting = sorted((rank, at) for at, rank in enumerate(ranks))
            failing = judged.failed_by_all(MAJOR, rows)
            yield _Search(tag, waiting, failing, failing & own)

    @cached_property
    def _open_here(self) -> dict[str, frozenset[str]]:
        """The rules that are unknown at each position for want of what is read at it.

        Where no device is known to stand, nobody can say whose want it is.
        """
        return {
            tag: frozenset(
                rule for rule, fields in open_.items() if set(fields) - BROUGHT and self.trials.base[tag]["model"]
            )
            for tag, open_ in self.trials.to_read_now(MAJOR).items()
        }

    def _forced(self, facts: Mapping[str, Sequence[Any]], tags: list[str]) -> np.ndarray:
        now = [self.trials.base[tag]["device_kind"] for tag in tags]
        return forced(facts, now, control_band=self.band)

    def whole(self, places: Sequence[tuple[str, Offer]]) -> list[Candidate]:
        """Offers at positions, with the settings of their sheets, judged by every rule."""
        facts, _ = self.trials.facts([self.store.at(tag, offer) for tag, offer in places])
        made = chosen({name: facts[name] for name in NEEDS}, pack=self.trials.pack)
        settings = [made.at(row) for row in range(len(places))]
        variants = [self.store.at(*p, s) for p, s in zip(places, settings, strict=True)]
        judged = self.trials.judge(variants)
        forces = self._forced(judged.facts, [tag for tag, _ in places])
        owed = {rule.id for rule in judged.verdicts.rules if rule.id not in self.early}
        found = []
        for row, (tag, offer) in enumerate(places):
            kind = self.trials.base[tag]["device_kind"]
            failed, open_ = (judged.by_grade(row, o) for o in (Outcome.FAILED, Outcome.CANT_TELL))
            every = [rule for told in (failed, open_) for ids in told.values() for rule in ids]
            found.append(
                Candidate(
                    offer=offer,
                    variant=variants[row],
                    settings=settings[row],
                    outcomes=judged.outcomes(row),
                    provisional=judged.provisional(row),
                    failed=_without(failed, owed),
                    open=_without(open_, owed),
                    owed=tuple(rule for rule in every if rule in owed),
                    opens=tuple(rule for rule in open_[MAJOR] if rule not in owed and rule not in self._open_here[tag]),
                    forces=tuple(said(judged.facts, row, forces[row], kind)),
                )
            )
        return found


def _without(told: Mapping[str, tuple[str, ...]], owed: set[str]) -> dict[str, tuple[str, ...]]:
    return {grade: tuple(r for r in rules if r not in owed) for grade, rules in told.items()}


def _rank(offer: Offer, majors: int, unknown: int, forces: int) -> tuple:
    def known(number: float | None) -> float:
        return inf if number is None else number

    # What lies in store is paid for.
    price = 0.0 if offer.stored else known(offer.price)
    return (
        not offer.obtainable,
        majors,
        unknown,
        not offer.stored,
        known(offer.lead_time_days),
        price,
        forces,
        offer.name,
    )


def failed_positions(db: Database) -> list[str]:
    """The positions whose device is marked failed."""
    rows = db.execute("SELECT tag FROM device WHERE device_status = 'failed' AND tag IS NOT NULL ORDER BY tag")
    return [tag for (tag,) in rows]
