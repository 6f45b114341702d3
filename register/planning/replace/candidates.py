"""What could replace the device at a position: every candidate tried there, ranked by what it would fail.

Every candidate is judged by the rules that need neither its settings nor the study of its start;
then the best first by all rules, with the settings of its sheet, until no other could come before
those that are fully judged. So the order is that of fully judging every one of them.
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

from register.facts.whatif import Variant
from register.planning.replace.catalogue import Candidate, Catalogue
from register.planning.replace.dependent_rules import BROUGHT, POSITION, decided_early_by, is_repeated
from register.planning.replace.other_changes import READS, described, other_changes
from register.planning.settings.settings import NEEDS, chosen
from register.planning.trials import Trials
from register.rulebook.model import Outcome, Pack

FIRST, MORE = 16, 4  # candidates fully judged at first, and how many times as many the next time
AT_ONCE = 2_000  # candidates fully judged at once, at all positions together
POSITIONS = 50  # searched together
MAJOR = "major"


@dataclass(frozen=True)
class Judged:
    """A candidate as it would be at a position: what it would fail, what is unknown of it.

    `failed` and `open` are rules by grade; `repeated` those decided by checks and readings that are
    repeated once a device has come in, which speak neither for nor against it. `opens` are the
    major rules unknown with it, less those already unknown there for want of what is read at the
    position. `settings` are those that its sheet gives, `other_changes` what else would be changed.
    """

    candidate: Candidate
    variant: Variant
    settings: Mapping[str, Any]
    outcomes: Mapping[str, Outcome]
    provisional: tuple[str, ...]
    failed: Mapping[str, tuple[str, ...]]
    open: Mapping[str, tuple[str, ...]]
    repeated: tuple[str, ...]
    opens: tuple[str, ...]
    other_changes: tuple[str, ...]
    alike: bool  # of the kind that is installed

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
        """True where it fails no major rule."""
        return not self.majors

    @property
    def rank(self) -> tuple:
        """Its place in the order: the least comes first."""
        return _rank(self.candidate, len(self.majors), len(self.opens), len(self.other_changes), self.alike)


@dataclass(frozen=True)
class Ranked:
    """The best candidates for a position, in order, out of so many tried.

    `never` are the major rules that none of them passes; of these, `own` are the position's: they
    come out the same with any device.
    """

    tag: str
    candidates: tuple[Judged, ...]
    tried: int
    never: tuple[str, ...] = ()
    own: tuple[str, ...] = ()


@dataclass
class _Search:
    """The search at one position: which candidates wait, least rank first, and which are fully judged."""

    tag: str
    waiting: list[tuple[tuple, int]]
    never: frozenset[str]
    own: frozenset[str]
    judged: list[Judged] = field(default_factory=list)
    next_many: int = FIRST

    def finished(self, top: int | None) -> bool:
        """True once no waiting candidate can change the result: the first `top`, and what none passes."""
        if not self.waiting:
            return True
        if top is None or len(self.judged) < top:
            return False
        best = self.judged[0]
        never_known = best.fits or set(best.majors) <= self.never
        return never_known and self.judged[top - 1].rank <= self.waiting[0][0]

    def taken(self) -> list[int]:
        """The next candidates to be fully judged."""
        now, self.waiting = self.waiting[: self.next_many], self.waiting[self.next_many :]
        self.next_many *= MORE
        return [at for _, at in now]

    def ranked(self, top: int | None, tried: int) -> Ranked:
        """The result."""
        never = set(self.never)
        if self.judged and not self.waiting:
            never |= set.intersection(*(set(c.majors) for c in self.judged))
        return Ranked(self.tag, tuple(self.judged[:top]), tried, tuple(sorted(never)), tuple(sorted(self.own)))


class Finder:
    """Finds candidates for some positions of an open register, which is only read."""

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
        self.catalogue = Catalogue(db, today)
        self.candidates = [c for c in self.catalogue.candidates if c.stored or not stored_only]
        assumptions = self.trials.assumptions
        self.early = {r.id: decided_early_by(r, assumptions) for r in self.trials.pack.rules if not is_repeated(r)}
        self.band = tuple(pack.limits[name].value for name in ("control_voltage_low", "control_voltage_high"))

    def ranked(self, tags: Iterable[str], *, top: int | None = 1) -> list[Ranked]:
        """The best `top` candidates for each of some positions, in their order; None for all of them."""
        tags, found = list(tags), []
        for begin in range(0, len(tags), POSITIONS):
            some = self._searched(tags[begin : begin + POSITIONS], top)
            found += [search.ranked(top, len(self.candidates)) for search in some]
        return found

    def _searched(self, tags: Sequence[str], top: int | None) -> list[_Search]:
        together = max(1, AT_ONCE // max(1, len(self.candidates)))
        searches = [
            search for begin in range(0, len(tags), together) for search in self._begun(tags[begin : begin + together])
        ]
        while going := [s for s in searches if not s.finished(top)]:
            asked = ((search, at) for search in going for at in search.taken())
            while now := list(islice(asked, AT_ONCE)):
                whole = self.judged([(search.tag, self.candidates[at]) for search, at in now])
                for (search, _), one in zip(now, whole, strict=True):
                    search.judged.append(one)
            for search in going:
                search.judged.sort(key=lambda c: c.rank)
        return searches

    def _begun(self, tags: Sequence[str]) -> Iterator[_Search]:
        """Every candidate judged by the rules that are decided early: the least rank that each can have."""
        rules = [rule for rule in self.trials.pack.rules if self.early.get(rule.id)]
        own = {rule for rule, early in self.early.items() if early == POSITION}
        many = len(self.candidates)
        places = [(tag, candidate) for tag in tags for candidate in self.candidates]
        judged = self.trials.judge((self.catalogue.at(*place) for place in places), rules, beside=READS)
        changes = self._other_changes(judged.facts, [tag for tag, _ in places]).sum(axis=1).tolist()
        majors = judged.counts(Outcome.FAILED, MAJOR).tolist()
        for number, tag in enumerate(tags):
            rows = slice(number * many, (number + 1) * many)
            counted = {r.id for r in rules} - self._open_here[tag]
            unknown = judged.counts(Outcome.CANT_TELL, MAJOR, counted)[rows].tolist()
            alike = (self._alike(tag, candidate) for candidate in self.candidates)
            ranks = map(_rank, self.candidates, majors[rows], unknown, changes[rows], alike)
            waiting = sorted((rank, at) for at, rank in enumerate(ranks))
            failing = judged.failed_by_all(MAJOR, rows)
            yield _Search(tag, waiting, failing, failing & own)

    @cached_property
    def _open_here(self) -> dict[str, frozenset[str]]:
        """The major rules unknown at each position for want of what is read at it.

        Where no device is known to be installed, nobody can say whose want it is.
        """
        now = self.trials.now
        asked = {v.tag: now.having(row, Outcome.CANT_TELL, MAJOR) for row, v in enumerate(now.variants)}
        with self.trials.opened(now.variants) as opened:
            unknown = opened.to_read(asked)
        return {
            tag: frozenset(
                rule for rule, fields in rules.items() if set(fields) - BROUGHT and self.trials.base[tag]["model"]
            )
            for tag, rules in unknown.items()
        }

    def _alike(self, tag: str, candidate: Candidate) -> bool:
        """Whether a candidate is of the kind that is installed; False where either is unknown."""
        return bool(candidate.kind) and candidate.kind == self.trials.base[tag]["device_kind"]

    def _other_changes(self, facts: Mapping[str, Sequence[Any]], tags: list[str]) -> np.ndarray:
        now = [self.trials.base[tag]["device_kind"] for tag in tags]
        return other_changes(facts, now, control_band=self.band)

    def with_settings(self, places: Sequence[tuple[str, Candidate]]) -> tuple[list[dict[str, Any]], list[Variant]]:
        """The settings of the sheets of candidates at positions, and each of them there with its settings."""
        facts, _ = self.trials.facts([self.catalogue.at(*place) for place in places], only=frozenset(NEEDS))
        settings = chosen({name: facts[name] for name in NEEDS}, pack=self.trials.pack)
        given = [settings.at(row) for row in range(len(places))]
        return given, [self.catalogue.at(*p, s) for p, s in zip(places, given, strict=True)]

    def judged(self, places: Sequence[tuple[str, Candidate]]) -> list[Judged]:
        """Candidates at positions, with the settings of their sheets, judged by every rule."""
        given, variants = self.with_settings(places)
        verdicts = self.trials.judge(variants)
        changes = self._other_changes(verdicts.facts, [tag for tag, _ in places])
        found = []
        for row, (tag, candidate) in enumerate(places):
            failed, open_ = (verdicts.by_grade(row, o) for o in (Outcome.FAILED, Outcome.CANT_TELL))
            unmet = [rule for by_grade in (failed, open_) for ids in by_grade.values() for rule in ids]
            failed, open_ = (
                {g: tuple(r for r in ids if r in self.early) for g, ids in o.items()} for o in (failed, open_)
            )
            kind = self.trials.base[tag]["device_kind"]
            found.append(
                Judged(
                    candidate=candidate,
                    variant=variants[row],
                    settings=given[row],
                    outcomes=verdicts.outcomes(row),
                    provisional=verdicts.provisional(row),
                    failed=failed,
                    open=open_,
                    repeated=tuple(rule for rule in unmet if rule not in self.early),
                    opens=tuple(rule for rule in open_[MAJOR] if rule not in self._open_here[tag]),
                    other_changes=tuple(described(verdicts.facts, row, changes[row], kind)),
                    alike=self._alike(tag, candidate),
                )
            )
        return found


def _rank(candidate: Candidate, majors: int, unknown: int, changes: int, alike: bool) -> tuple:
    def known(number: float | None) -> float:
        return inf if number is None else number

    # A device in store is paid for.
    price = 0.0 if candidate.stored else known(candidate.price)
    return (
        not candidate.obtainable,
        majors,
        # Nobody can count on a delivery of which nothing is known, however much is known of the device.
        not candidate.stored and candidate.lead_time_days is None,
        # Whoever stands before a failed device reaches for its like on the shelf.
        not (candidate.stored and alike),
        unknown,
        not candidate.stored,
        known(candidate.lead_time_days),
        not alike,
        price,
        changes,
        candidate.name,
    )


def failed_positions(db: Database) -> list[str]:
    """The positions whose device is marked failed."""
    rows = db.execute("SELECT tag FROM device WHERE device_status = 'failed' AND tag IS NOT NULL ORDER BY tag")
    return [tag for (tag,) in rows]
