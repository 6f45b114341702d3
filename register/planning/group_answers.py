"""One answer for a group: a value for one column at every position that a filter selects, tried before it is kept."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass, field, replace
from typing import Any

from sqlite_utils import Database

from register.audit.session import Session
from register.columns import FACTS, TABLES
from register.errors import Problem, StartrollError
from register.intake.correct import believed, set_value, settable
from register.planning.group_filter import EVERYWHERE, select
from register.planning.verdict_moves import Moves, moves
from register.store.database import writing
from register.store.origins import BY_GROUP
from register.store.queries import key_text, rows_at
from register.text import shown

EXAMPLES = 3
SHARED = {"model": "device model", "bus": "bus", "site": "site"}  # tables of which several positions share a row


@dataclass(frozen=True)
class GroupAnswer:
    """A value, as a person writes it, for one column where a filter is true."""

    column: str
    value: str
    where: str = EVERYWHERE
    area: str | None = None
    overwrite: bool = False


def asked(
    column: str | None, value: str | None, where: str | None, area: str | None, *, overwrite: bool
) -> GroupAnswer:
    """The answer as it was typed; an empty filter is a mistake to be told, and not every position."""
    return GroupAnswer(column or "", value or "", EVERYWHERE if where is None else where, area, overwrite)


@dataclass(frozen=True)
class Example:
    """One position that gets the value: before and after, verdicts decided there, rules newly failed."""

    tag: str
    before: str
    after: str
    decided: int
    findings: tuple[str, ...]


@dataclass(frozen=True)
class Answered:
    """What an answer did; or would do, where there is no `change_set`.

    Of the positions `selected`, `filled` were blank, `overwritten` had another value; `kept` keep theirs, which
    for `differing` of them is another; `not_applicable` are blank because someone noted that nothing belongs there.
    For `untold` the filter is unknown. `elsewhere` share what was filled and were not selected.
    """

    asked: GroupAnswer
    value: str
    selected: tuple[str, ...]
    filled: tuple[str, ...]
    overwritten: tuple[str, ...]
    kept: tuple[str, ...]
    differing: tuple[str, ...]
    not_applicable: tuple[str, ...]
    untold: tuple[str, ...]
    change_set: int | None = None
    elsewhere: tuple[str, ...] = ()
    shared: str = ""
    verdicts: Moves = field(default_factory=Moves)
    examples: tuple[Example, ...] = ()


def answer_group(session: Session, asked: GroupAnswer, *, reason: str, author: str = "", dry: bool = False) -> Answered:
    """Write one value at every position that a filter selects, and tell what an audit then says otherwise.

    Parameters
    ----------
    asked : the value, its column, and where.
    reason, author : as for any change; the source of the change-set is "by group".
    dry : try it on a copy, so that the register is only read.

    Errors: StartrollError with what is wrong in column, value, filter or area; nothing is then changed.
    """
    if not dry and not reason.strip():
        raise StartrollError(Problem("a change needs its reason", "say what was seen, and where", "--reason"))
    if dry:
        with _copied(session) as copy:
            return _answered(copy, asked, reason="dry run", author=author, dry=True)
    return _answered(session, asked, reason=reason, author=author, dry=False)


class _Nothing(Exception):
    """There is nothing to write, and the change-set that was begun is not kept."""

    def __init__(self, plan: Answered) -> None:
        self.plan = plan


def _answered(session: Session, asked: GroupAnswer, *, reason: str, author: str, dry: bool) -> Answered:
    value = _value(asked)
    try:
        # All in one transaction, so that nobody fills a blank between the look and the writing.
        with writing(session.db, reason=reason, author=author, source_file=_source(asked), dry=dry) as number:
            return _written(session, asked, value, None if dry else number)
    except _Nothing as nothing:
        return nothing.plan


def _written(session: Session, asked: GroupAnswer, value: Any, number: int | None) -> Answered:
    db, before = session.db, session.audit()
    plan, held = _plan(session, asked, value), _held(db, asked.column)
    if not plan.filled + plan.overwritten:
        raise _Nothing(plan)
    _write(db, plan.filled + plan.overwritten, asked)
    after, chosen = session.audit(), set(plan.selected)
    now = _held(db, asked.column)
    made = replace(
        plan,
        change_set=number,
        elsewhere=tuple(tag for tag in held if tag not in chosen and now[tag] != held[tag]),
        shared=SHARED.get(settable(asked.column).table, ""),
        verdicts=moves(before, after),
    )
    return replace(made, examples=tuple(_examples(made, held, now)))


def _value(asked: GroupAnswer) -> Any:
    column = settable(asked.column)
    if asked.column in TABLES[column.table].key:
        cause = f"{asked.column} names one {column.table} and is never the same for several"
        raise StartrollError(Problem(cause, f"startroll correct TAG {asked.column} sets one", asked.column))
    value = believed(asked.column, asked.value)
    if value is None:
        cause = f"{asked.value!r} says that the value is unknown, and a group's answer is a value"
        remedy = f"startroll correct TAG {asked.column} --blank REASON notes why one is blank"
        raise StartrollError(Problem(cause, remedy, asked.column))
    return value


def _plan(session: Session, asked: GroupAnswer, value: Any) -> Answered:
    db = session.db
    chosen = select(db, asked.where, today=session.today, area=asked.area)
    held = _held(db, asked.column)
    known = tuple(tag for tag in chosen.tags if held[tag] is not None)
    differing = tuple(tag for tag in known if held[tag] != value)
    overwritten = differing if asked.overwrite else ()
    noted = _not_applicable(db, asked.column, [tag for tag in chosen.tags if held[tag] is None])
    return Answered(
        asked=asked,
        value=shown(value, settable(asked.column).unit),
        selected=chosen.tags,
        filled=tuple(tag for tag in chosen.tags if held[tag] is None and tag not in noted),
        overwritten=overwritten,
        kept=tuple(tag for tag in known if not asked.overwrite or held[tag] == value),
        differing=() if asked.overwrite else differing,
        not_applicable=tuple(sorted(noted)),
        untold=chosen.untold,
    )


def _held(db: Database, column: str) -> Mapping[str, Any]:
    """The value of a column at each position, as the facts have it."""
    if column not in FACTS:
        raise StartrollError(Problem(f"{column} is not kept at a position", "see docs/columns.md", column))
    return dict(db.conn.execute(f"SELECT tag, {column} FROM facts ORDER BY +tag").fetchall())


def _not_applicable(db: Database, name: str, blank: Iterable[str]) -> set[str]:
    """The positions at which someone noted that the column does not apply."""
    table = TABLES[settable(name).table]
    sql = "SELECT row_key FROM blank WHERE table_name = ? AND column_name = ? AND reason = 'not applicable'"
    noted = {key for (key,) in db.conn.execute(sql, [table.name, name])}
    if not noted:
        return set()
    rows = {tag: rows_at(db, tag).get(table.name) for tag in blank}
    return {tag for tag, row in rows.items() if row is not None and key_text(table, row) in noted}


def _write(db: Database, tags: Iterable[str], asked: GroupAnswer) -> None:
    problems: dict[str, Problem] = {}
    for tag in tags:
        try:
            set_value(db, tag, asked.column, asked.value)
        except StartrollError as error:
            problems |= {one.cause: one for one in error.problems}
    if problems:
        raise StartrollError(problems.values())


def _examples(made: Answered, held: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[Example]:
    """Those with the most findings first, then with the most verdicts decided."""
    unit, by_tag = settable(made.asked.column).unit, made.verdicts.by_tag

    def weight(tag: str) -> tuple[int, int]:
        decided, rules = by_tag.get(tag, (0, ()))
        return -len(rules), -decided

    for tag in sorted(made.filled + made.overwritten, key=weight)[:EXAMPLES]:
        decided, rules = by_tag.get(tag, (0, ()))
        yield Example(tag, shown(held[tag], unit), shown(now[tag], unit), decided, rules)


def _source(asked: GroupAnswer) -> str:
    return f"{BY_GROUP}: {asked.where}" + (f", area {asked.area}" if asked.area else "")


@contextmanager
def _copied(session: Session) -> Iterator[Session]:
    """The register in a copy that is forgotten: in memory while it is small, on the disk when not."""
    with closing(sqlite3.connect("", isolation_level=None)) as conn:
        session.db.conn.backup(conn)
        conn.execute("PRAGMA foreign_keys = ON")
        yield replace(session, db=Database(conn))
