"""A register that was taken along as a whole, merged back: what it changed comes over with its who, when and why."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

from sqlite_utils import Database

from register.rounds.compared import Sight, parted
from register.rounds.merge_model import Conflict, Merged, MergePlan, Side
from register.rounds.merge_plan import Planner
from register.rounds.merge_write import Writer
from register.store.database import writing

Decide = Callable[[Conflict], Side | None]


class _Nothing(Exception):
    """Nothing is written, and the change-set that was begun is not kept."""

    def __init__(self, merged: Merged) -> None:
        self.merged = merged


def merge(
    db: Database,
    copy: Database,
    *,
    decide: Decide = lambda conflict: None,
    reason: str,
    author: str = "",
    source_file: str = "",
    source_hash: str = "",
    dry: bool = False,
) -> Merged:
    """Take over what a copy of the register changed since it was made, or last merged; all of it or nothing.

    Parameters
    ----------
    copy : the copy, which is only read.
    decide : the side that a conflict goes to; None where nobody has said, and then nothing is written.
    reason, author, source_file, source_hash : of the change-set under which it is taken in; each change that comes over
        keeps its own.
    dry : tell what would be done, change nothing.

    Errors: StartrollError where it is no copy of this register, and where both cannot be true in one register.
    """
    try:
        with writing(
            db, reason=reason, author=author, source_file=source_file, source_hash=source_hash, dry=dry
        ) as number:
            return _merged(db, copy, decide, number, dry=dry)
    except _Nothing as nothing:
        return nothing.merged


def _merged(db: Database, copy: Database, decide: Decide, number: int, *, dry: bool) -> Merged:
    ours, theirs = parted(db, copy)
    decided: Counter[Side] = Counter()

    def asked(conflict: Conflict) -> Side | None:
        side = decide(conflict)
        if side is not None:
            decided[side] += 1
        return side

    planner = Planner(ours, theirs, asked)
    if not planner.theirs.news:
        raise _Nothing(Merged(None, audits=_audits(copy, theirs.since)))
    plan = planner.run()
    if plan.conflicts:
        raise _Nothing(_counted(plan, planner.theirs, copy, None))
    writer = Writer(db, number, plan, planner.ours, planner.theirs)
    writer.write()
    writer.keep_sources()
    return _counted(plan, planner.theirs, copy, None if dry else number, writer, decided.total())


def _counted(
    plan: MergePlan, theirs: Sight, copy: Database, number: int | None, writer: Writer | None = None, decided: int = 0
) -> Merged:
    outcomes = Counter(o for cell, o in plan.outcome.items() if theirs.now(cell.born) is not None)
    return Merged(
        change_set=number,
        change_sets=len({s.change_set for s in theirs.news}),
        taken=outcomes["taken"],
        same=outcomes["same"],
        kept=outcomes["kept"],
        came=writer.came if writer else 0,
        went=writer.went if writer else 0,
        conflicts=tuple(plan.conflicts),
        decided=decided,
        renumbered=tuple(writer.renumbered) if writer else (),
        audits=_audits(copy, theirs.lineage.since),
    )


def _audits(copy: Database, since: int) -> int:
    """How many audits were kept in the copy since both parted."""
    return int(copy.execute("SELECT count(*) FROM audit WHERE change_id > ?", [since]).fetchone()[0])
