"""A swap recorded, and what is outstanding at that position from then on, as the audit says."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sqlite_utils import Database

from register.audit.findings import findings_of, unknowns_of
from register.audit.judge import Audit
from register.audit.session import Session
from register.facts.build import every_gap
from register.intake.replace_device import Swap, check, swap
from register.planning.model import RuleResult
from register.planning.replace.dependent_rules import is_repeated
from register.rulebook.model import Grade, Outcome
from register.store.database import writing

OPEN = (Outcome.FAILED, Outcome.CANT_TELL)


@dataclass(frozen=True, slots=True)
class Outstanding(RuleResult):
    """A rule that is not met after the swap, or is unknown; what it came out as before.

    `repeated` is what is done again after every swap: a check, a reading, another spare.
    """

    before: str = ""
    repeated: bool = False


@dataclass(frozen=True)
class Swapped:
    """The steps done at a position (or, `dry`, that would be), and what is then outstanding."""

    tag: str
    steps: tuple[str, ...]
    dry: bool
    outstanding: tuple[Outstanding, ...]

    @property
    def repeated(self) -> tuple[Outstanding, ...]:
        """Checks and readings to be made before it is handed over."""
        return tuple(o for o in self.outstanding if o.repeated)

    @property
    def new(self) -> tuple[Outstanding, ...]:
        """The others that were not so before the swap."""
        return tuple(o for o in self.outstanding if not o.repeated and o.before != o.outcome)

    @property
    def unchanged(self) -> tuple[Outstanding, ...]:
        """Those that were open before and are now."""
        return tuple(o for o in self.outstanding if not o.repeated and o.before == o.outcome)


def swap_at(session: Session, asked: Swap, *, author: str = "", dry: bool = False) -> Swapped:
    """Swap the device at a position of an open register, and audit that position.

    Parameters
    ----------
    asked : what is taken out and what comes in; on the session's day where it names none.
    author : who makes the change.
    dry : show what would be done and outstanding, and keep nothing of it.

    Errors: StartrollError with everything that hinders the swap; nothing is then changed.
    """
    db = session.db
    check(db, asked, today=session.today)
    before = session.audit(tags=[asked.tag])
    with writing(db, reason=f"device swapped: {asked.cause}", author=author, dry=dry):
        steps = swap(db, asked, today=session.today)
        now = session.audit(tags=[asked.tag])
        return Swapped(asked.tag, steps, dry, tuple(_outstanding(db, before, now, asked.tag)))


def _outstanding(db: Database, before: Audit, now: Audit, tag: str) -> Iterator[Outstanding]:
    behind = every_gap(db)
    rank = {grade: place for place, grade in enumerate(Grade)}
    for rule in sorted(now.rules, key=lambda r: rank[r.grade]):
        outcome = now.outcome(tag, rule.id)
        if outcome in OPEN:
            failed = outcome == Outcome.FAILED
            yield Outstanding(
                rule=rule.id,
                grade=str(rule.grade),
                outcome=outcome.word,
                title=rule.title_at(outcome),
                sentence=next(f.sentence for f in findings_of(db, now, rule)) if failed else "",
                provisional=now.is_provisional(tag, rule.id),
                to_read=tuple(f for u in unknowns_of(db, now, rule, behind) for f in u.fields),
                before=before.outcome(tag, rule.id).word,
                repeated=is_repeated(rule),
            )
