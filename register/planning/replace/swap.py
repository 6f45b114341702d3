"""A swap recorded, and what is outstanding at that position from then on, told by the audit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sqlite_utils import Database

from register.audit.judge import Audit, findings_of, run, unknowns_of
from register.facts.build import every_gap
from register.intake.replace_device import Swap, check, swap
from register.planning.replace.dependent_rules import is_owed
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Grade, Outcome, Pack, Rule
from register.store.database import opened, writing

OPEN = (Outcome.FAILED, Outcome.CANT_TELL)


@dataclass(frozen=True)
class Owed:
    """A rule that is not met after the swap, or is unknown; what it came out as before.

    `anew` is what is outstanding after every swap: a check, a reading, another spare.
    """

    rule: str
    grade: str
    title: str
    before: str
    outcome: str
    sentence: str
    to_read: tuple[str, ...]
    anew: bool


@dataclass(frozen=True)
class Swapped:
    """What was done at a position (or, `dry`, would be), step by step, and what is then outstanding."""

    tag: str
    said: tuple[str, ...]
    dry: bool
    owed: tuple[Owed, ...]

    @property
    def anew(self) -> tuple[Owed, ...]:
        """Checks and readings to be made before it is handed over."""
        return tuple(o for o in self.owed if o.anew)

    @property
    def brought(self) -> tuple[Owed, ...]:
        """What else was not so before the swap."""
        return tuple(o for o in self.owed if not o.anew and o.before != o.outcome)

    @property
    def stayed(self) -> tuple[Owed, ...]:
        """What was open before and is now."""
        return tuple(o for o in self.owed if not o.anew and o.before == o.outcome)


class _NotKept(Exception):
    """Ends a transaction that was only to show what it would do."""


def swap_at(
    register: Path, asked: Swap, *, today: date, author: str = "", dry: bool = False, site_rules: Path | None = None
) -> Swapped:
    """Swap the device at a position of the register in a file, and audit that position.

    Parameters
    ----------
    asked : what is taken out and what comes in.
    today : the day of the audit, and of the swap where `asked` tells none.
    author : who makes the change.
    dry : show what would be done and outstanding, and keep nothing of it.
    site_rules : a folder of the site's own rules and limits.

    Errors: StartrollError with everything that hinders the swap; nothing is then changed.
    """
    pack = load_pack(site_folder=site_rules)
    made: Swapped | None = None
    with opened(register, write=True) as db:
        check(db, asked, today=today)
        before = run(db, pack, today=today, tags=[asked.tag])
        try:
            with writing(db, reason=f"device swapped: {asked.cause}", author=author):
                said = swap(db, asked, today=today)
                made = _audited(db, pack, asked.tag, today, before, said, dry)
                if dry:
                    raise _NotKept
        except _NotKept:
            pass
    return made


def _audited(
    db: Database, pack: Pack, tag: str, today: date, before: Audit, said: tuple[str, ...], dry: bool
) -> Swapped:
    now = run(db, pack, today=today, tags=[tag])
    return Swapped(tag, said, dry, tuple(_owed(db, before, now, tag)))


def _owed(db: Database, before: Audit, now: Audit, tag: str) -> Iterator[Owed]:
    behind = every_gap(db)
    rank = {grade: place for place, grade in enumerate(Grade)}
    for rule in sorted(now.rules, key=lambda r: rank[r.grade]):
        outcome = now.outcome(tag, rule.id)
        if outcome in OPEN:
            yield Owed(
                rule=rule.id,
                grade=str(rule.grade),
                title=rule.title_at(outcome),
                before=before.outcome(tag, rule.id).word,
                outcome=outcome.word,
                sentence=_sentence(db, now, rule) if outcome == Outcome.FAILED else "",
                to_read=tuple(f for u in unknowns_of(db, now, rule, behind) for f in u.fields),
                anew=is_owed(rule),
            )


def _sentence(db: Database, now: Audit, rule: Rule) -> str:
    return next(f.sentence for f in findings_of(db, now, rule))
