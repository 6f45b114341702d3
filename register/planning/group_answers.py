"""One answer for a group: values at every position that a filter selects, tried before they are kept."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass, field, replace
from typing import Any

from sqlite_utils import Database

from register.audit.session import Session
from register.columns import TABLES
from register.errors import Problem, StartrollError
from register.facts.base import BASE
from register.facts.whatif import entered
from register.intake.correct import believed, set_value, settable
from register.planning.group_filter import select
from register.planning.group_request import GroupAnswer
from register.planning.verdict_moves import Moves, moves
from register.store.database import writing
from register.store.origins import BY_GROUP
from register.store.queries import key_text, rows_at
from register.text import shown

EXAMPLES = 3
SHARED = {"model": "device model", "bus": "bus", "site": "site"}  # tables of which several positions share a row


@dataclass(frozen=True)
class Example:
    """One position that gets a value: column, before and after, verdicts decided there, rules newly failed."""

    tag: str
    column: str
    before: str
    after: str
    decided: int
    findings: tuple[str, ...]


@dataclass(frozen=True)
class Part:
    """What one column of an answer does, or would do.

    Of the positions selected, `filled` were blank, `overwritten` had another value; `kept` keep theirs, which
    for `differing` of them is another; `not_applicable` are blank because someone noted that nothing belongs there.
    `elsewhere` share what was filled and were not selected, as what `shared` says.
    """

    column: str
    value: str
    filled: tuple[str, ...]
    overwritten: tuple[str, ...]
    kept: tuple[str, ...]
    differing: tuple[str, ...]
    not_applicable: tuple[str, ...]
    elsewhere: tuple[str, ...] = ()
    shared: str = ""

    @property
    def written(self) -> tuple[str, ...]:
        """The positions whose value changes."""
        return self.filled + self.overwritten


@dataclass(frozen=True)
class Answered:
    """What an answer did, column by column; or would do, where there is no `change_set`.

    `selected` are the positions for which the filter is true, for `untold` it is unknown.
    """

    asked: GroupAnswer
    selected: tuple[str, ...]
    untold: tuple[str, ...]
    parts: tuple[Part, ...]
    change_set: int | None = None
    verdicts: Moves = field(default_factory=Moves)
    examples: tuple[Example, ...] = ()

    @property
    def told(self) -> str:
        """The answer in one line, its values as they are understood."""
        return replace(self.asked, values={part.column: part.value for part in self.parts}).told

    @property
    def filled(self) -> tuple[str, ...]:
        """The positions where a blank was filled, each once."""
        return tuple(dict.fromkeys(tag for part in self.parts for tag in part.filled))


def answer_group(session: Session, asked: GroupAnswer, *, reason: str, author: str = "", dry: bool = False) -> Answered:
    """Write values at every position that a filter selects, and tell what an audit then says otherwise.

    Parameters
    ----------
    asked : the values, their columns, where, and what is excepted.
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
    _refuse_odd(asked)
    try:
        # All in one transaction, so that nobody fills a blank between the look and the writing.
        with writing(session.db, reason=reason, author=author, source_file=_source(asked), dry=dry) as number:
            return _written(session, asked, None if dry else number)
    except _Nothing as nothing:
        return nothing.plan


def _written(session: Session, asked: GroupAnswer, number: int | None) -> Answered:
    db, before = session.db, session.audit()
    held = _held(db, asked)
    plan = _plan(session, asked, held)
    if not any(part.written for part in plan.parts):
        raise _Nothing(plan)
    _write(db, plan)
    after, chosen = session.audit(), set(plan.selected)
    now = _held(db, asked)
    parts = []
    for part in plan.parts:
        was, is_ = held[part.column], now[part.column]
        elsewhere = tuple(tag for tag in was if tag not in chosen and is_[tag] != was[tag])
        parts.append(replace(part, elsewhere=elsewhere, shared=SHARED.get(settable(part.column).table, "")))
    made = replace(plan, change_set=number, parts=tuple(parts), verdicts=moves(before, after))
    return replace(made, examples=tuple(_examples(made, held, now)))


def _refuse_odd(asked: GroupAnswer) -> None:
    """Raise StartrollError with every column that no group can have, and every value that is none."""
    problems: list[Problem] = []
    for name, values in _texts(asked).items():
        try:
            for value in values:
                _believed(name, value)
        except StartrollError as error:
            problems += error.problems
    if problems:
        raise StartrollError(problems)


def _texts(asked: GroupAnswer) -> dict[str, list[str]]:
    """All that is written for each column, at whatever position."""
    others = list(asked.excepted.values())
    return {name: [value, *(o[name] for o in others if name in o)] for name, value in asked.values.items()}


