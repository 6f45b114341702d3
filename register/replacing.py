"""Candidates of the register in a file: for one position, or for every failed device."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from datetime import date
from functools import partial
from pathlib import Path

from sqlite_utils import Database

from register.errors import Problem, StartrollError
from register.facts.chunks import cores
from register.figures import shown
from register.planning.candidates import Candidate, Finder, Ranked, failed_positions
from register.planning.shortlist import Against, Listed, Never, Shortlist
from register.rulebook.load import load_pack
from register.rulebook.model import Outcome, Rule
from register.store.database import opened
from register.store.reading import positions, rows_at

FEW = 20  # positions that are quicker searched in one process than in several


def candidates(
    path: Path, tag: str, *, today: date, top: int = 5, in_store: bool = False,
    site_rules: Path | None = None, measured_only: bool = False,
) -> Shortlist:  # fmt: skip
    """The best candidates for the place of the device at one position.

    Parameters
    ----------
    path, today : the register, which is only read, and the day of the swap and the judgement.
    top : how many to tell of.
    in_store : try only what lies in store.
    site_rules : a folder of the site's own rules and limits.
    measured_only : use no stand-in.

    Raises StartrollError for an unknown tag, and where there is nothing to try.
    """
    with opened(path) as db:
        rows_at(db, tag)
        return _shortlists(db, [tag], today=today, top=top, in_store=in_store,
                           site_rules=site_rules, measured_only=measured_only)[0]  # fmt: skip


def for_failed(
    path: Path, *, today: date, area: str | None = None, in_store: bool = False,
    site_rules: Path | None = None, measured_only: bool = False,
) -> list[Shortlist]:  # fmt: skip
    """The best candidate for each device that is marked failed, in order of tag; of one area.

    Raises StartrollError for an unknown area.
    """
    with opened(path) as db:
        within = {row["tag"] for row in positions(db, area=area)}
        tags = [tag for tag in failed_positions(db) if tag in within]
    work = partial(_of_some, path, today=today, top=1, in_store=in_store, site_rules=site_rules,
                   measured_only=measured_only)  # fmt: skip
    return in_parts(work, tags)


def in_parts(work, tags: Sequence[str]) -> list[Shortlist]:
    """What `work` makes of the tags, in their order; shared out among cores where they are many."""
    many = min(cores(), len(tags) // FEW)
    if many < 2:
        return work(tags)
    try:
        with ProcessPoolExecutor(many) as pool:
            shares = list(pool.map(work, [tags[i::many] for i in range(many)]))
    except BrokenProcessPool:
        return work(tags)
    return sorted((made for share in shares for made in share), key=lambda s: s.tag)


def _of_some(path: Path, tags: Sequence[str], **how) -> list[Shortlist]:
    with opened(path) as db:
        return _shortlists(db, tags, **how) if tags else []


def _shortlists(
    db: Database, tags: Sequence[str], *, today: date, top: int, in_store: bool,
    site_rules: Path | None, measured_only: bool,
) -> list[Shortlist]:  # fmt: skip
    pack = load_pack(site_folder=site_rules)
    finder = Finder(db, tags, pack=pack, today=today, measured_only=measured_only,
                    stored_only=in_store)  # fmt: skip
    if not finder.offers:
        raise StartrollError(
            Problem("no device lies in store" if in_store else "no device in store, and no model",
                    "take in the catalogue and the list of the store: startroll take-in")
        )  # fmt: skip
    told = _Told(finder, today)
    return [told.shortlist(ranked) for ranked in finder.at_each(tags, top=top)]


class _Told:
    """Says what a search found."""

    def __init__(self, finder: Finder, today: date) -> None:
        self.finder, self.trials = finder, finder.trials
        self.today = today.isoformat()
        self.rules: dict[str, Rule] = {rule.id: rule for rule in self.trials.pack.rules}

    def shortlist(self, ranked: Ranked) -> Shortlist:
        """The candidates of one position, each with what speaks against it."""
        base = self.trials.base[ranked.tag]
        return Shortlist(
            tag=ranked.tag,
            description=base["description"] or "",
            stands=_stands(base),
            motor=_motor(base),
            currency=base["currency"] or "",
            today=self.today,
            tried=ranked.tried,
            tried_stored=sum(offer.stored for offer in self.finder.offers),
            candidates=tuple(self._listed(c) for c in ranked.candidates),
            never=tuple(self._never(ranked)),
        )

    def _listed(self, c: Candidate) -> Listed:
        open_ = self.trials.to_read(c.variant, c.open_majors)
        lesser = [rule for grade in ("minor", "observation") for rule in c.failed[grade]]
        return Listed(
            model=c.offer.model, serial=c.offer.serial or "", maker=c.offer.maker,
            kind=c.offer.kind or "kind unknown", rated_current_a=c.offer.brings["rated_current_a"],
            where=_where(c), obtainable=c.offer.obtainable, price=c.offer.price,
            lead_time_days=c.offer.lead_time_days, fits=c.fits,
            fails=tuple(self._failed(c, c.majors)), lesser=tuple(self._failed(c, lesser)),
            cant_tell=tuple(self._against(rule, to_read=open_[rule]) for rule in c.open_majors),
            forces=c.forces, owed=tuple(self.rules[rule].title for rule in c.owed),
            provisional=len(c.provisional), settings=c.settings,
        )  # fmt: skip

    def _failed(self, c: Candidate, rules: Sequence[str]) -> Iterator[Against]:
        for why in self.trials.opened(c.variant, rules):
            yield self._against(why.rule, sentence=why.sentence)

    def _against(self, rule: str, **more) -> Against:
        return Against(rule, str(self.rules[rule].grade), self.rules[rule].title, **more)

    def _never(self, ranked: Ranked) -> Iterator[Never]:
        if not ranked.candidates:
            return
        first = ranked.candidates[0]
        for why in self.trials.opened(first.variant, ranked.never):
            if first.outcomes[why.rule] == Outcome.FAILED:
                yield Never(why.rule, self.rules[why.rule].title, why.sentence,
                            why.rule in ranked.own)  # fmt: skip


def _stands(base: dict) -> str:
    if base["device"] is None:
        return "no device known"
    known: Iterable = (base["device_status"], base["device_kind"], base["model"])
    return ", ".join(str(part) for part in known if part is not None) or "a device of unknown type"


def _motor(base: dict) -> str:
    parts = (("power_kw", "kW"), ("motor_voltage_v", "V"), ("fla_a", "A"))
    told = [shown(base[name], unit) for name, unit in parts if base[name] is not None]
    return ", ".join(told) or "nothing known of the motor"


def _where(c: Candidate) -> str:
    offer = c.offer
    if offer.stored:
        return "in store"
    if not offer.obtainable:
        return "withdrawn, none in store: it can't be bought"
    if offer.lead_time_days is None:
        return "to be bought, time of delivery unknown"
    return f"to be bought, {shown(offer.lead_time_days, 'd')}"
