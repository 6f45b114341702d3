"""Candidates of the register in a file: for one position, or for every failed device."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from datetime import date
from functools import partial
from pathlib import Path

from sqlite_utils import Database

from register.errors import Problem, StartrollError
from register.facts.chunks import cores
from register.planning.replace.candidates import Candidate, Finder, Ranked, failed_positions
from register.planning.replace.explained import Opening
from register.planning.replace.shortlist import Against, Listed, Never, Shortlist
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Rule
from register.store.database import opened
from register.store.queries import positions, rows_at
from register.text import power, shown

FEW = 20  # positions that are quicker searched in one process than in several


def candidates(
    path: Path,
    tag: str,
    *,
    today: date,
    top: int = 5,
    in_store: bool = False,
    site_rules: Path | None = None,
    measured_only: bool = False,
) -> Shortlist:
    """The best candidates for the place of the device at one position.

    Parameters
    ----------
    path, today : the register, which is only read, and the day of the swap and the judgement.
    top : how many to tell of.
    in_store : try only what lies in store.
    site_rules : a folder of the site's own rules and limits.
    measured_only : use no assumed value.

    Raises StartrollError for an unknown tag, and where there is nothing to try.
    """
    with opened(path) as db:
        rows_at(db, tag)
        return _shortlists(
            db, [tag], today=today, top=top, in_store=in_store, site_rules=site_rules, measured_only=measured_only
        )[0]


def for_failed(
    path: Path,
    *,
    today: date,
    area: str | None = None,
    in_store: bool = False,
    site_rules: Path | None = None,
    measured_only: bool = False,
) -> list[Shortlist]:
    """The best candidate for each device that is marked failed, in order of tag; of one area.

    Raises StartrollError for an unknown area.
    """
    with opened(path) as db:
        within = {row["tag"] for row in positions(db, area=area)}
        tags = [tag for tag in failed_positions(db) if tag in within]
    work = partial(
        _of_some, path, today=today, top=1, in_store=in_store, site_rules=site_rules, measured_only=measured_only
    )
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
    db: Database,
    tags: Sequence[str],
    *,
    today: date,
    top: int,
    in_store: bool,
    site_rules: Path | None,
    measured_only: bool,
) -> list[Shortlist]:
    pack = load_pack(site_folder=site_rules)
    finder = Finder(db, tags, pack=pack, today=today, measured_only=measured_only, stored_only=in_store)
    if not finder.offers:
        raise StartrollError(
            Problem(
                "no device lies in store" if in_store else "no device in store, and no model",
                "take in the catalogue and the list of the store: startroll take-in",
            )
        )
    told = _Told(finder, today)
    return told.shortlists(finder.at_each(tags, top=top))


class _Told:
    """Says what a search found."""

    def __init__(self, finder: Finder, today: date) -> None:
        self.finder, self.trials = finder, finder.trials
        self.today = today.isoformat()
        self.rules: dict[str, Rule] = {rule.id: rule for rule in self.trials.pack.rules}

    def shortlists(self, every: Sequence[Ranked]) -> list[Shortlist]:
        """The candidates of each position, each with what speaks against it."""
        listed: dict[str, list[Listed]] = {ranked.tag: [] for ranked in every}
        never: dict[str, tuple[Never, ...]] = {}
        for place in range(max((len(ranked.candidates) for ranked in every), default=0)):
            there = [ranked for ranked in every if len(ranked.candidates) > place]
            candidates_ = {ranked.tag: ranked.candidates[place] for ranked in there}
            with self.trials.opening(c.variant for c in candidates_.values()) as opening:
                for tag, one in self._listed(opening, candidates_).items():
                    listed[tag].append(one)
                if place == 0:
                    never = self._never(opening, there)
        return [self._shortlist(ranked, listed[ranked.tag], never.get(ranked.tag, ())) for ranked in every]

    def _shortlist(self, ranked: Ranked, listed: list[Listed], never: tuple[Never, ...]) -> Shortlist:
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
            candidates=tuple(listed),
            never=never,
        )

    def _listed(self, opening: Opening, there: Mapping[str, Candidate]) -> dict[str, Listed]:
        """One candidate at each position, with what speaks against it."""
        rules = {tag: [rule for ids in c.failed.values() for rule in ids] for tag, c in there.items()}
        why = opening.explained(rules)
        fields = opening.to_read({tag: c.open_majors for tag, c in there.items()})
        return {
            tag: self._one(c, {one.rule: one.sentence for one in why[tag]}, fields[tag]) for tag, c in there.items()
        }

    def _one(self, c: Candidate, said: Mapping[str, str], fields: Mapping[str, tuple[str, ...]]) -> Listed:
        failed = [self._against(rule, sentence=text) for rule, text in said.items()]
        return Listed(
            model=c.offer.model,
            serial=c.offer.serial or "",
            maker=c.offer.maker,
            kind=c.offer.kind or "kind unknown",
            rated_current_a=c.offer.brings["rated_current_a"],
            where=_where(c),
            obtainable=c.offer.obtainable,
            price=c.offer.price,
            lead_time_days=c.offer.lead_time_days,
            fits=c.fits,
            fails=tuple(a for a in failed if a.rule in c.majors),
            lesser=tuple(a for a in failed if a.rule not in c.majors),
            cant_tell=tuple(self._against(rule, to_read=fields[rule]) for rule in c.open_majors),
            forces=c.forces,
            owed=tuple(self.rules[rule].title_failed for rule in c.owed),
            provisional=len(c.provisional),
            settings=c.settings,
        )

    def _against(self, rule: str, **more) -> Against:
        title = self.rules[rule].title_failed if "sentence" in more else self.rules[rule].title
        return Against(rule, str(self.rules[rule].grade), title, **more)

    def _never(self, opening: Opening, every: Iterable[Ranked]) -> dict[str, tuple[Never, ...]]:
        """What no candidate passes, in the words of the first."""
        asked = {ranked.tag: ranked.never for ranked in every}
        own = {ranked.tag: ranked.own for ranked in every}
        return {
            tag: tuple(
                Never(one.rule, self.rules[one.rule].title_failed, one.sentence, one.rule in own[tag]) for one in why
            )
            for tag, why in opening.explained(asked).items()
        }


def _stands(base: dict) -> str:
    if base["device"] is None:
        return "no device known"
    known: Iterable = (base["device_status"], base["device_kind"], base["model"])
    return ", ".join(str(part) for part in known if part is not None) or "a device of unknown type"


def _motor(base: dict) -> str:
    told = [] if base["power_kw"] is None else [power(base["power_kw"], base["practice"])]
    told += [shown(base[name], unit) for name, unit in (("motor_voltage_v", "V"), ("fla_a", "A")) if base[name]]
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
