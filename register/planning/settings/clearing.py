"""The clearing of failed majors at positions: by the least change of settings, else by another device."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from register.audit.session import Session
from register.planning.replace.candidates import Finder, Judged
from register.planning.replace.dependent_rules import BROUGHT, entered_columns, is_repeated
from register.planning.settings.least_change import LeastChange, least_change
from register.rulebook.model import Grade, Outcome
from register.store.queries import rows_at

LOOKED_AT = 8  # candidates, the best first


@dataclass(frozen=True)
class Replacement:
    """A device that clears more than settings do: which failed majors, and which it leaves.

    `open` are majors that become unknown with it, `repeated` those that ask for what is repeated
    after every swap; `other_changes` are those that it needs at the position, in words.
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
    repeated: tuple[str, ...]
    other_changes: tuple[str, ...]


@dataclass(frozen=True)
class Clearing:
    """One position's failed majors, cleared by settings, by a device, or by neither.

    `work` are the failed majors that neither clears: they ask for work, a check or a record.
    """

    tag: str
    settings: LeastChange
    replacement: Replacement | None
    work: tuple[str, ...]


@dataclass(frozen=True)
class Clearings:
    """The positions asked for, in order of tag, and the titles of the rules named."""

    at: tuple[Clearing, ...]
    titles: Mapping[str, str]
    today: str


def least_changes(
    session: Session, tags: Sequence[str] = (), *, progress: Callable[[int, int], None] | None = None
) -> Clearings:
    """The least that clears the failed majors of positions of an open register.

    Parameters
    ----------
    tags : the positions; without, all that fail a major.
    progress : told the positions done, of how many.

    Raises StartrollError for an unknown tag.
    """
    db, pack, today = session.db, session.pack, session.today
    for tag in tags:
        rows_at(db, tag)
    tags = sorted(set(tags)) or _failing(session)
    finder = Finder(db, tags, pack=pack, today=today, measured_only=session.measured_only)
    least = []
    for done, tag in enumerate(tags):
        if progress:
            progress(done, len(tags))
        least.append(least_change(finder.trials, tag))
    made = cleared(finder, least)
    return Clearings(made, {rule.id: rule.title_failed for rule in pack.rules}, today.isoformat())


def cleared(finder: Finder, least: Sequence[LeastChange]) -> tuple[Clearing, ...]:
    """The clearing of failed majors at positions, given what settings can do."""
    wanted = {made.tag: _reachable(finder, (*made.beyond, *made.leaves)) for made in least}
    asked = [tag for tag, rules in wanted.items() if rules]
    ranked = dict(zip(asked, finder.ranked(asked, top=LOOKED_AT), strict=True)) if asked else {}
    found = []
    for made in least:
        candidates = ranked[made.tag].candidates if made.tag in ranked else ()
        best = _replacement(candidates, made, wanted[made.tag])
        by_device = best.clears if best else ()
        work = (rule for rule in (*made.beyond, *made.leaves) if rule not in by_device)
        found.append(Clearing(made.tag, made, best, tuple(work)))
    return tuple(found)


def _failing(session: Session) -> list[str]:
    audit = session.audit()
    grades = {rule.id: rule.grade for rule in audit.verdicts.rules}
    known = set(audit.verdicts.tags)
    return sorted(
        {tag for tag, rule in audit.having(Outcome.FAILED) if grades.get(rule) == Grade.MAJOR and tag in known}
    )


def _reachable(finder: Finder, remain: tuple[str, ...]) -> set[str]:
    """Those of some rules that depend on the device, but for what is repeated after every swap."""
    rules = [rule for rule in finder.trials.pack.rules if rule.id in remain and not is_repeated(rule)]
    read = entered_columns(rules, finder.trials.assumptions)
    return {rule.id for rule, own in zip(rules, read, strict=True) if own & BROUGHT}


def _replacement(candidates: Iterable[Judged], least: LeastChange, wanted: set[str]) -> Replacement | None:
    """The candidate that clears most of what is wanted, and brings no major of its own."""
    found = []
    for judged in candidates:
        made = _as_replacement(judged, least)
        new = set(judged.majors) - set(least.failed)
        if judged.candidate.obtainable and wanted & set(made.clears) and not new:
            found.append(made)
    return min(found, key=lambda made: len(made.leaves), default=None)


def _as_replacement(judged: Judged, least: LeastChange) -> Replacement:
    device = judged.candidate
    unmet = {*judged.majors, *judged.open_majors, *judged.repeated}
    return Replacement(
        name=device.name,
        model=device.model,
        kind=device.kind,
        stored=device.stored,
        price=device.price,
        lead_time_days=device.lead_time_days,
        settings=dict(judged.settings),
        clears=tuple(r for r in least.failed if r not in unmet),
        leaves=tuple(r for r in least.failed if r in unmet),
        open=tuple(r for r in judged.opens if r not in least.failed),
        repeated=judged.repeated,
        other_changes=judged.other_changes,
    )
