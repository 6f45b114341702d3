"""What could go in the place of a device: everything tried there, and ranked by what it would fail.

Every offer is judged by the rules that need neither its settings nor a study; those then, the best
first, by all rules and with the settings of their sheet, until no offer left could come before one
that is judged whole. The order is that of judging every one of them whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import inf
from typing import Any

from sqlite_utils import Database

from register import columns
from register.columns import TABLES
from register.facts.derived import STUDIED, entered_behind, needed_for, results
from register.planning.offers import Offer, Store
from register.planning.settings import NEEDS, chosen
from register.planning.trial import Judged, Trials, Variant
from register.rulebook.model import Outcome, Pack, Rule

TOGETHER = 24  # offers judged whole at a time
MAJOR = "major"
SET = frozenset(c.name for c in TABLES["setting"].columns) | {"relay_set_a", "relay_reset"}
# What the place has, what the device asks or is made for, and what has to be changed if they differ.
FORCED = (
    ("enclosure_need", "device_enclosure", "enclosure"),
    ("control_voltage_v", "device_control_voltage_v", "control voltage"),
    ("control_protocol", "protocols", "network protocol"),
    ("protection_kind", "line_protection_kind", "kind of line protection"),
    ("semiconductor_fuses", "semiconductor_fuse_required", "semiconductor fuses"),
)


@dataclass(frozen=True)
class Candidate:
    """An offer as it would stand at a position: what it would fail, what can't be told of it.

    `failed` and `open` are the rules, `majors` and `open_majors` those of grade major among them;
    `settings` those that its sheet gives; `forces` what it would have others change.
    """

    offer: Offer
    variant: Variant
    settings: Mapping[str, Any]
    outcomes: Mapping[str, Outcome]
    majors: tuple[str, ...]
    open_majors: tuple[str, ...]
    minors: tuple[str, ...]
    provisional: tuple[str, ...]
    forces: tuple[str, ...]

    @property
    def fits(self) -> bool:
        """Whether it passes every major rule that can be told."""
        return not self.majors

    @property
    def rank(self) -> tuple:
        """Its place in the order: the least comes first."""
        return _rank(self.offer, len(self.majors), len(self.open_majors), len(self.forces))


@dataclass(frozen=True)
class Ranked:
    """The best candidates for a position, of how many; and what none of them can satisfy.

    `hopeless` are the major rules that even the best fail, `own` those of them that what stands
    there now fails too.
    """

    tag: str
    candidates: tuple[Candidate, ...]
    tried: int
    hopeless: tuple[str, ...]
    own: tuple[str, ...]

    @property
    def best(self) -> Candidate | None:
        """The first that can be had and passes every major rule that can be told."""
        return next((c for c in self.candidates if c.fits and c.offer.obtainable), None)


class Finder:
    """Finds candidates at some positions of an open register, which is only read."""

    def __init__(
        self, db: Database, tags: Sequence[str], *, pack: Pack, today: date,
        measured_only: bool = False, stored_only: bool = False,
    ) -> None:  # fmt: skip
        self.trials = Trials(db, tags, pack=pack, today=today, measured_only=measured_only)
        self.store = Store(db, today)
        self.offers = [o for o in self.store.offers if o.stored or not stored_only]
        self.light = tuple(rule for rule in self.trials.pack.rules if is_light(rule))

    def candidates(self, tag: str, *, top: int | None = 5) -> Ranked:
        """The best `top` candidates for a position, in order; None for all of them."""
        bare = [self.store.at(tag, offer) for offer in self.offers]
        waiting = self._by_light(tag, bare)
        found: list[Candidate] = []
        while waiting and not _settled(found, waiting[0][0], top):
            batch, waiting = waiting[:TOGETHER], waiting[TOGETHER:]
            found += self.whole(tag, [self.offers[at] for _, at in batch])
            found.sort(key=lambda c: c.rank)
        chosen_ = tuple(found if top is None else found[:top])
        return Ranked(tag, chosen_, len(self.offers), *self._hopeless(tag, found))

    def _by_light(self, tag: str, bare: list[Variant]) -> list[tuple[tuple, int]]:
        """The least rank that each offer can have, with its number, in order."""
        judged = self.trials.judge(bare, self.light)
        majors = judged.counts(Outcome.FAILED, MAJOR).tolist()
        unknown = judged.counts(Outcome.CANT_TELL, MAJOR).tolist()
        base = self.trials.base[tag]
        return sorted(
            (_rank(offer, majors[at], unknown[at], len(tuple(_forces(base, offer)))), at)
            for at, offer in enumerate(self.offers)
        )

    def whole(self, tag: str, offers: Sequence[Offer]) -> list[Candidate]:
        """Some offers at a position, with the settings of their sheet, judged by every rule."""
        facts, _ = self.trials.facts([self.store.at(tag, offer) for offer in offers])
        made = chosen({name: facts[name] for name in NEEDS}, pack=self.trials.pack)
        settings = [made.at(row) for row in range(len(offers))]
        variants = [self.store.at(tag, o, s) for o, s in zip(offers, settings, strict=True)]
        judged = self.trials.judge(variants)
        return [self._candidate(tag, offer, settings[row], judged, row)
                for row, offer in enumerate(offers)]  # fmt: skip

    def _candidate(
        self, tag: str, offer: Offer, settings: Mapping[str, Any], judged: Judged, row: int
    ) -> Candidate:
        return Candidate(
            offer=offer,
            variant=judged.variants[row],
            settings=settings,
            outcomes={rule.id: judged.outcome(row, rule.id) for rule in judged.verdicts.rules},
            majors=judged.failed(row, MAJOR),
            open_majors=judged.having(row, Outcome.CANT_TELL, MAJOR),
            minors=judged.failed(row, "minor"),
            provisional=judged.provisional(row),
            forces=tuple(_forces(self.trials.base[tag], offer)),
        )

    def _hopeless(
        self, tag: str, found: Iterable[Candidate]
    ) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """The major rules that every candidate fails, and those of them failed as it stands."""
        failing = [set(c.majors) for c in found]
        if not failing:
            return (), ()
        common = set.intersection(*failing)
        now = self.trials.judge([Variant("as it stands", {}, tag)])
        stands = set(now.failed(0, MAJOR))
        return tuple(sorted(common)), tuple(sorted(common & stands))


def _rank(offer: Offer, majors: int, unknown: int, forces: int) -> tuple:
    def known(number: float | None) -> float:
        return inf if number is None else number

    return (not offer.obtainable, majors, unknown, not offer.stored, known(offer.lead_time_days),
            known(offer.price), forces, offer.name)  # fmt: skip


def _settled(found: list[Candidate], least: tuple, top: int | None) -> bool:
    """Whether none of those waiting can come among the first `top`."""
    return top is not None and len(found) >= top and found[top - 1].rank <= least


def is_light(rule: Rule) -> bool:
    """Whether a rule can be judged before the settings are known and a start is studied."""
    derived = [n for n in rule.columns if columns.column(n).origin == "derived"]
    studied = any(STUDIED.intersection(results(c)) for c in needed_for(frozenset(derived)))
    return not studied and not any(entered_behind(name) & SET for name in rule.columns)


def _forces(base: Mapping[str, Any], offer: Offer) -> Iterator[str]:
    """What would have to be changed round the device, in words."""
    for here, asked, what in FORCED:
        has, wants = base[here], offer.brings[asked]
        if has is None or wants is None or _agree(has, wants):
            continue
        yield f"{what}: {_said(has, here)} there, {_said(wants, asked)} asked"
    rating, most = base["protection_rating_a"], offer.brings["line_protection_max_a"]
    if rating is not None and most is not None and rating > most:
        yield f"line protection: {rating:g} A there, at most {most:g} A asked"


def _agree(has: Any, wants: Any) -> bool:
    if isinstance(has, str) and isinstance(wants, str):
        offered = {word.strip().casefold() for word in wants.replace(" or ", ",").split(",")}
        return has.strip().casefold() in offered or wants == "no"
    return has == wants


def _said(value: Any, name: str) -> str:
    unit = columns.column(name).unit
    return f"{value:g} {unit}".strip() if isinstance(value, float | int) else str(value)


def failed_positions(db: Database) -> list[str]:
    """The positions whose device is marked failed."""
    rows = db.execute(
        "SELECT tag FROM device WHERE device_status = 'failed' AND tag IS NOT NULL ORDER BY tag"
    )
    return [tag for (tag,) in rows]

