"""An audit made again as it was: the register, the rules and the limits of another day."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date

from sqlite_utils import Database

from register.audit.judge import run
from register.audit.report import Report
from register.audit.results import report_on
from register.audit.session import Session
from register.errors import Problem, RuleError, StartrollError
from register.facts.method import present_method
from register.rulebook.load.files import in_folders
from register.rulebook.load.kept_files import present_form
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Pack
from register.store import audits, clock, packs
from register.store.as_of import as_at, as_of
from register.store.audits import KeptAudit


@dataclass(frozen=True, slots=True)
class Rewound:
    """A report made again, and what has to be said about how it was."""

    report: Report
    notes: tuple[str, ...]


@contextmanager
def rules_of(db: Database, pack_hash: str) -> Iterator[Pack]:
    """The rules and limits kept under a hash, loaded; their folder lasts as long as the context."""
    with in_folders(present_form(packs.kept_pack(db, pack_hash))) as (folder, site_folder):
        try:
            pack = load_pack(folder, site_folder)
        except RuleError as error:
            summary = f"These rules were kept as {pack_hash[:8]}; this version can't read them."
            raise RuleError(error.problems, summary=summary) from None
        yield pack


def again(db: Database, name: str) -> Rewound:
    """An audit that was kept (its number, or its day), made again on what it was made on.

    A verdict that comes out otherwise than it was kept is said: then it is the program that
    changed, and what was kept is still in the register.
    """
    head = audits.kept_audit(db, name)
    kept = audits.verdicts_of(db, head)
    with rules_of(db, head.pack_hash) as pack:
        then = as_at(db, head.point)
        audit = run(then, pack, today=date.fromisoformat(head.today), measured_only=head.scope["measured_only"])
        made = report_on(then, audit, register_name=head.scope["register"])
    now = {tag: row for tag, row, _ in audit.rows()}
    moved = sum(
        one != other
        for tag in kept.keys() | now.keys()
        for one, other in zip(kept.get(tag, ""), now.get(tag, ""), strict=False)
    )
    return Rewound(made, tuple(_notes(head, moved)))


def _notes(head: KeptAudit, moved: int) -> Iterator[str]:
    made = head.made_at.replace("T", " ").replace("+00:00", " UTC")
    yield f"{head.name}, kept by {head.made_by} at {made}, made again"
    if head.method_hash != present_method():
        yield f"it was made by another program ({head.program_version}) than this one"
    if moved:
        yield f"{moved} verdicts come out otherwise than they were kept"


def of_day(session: Session, day: date) -> Rewound:
    """An audit of the register as it stood at the end of a day on site, by the rules of that day.

    Those are the rules of the last audit kept by then; where none was, those of the session.
    """
    db = session.db
    _check_day(db, day)
    known = [a for a in audits.kept_audits(db) if clock.day_of(db, a.made_at) <= day]
    then = replace(session, db=as_of(db, day), today=day)
    if not known:
        note = f"no rules were kept by {day}: those of the program now are used, {_named(session.pack)}"
        return Rewound(_made(then), (note,))
    with rules_of(db, known[-1].pack_hash) as pack:
        note = f"rules and limits as kept with {known[-1].name}, {_named(pack)}"
        return Rewound(_made(replace(then, pack=pack)), (note,))


def _check_day(db: Database, day: date) -> None:
    """Refuse a day that is still to come, or on which there was no register yet."""
    begun = db.execute("SELECT min(at) FROM change").fetchone()[0]
    first, today = clock.day_of(db, begun), clock.today(db)
    if not first <= day <= today:
        what = f"{day} has not come yet" if day > today else f"there was no register on {day}"
        raise StartrollError(Problem(what, f"name a day from {first} to {today}", "--as-of"))


def _made(then: Session) -> Report:
    return report_on(then.db, then.audit(), register_name=then.path.name)


def _named(pack: Pack) -> str:
    return f"{pack.name} {pack.version} ({pack.hash[:8]})"