def _believed(name: str, value: str) -> Any:
    column = settable(name)
    if name in TABLES[column.table].key:
        cause = f"{name} names one {column.table} and is never the same for several"
        raise StartrollError(Problem(cause, f"startroll correct TAG {name} sets one", name))
    understood = believed(name, value)
    if name not in BASE:
        raise StartrollError(Problem(f"{name} is not kept at a position", "see docs/columns.md", name))
    if understood is None:
        cause = f"{value!r} says that the value is unknown, and a group's answer is a value"
        remedy = f"startroll correct TAG {name} --blank REASON notes why one is blank"
        raise StartrollError(Problem(cause, remedy, name))
    return understood


def _plan(session: Session, asked: GroupAnswer, held: Mapping[str, Mapping[str, Any]]) -> Answered:
    chosen = select(session.db, asked.where, today=session.today, area=asked.area)
    odd = sorted(set(asked.excepted) - set(chosen.tags))
    if odd:
        cause = f"{', '.join(odd)}: excepted, and not among the positions that the filter selects"
        raise StartrollError(Problem(cause, "startroll positions lists the tags; leave it out", "--except"))
    parts = tuple(_part(session.db, asked, name, chosen.tags, held[name]) for name in asked.values)
    return Answered(asked, chosen.tags, chosen.untold, parts)


def _part(db: Database, asked: GroupAnswer, name: str, tags: Iterable[str], held: Mapping[str, Any]) -> Part:
    texts = {tag: asked.value_at(tag, name) for tag in tags}
    values = {text: _believed(name, text) for text in set(texts.values()) if text is not None}
    given = {tag: values[text] for tag, text in texts.items() if text is not None}
    known = tuple(tag for tag in given if held[tag] is not None)
    differing = tuple(tag for tag in known if held[tag] != given[tag])
    noted = _not_applicable(db, name, [tag for tag in given if held[tag] is None])
    return Part(
        column=name,
        value=shown(values.get(asked.values[name], _believed(name, asked.values[name])), settable(name).unit),
        filled=tuple(tag for tag in given if held[tag] is None and tag not in noted),
        overwritten=differing if asked.overwrite else (),
        kept=tuple(tag for tag in known if not asked.overwrite or held[tag] == given[tag]),
        differing=() if asked.overwrite else differing,
        not_applicable=tuple(sorted(noted)),
    )


def _held(db: Database, asked: GroupAnswer) -> dict[str, dict[str, Any]]:
    """By column what is entered at each position; what is only assumed there is blank."""
    rows = entered(db, [tag for (tag,) in db.conn.execute("SELECT tag FROM position")])
    return {name: {tag: row[name] for tag, row in rows.items()} for name in asked.values}


def _not_applicable(db: Database, name: str, blank: Iterable[str]) -> set[str]:
    """The positions at which someone noted that the column does not apply."""
    table = TABLES[settable(name).table]
    sql = "SELECT row_key FROM blank WHERE table_name = ? AND column_name = ? AND reason = 'not applicable'"
    noted = {key for (key,) in db.conn.execute(sql, [table.name, name])}
    if not noted:
        return set()
    rows = {tag: rows_at(db, tag).get(table.name) for tag in blank}
    return {tag for tag, row in rows.items() if row is not None and key_text(table, row) in noted}


def _write(db: Database, plan: Answered) -> None:
    problems: dict[str, Problem] = {}
    for part in plan.parts:
        for tag in part.written:
            try:
                set_value(db, tag, part.column, plan.asked.value_at(tag, part.column))
            except StartrollError as error:
                problems |= {one.cause: one for one in error.problems}
    if problems:
        raise StartrollError(problems.values())


def _examples(
    made: Answered, held: Mapping[str, Mapping[str, Any]], now: Mapping[str, Mapping[str, Any]]
) -> Iterator[Example]:
    """Those with the most findings first, then with the most verdicts decided; one of each position."""
    by_tag = made.verdicts.by_tag
    first = {tag: part.column for part in reversed(made.parts) for tag in part.written}

    def weight(tag: str) -> tuple[int, int]:
        decided, rules = by_tag.get(tag, (0, ()))
        return -len(rules), -decided

    in_order = dict.fromkeys(tag for part in made.parts for tag in part.written)
    for tag in sorted(in_order, key=weight)[:EXAMPLES]:
        name, (decided, rules) = first[tag], by_tag.get(tag, (0, ()))
        unit = settable(name).unit
        yield Example(tag, name, shown(held[name][tag], unit), shown(now[name][tag], unit), decided, rules)


def _source(asked: GroupAnswer) -> str:
    return f"{BY_GROUP}: {asked.where}" + (f", area {asked.area}" if asked.area else "")


@contextmanager
def _copied(session: Session) -> Iterator[Session]:
    """The register in a copy that is forgotten: in memory while it is small, on the disk when not."""
    with closing(sqlite3.connect("", isolation_level=None)) as conn:
        session.db.conn.backup(conn)
        conn.execute("PRAGMA foreign_keys = ON")
        yield replace(session, db=Database(conn))
