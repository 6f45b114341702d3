"""What clears the failed majors of positions: the least change of settings, else another device."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from register.audit import run
from register.columns import AROUND, TABLES
from register.planning.candidates import Candidate, Finder
from register.planning.leastchange import LeastChange, least_change
from register.planning.leastsets import bearing
from register.planning.trial import Trials
from register.rulebook.load import load_pack
from register.rulebook.model import Grade, Outcome, Pack
from register.store.database import opened
from register.store.reading import rows_at

# Checks and readings that every device owes anew; no device is the worse for them.
DONE_ANEW = frozenset({"device_installed_on", "setting_recorded_on"})
LOOKED_AT = 8  # candidates, the best first
CANT_TELL = Outcome.CANT_TELL.word
# What comes with a device, and what is counted of it.
BROUGHT = frozenset(c.name for c in (*TABLES["device"].columns, *TABLES["model"].columns, *AROUND))


@dataclass(frozen=True)
class Replacement:
    """A device that clears more than settings do: which failed majors, and which it leaves.

    `open` are majors that can no longer be told with it, `anew` those that every device owes anew;
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
        trials = Trials(db, tags, pack=pack, today=today, measured_only=measured_only)
        finder = Finder(db, tags, pack=pack, today=today, measured_only=measured_only)
        made = []
        for done, tag in enumerate(tags):
            if progress:
                progress(done, len(tags))
            made.append(mend(trials, finder, tag))
    return Mends(tuple(made), {rule.id: rule.title for rule in pack.rules}, today.isoformat())


def mend(trials: Trials, finder: Finder, tag: str) -> Mend:
    """How the failed majors of one position are cleared."""
    least = least_change(trials, tag)
    remain = (*least.beyond, *least.leaves)
    wanted = _reachable(finder, remain)
    best = _replacement(finder, least, wanted) if wanted else None
    cleared = best.clears if best else ()
    return Mend(tag, least, best, tuple(r for r in remain if r not in cleared))


def _failing(db: Database, pack: Pack, today: date, measured_only: bool) -> list[str]:
    audit = run(db, pack, today=today, measured_only=measured_only)
    grades = {rule.id: rule.grade for rule in audit.verdicts.rules}
    known = set(audit.verdicts.tags)
    return sorted({tag for tag, rule in audit.having(Outcome.FAILED)
                   if grades.get(rule) == Grade.MAJOR and tag in known})  # fmt: skip


def _reachable(finder: Finder, remain: Iterable[str]) -> set[str]:
    """Those of some rules on which the device bears, a check that each device owes anew apart."""
    rules = [r for r in finder.trials.pack.rules if r.id in remain and not DONE_ANEW & {*r.columns}]
    bears = bearing(rules, finder.trials.assumptions)
    return {rule.id for rule, own in zip(rules, bears, strict=True) if own & BROUGHT}


def _replacement(finder: Finder, least: LeastChange, wanted: set[str]) -> Replacement | None:
    """The candidate that clears most of what is wanted, and brings no major of its own."""
    anew = {r.id for r in finder.trials.pack.rules if DONE_ANEW & set(r.columns)}
    found = []
    for candidate in finder.candidates(least.tag, top=LOOKED_AT).candidates:
        made = _as_replacement(candidate, least, anew)
        new = set(candidate.majors) - set(least.failed) - anew
        if candidate.offer.obtainable and wanted & set(made.clears) and not new:
            found.append(made)
    return min(found, key=lambda made: len(made.leaves), default=None)


def _as_replacement(candidate: Candidate, least: LeastChange, anew: set[str]) -> Replacement:
    offer = candidate.offer
    unmet = {*candidate.majors, *candidate.open_majors, *anew}
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
        open=tuple(r for r in candidate.open_majors if least.before[r] != CANT_TELL),
        anew=tuple(r for r in candidate.majors if r in anew),
        forces=candidate.forces,
    )
