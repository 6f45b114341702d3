"""What clears the failed majors of positions: the least change of settings, else another device."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from register.audit.judge import run
from register.planning.replace.candidates import Candidate, Finder
from register.planning.replace.dependent_rules import BROUGHT, is_owed
from register.planning.settings.least_change import LeastChange, least_change
from register.planning.settings.least_sets import bearing
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Grade, Outcome, Pack
from register.store.database import opened
from register.store.queries import rows_at

LOOKED_AT = 8  # candidates, the best first


@dataclass(frozen=True)
class Replacement:
    """A device that clears more than settings do: which failed majors, and which it leaves.

    `open` are majors that can no longer be told with it, `anew` those that are repeated for every device;
    `forces` is what has to be changed round it, in words.
    """

    name: str
    model: str
    kind: str
    stored: bool
    price: float | None
    lead_time_days: float | None
    settings: Mapping[str, Any]
    clears: tuple[str, ...]
    leaves: tuple[str, ...]
    open: tuple[str, ...]
    anew: tuple[str, ...]
    forces: tuple[str, ...]


@dataclass(frozen=True)
class Mend:
    """How one position's failed majors are cleared: by settings, by a device, or by neither.

    `work` are the failed majors that neither clears: they ask for work, a check or a record.
    """

    tag: str
    settings: LeastChange
    replacement: Replacement | None
    work: tuple[str, ...]


@dataclass(frozen=True)
class Mends:
    """The positions asked for, in order of tag, and the titles of the rules named."""

    at: tuple[Mend, ...]
    titles: Mapping[str, str]
    today: str


def least_changes(
    register: Path,
    tags: Sequence[str] = (),
    *,
    today: date,
    site_rules: Path | None = None,
    measured_only: bool = False,
    progress: Callable[[int, int], None] | None = None,
) -> Mends:
    """The least that clears the failed majors of positions of the register in a file.

    Parameters
    ----------
    tags : the positions; without, all that fail a major.
    today, site_rules, measured_only : as for an audit.
    progress : told the positions done, of how many.

    Raises StartrollError for an unknown tag.
    """
    pack = load_pack(site_folder=site_rules)
    with opened(register) as db:
        for tag in tags:
            rows_at(db, tag)
        tags = sorted(set(tags)) or _failing(db, pack, today, measured_only)
        finder = Finder(db, tags, pack=pack, today=today, measured_only=measured_only)
        least = []
        for done, tag in enumerate(tags):
            if progress:
                progress(done, len(tags))
            least.append(least_change(finder.trials, tag))
        made = mended(finder, least)
    return Mends(made, {rule.id: rule.title_failed for rule in pack.rules}, today.isoformat())


def mended(finder: Finder, least: Sequence[LeastChange]) -> tuple[Mend, ...]:
    """How the failed majors of positions are cleared, given what settings can do."""
    wanted = {made.tag: _reachable(finder, (*made.beyond, *made.leaves)) for made in least}
    asked = [tag for tag, rules in wanted.items() if rules]
    ranked = dict(zip(asked, finder.at_each(asked, top=LOOKED_AT), strict=True)) if asked else {}
    found = []
    for made in least:
        offered = ranked[made.tag].candidates if made.tag in ranked else ()
        best = _replacement(offered, made, wanted[made.tag])
        cleared = best.clears if best else ()
        work = (rule for rule in (*made.beyond, *made.leaves) if rule not in cleared)
        found.append(Mend(made.tag, made, best, tuple(work)))
    return tuple(found)


def _failing(db: Database, pack: Pack, today: date, measured_only: bool) -> list[str]:
    audit = run(db, pack, today=today, measured_only=measured_only)
    grades = {rule.id: rule.grade for rule in audit.verdicts.rules}
    known = set(audit.verdicts.tags)
    return sorted(
        {tag for tag, rule in audit.having(Outcome.FAILED) if grades.get(rule) == Grade.MAJOR and tag in known}
    )


def _reachable(finder: Finder, remain: tuple[str, ...]) -> set[str]:
    """Those of some rules that the device affects, without the checks that are repeated for every device."""
    rules = [rule for rule in finder.trials.pack.rules if rule.id in remain and not is_owed(rule)]
    bears = bearing(rules, finder.trials.assumptions)
    return {rule.id for rule, own in zip(rules, bears, strict=True) if own & BROUGHT}


def _replacement(offered: Iterable[Candidate], least: LeastChange, wanted: set[str]) -> Replacement | None:
    """The candidate that clears most of what is wanted, and brings no major of its own."""
    found = []
    for candidate in offered:
        made = _as_replacement(candidate, least)
        new = set(candidate.majors) - set(least.failed)
        if candidate.offer.obtainable and wanted & set(made.clears) and not new:
            found.append(made)
    return min(found, key=lambda made: len(made.leaves), default=None)


def _as_replacement(candidate: Candidate, least: LeastChange) -> Replacement:
    offer = candidate.offer
    unmet = {*candidate.majors, *candidate.open_majors, *candidate.owed}
    return Replacement(
        name=offer.name,
        model=offer.model,
        kind=offer.kind,
        stored=offer.stored,
        price=offer.price,
        lead_time_days=offer.lead_time_days,
        settings=dict(candidate.settings),
        clears=tuple(r for r in least.failed if r not in unmet),
        leaves=tuple(r for r in least.failed if r in unmet),
        open=tuple(r for r in candidate.opens if r not in least.failed),
        anew=candidate.owed,
        forces=candidate.forces,
    )
