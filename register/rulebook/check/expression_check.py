"""Whether an expression is sound: its names, its types, its units, and nothing that hides unknowns.

sqlglot reads the text and this file judges every node of the tree; SQLite then prepares both the
text as written and the text that will run, and has to make the same program of them. Each catches
what the others let through.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import product

from sqlglot import exp
from sqlglot.errors import ParseError, SqlglotError

from register.columns import SUBJECTS, Subject
from register.rulebook.check.common_mistakes import overlap, seen, truth_of, unknown
from register.rulebook.check.expression import parsed, written
from register.rulebook.check.kinds import Fault
from register.rulebook.check.types import Typing
from register.rulebook.model import TODAY


@dataclass(frozen=True)
class Checked:
    """An expression with what is wrong in it; `unit` is that of its value, where it is a number."""

    faults: tuple[Fault, ...]
    unit: str = ""
    hides_unknown: bool = False


_DAYS = ("0001-01-01", "2026-01-01", "9999-12-31")
_LIMITS = (0.0, 1e-6, 1.0, 1e6, -1e6)

# Packs of two years, or with one limit changed, have nearly all their expressions in common.
# Longer than any rule needs, and short enough for what looks through it many times over.
MOST_LETTERS = 5_000
_SOUND: dict[tuple, Checked] = {}


def check(
    text: str,
    *,
    wants: str,
    limits: Mapping[str, str],
    deliberate: bool,
    connection: sqlite3.Connection,
    about: Subject = SUBJECTS["position"],
) -> Checked:
    """Check one expression.

    Parameters
    ----------
    text : the expression, in SQLite's dialect.
    wants : what its value must be, `truth` or `number`.
    limits : the unit of each limit that may be named.
    deliberate : whether the rule says that treating the unknown as known is meant.
    connection : a database with an empty table of the subject's facts, to prepare it on.
    about : whose columns may be named.
    """
    if len(text) > MOST_LETTERS:
        return Checked((Fault(f"{len(text)} letters; up to {MOST_LETTERS} are read", "write it plainer", 0, 1),))
    asked = text, wants, frozenset(limits.items()), deliberate, about.name
    if asked in _SOUND:
        return _SOUND[asked]
    try:
        typing = Typing(limits, deliberate=deliberate, about=about)
        checked = _checked(text, wants, typing, connection)
    except SqlglotError as error:
        checked = Checked((replace(_unreadable(text, error), sure=False),))
    except RecursionError:
        return Checked((Fault("too much stands inside one another", "write it plainer", 0, 1),))
    if not checked.faults:
        _SOUND[asked] = checked
        return checked
    return replace(checked, faults=_told_better(checked.faults, seen(text, about, limits)))


def of_nothing(text: str, connection: sqlite3.Connection, relation: str) -> list[Fault]:
    """The fault of a requirement that is met, or cannot be worked out, where every field is blank; else none.

    Tried on days long past and far ahead, and with limits from nothing to very large: what holds on one of them of a
    position of which nothing is known would pass every position on that day.
    """
    named = {p.name for p in parsed(text).find_all(exp.Placeholder)} - {TODAY}
    for day, limit in product(_DAYS, _LIMITS if named else (0.0,)):
        values = {TODAY: day, **dict.fromkeys(named, limit)}
        try:
            row = connection.execute(
                f"SELECT (\n{text}\n) FROM (SELECT 1) LEFT JOIN {relation} ON 0", values
            ).fetchone()
        except (sqlite3.Error, OverflowError) as error:
            return [Fault(f"it cannot be worked out: {error}", "write smaller numbers", 0, len(text))]
        if row[0]:
            remedy = "take out what holds whatever the fields say, or say unknown_is_deliberate: <reason>"
            return [Fault("this is met where every field is blank", remedy, 0, len(text))]
    return []


def _told_better(faults: tuple[Fault, ...], slips: list[Fault]) -> tuple[Fault, ...]:
    """The common mistakes, and of the faults those that lie elsewhere and may well be something else."""
    others = [fault for fault in faults if fault.sure and not any(overlap(fault, slip) for slip in slips)]
    return tuple(sorted([*slips, *others], key=lambda f: f.start)) if slips else faults


def _checked(text: str, wants: str, typing: Typing, connection: sqlite3.Connection) -> Checked:
    tree = parsed(text)
    if isinstance(tree, exp.Command):
        # The first word is one with which SQL begins a command, and meant as a column.
        word = text.split()[0]
        return Checked((Fault(*unknown(word, typing.about), text.find(word), len(word)),))
    kind = typing.of(tree)
    if kind and kind.sort != wants:
        remedy = _WANTED[wants]
        if wants == "truth" and isinstance(tree, exp.Column):
            remedy = truth_of(tree, typing.about)
        typing.blame(tree, f"a {wants} is wanted here and this is a {kind.sort}", remedy)
    spots = [(blame, *spot(blame.node, text)) for blame in typing.blames]
    faults = [Fault(b.cause, b.remedy, at, width, (at, width) != NOWHERE) for b, at, width in spots]
    unit = kind.unit.label if kind and kind.unit else ""
    if not faults:
        faults = _prepared(text, tree, connection, typing.about.relation)
    return Checked(tuple(faults), unit, typing.hides_unknown)


_WANTED = {
    "truth": "write a comparison, such as fla_a <= overload_set_a or inverter_duty = 'yes'",
    "number": "write a difference that is positive where the requirement is met",
}


NOWHERE = (0, 1)


def spot(node: exp.Expression, text: str) -> tuple[int, int]:
    """Where a node stands in the text: start and width; the beginning where it is unknown."""
    starts, ends = [], []
    for part in node.walk():
        if isinstance(part, exp.Placeholder) and part.name:
            at = text.find(f":{part.name}")
            starts.append(at)
            ends.append(at + len(part.name))
        elif "start" in part.meta:
            starts.append(part.meta["start"])
            ends.append(part.meta["end"])
    if not starts or min(starts) < 0:
        return NOWHERE
    # Functions have no place of their own: go back over their name and bracket.
    start = min(starts)
    if isinstance(node, exp.Func):
        before = text[:start].rstrip(" (")
        start = max(before.rfind(c) for c in " (,\n") + 1
    newline = text.find("\n", start)
    end = max(ends) if newline < 0 else min(max(ends), newline - 1)
    return start, max(1, end - start + 1)


def _unreadable(text: str, error: SqlglotError) -> Fault:
    first = error.errors[0] if isinstance(error, ParseError) and error.errors else {}
    if not first.get("line"):
        quote = text.rfind("'")
        if not text.strip() or quote < 0:
            return Fault("this is no expression", "write a comparison in SQL", 0, 1)
        return Fault("a quote is opened and not closed", "close it with '", quote, 1)
    word = first.get("highlight") or ""
    lines = text.splitlines(keepends=True)
    before = sum(len(line) for line in lines[: first["line"] - 1])
    start = max(0, before + first["col"] - len(word))
    what = first["description"]
    if "Expecting )" in what:
        return Fault("a bracket is opened and not closed", "close it with )", start, len(word))
    if "Required keyword" in what:
        return Fault(f"something is missing beside {word!r}", "finish the expression", start, len(word))
    return Fault(f"{word!r} is not understood here", "write one expression in SQL", start, len(word))


def _prepared(text: str, tree: exp.Expression, connection: sqlite3.Connection, relation: str) -> list[Fault]:
    """SQLite's own word: it must take the text, and make the same program of what will run."""
    values = dict.fromkeys((p.name for p in tree.find_all(exp.Placeholder)), 1.0)
    values[TODAY] = "2026-01-01"
    programs = []
    for sql in (text, written(tree)):
        try:
            rows = connection.execute(f"EXPLAIN SELECT (\n{sql}\n) FROM {relation}", values)
        except sqlite3.Error as error:
            return [Fault(f"SQLite refuses it: {error}", "correct the expression", 0, 1)]
        programs.append([row[1:] for row in rows])
    if programs[0] != programs[1]:
        return [Fault("this can be read in two ways", "put brackets round each part", 0, 1)]
    return []
