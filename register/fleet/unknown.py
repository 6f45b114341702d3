"""Which blank fields leave verdicts open, counted for each register of a group: all positions at once, as arrays."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from sqlite_utils import Database

from register import columns
from register.audit.judge import Audit
from register.fleet.joined import MARK
from register.rulebook.model import Outcome, Verdicts

WORD_BITS = 60
CANT_TELL = Outcome.CANT_TELL
_NONE = np.zeros((3, 0), np.int64)
_ONES = np.array([number.bit_count() for number in range(256)], np.uint8)


@dataclass(frozen=True)
class Behind:
    """What a register says of its missing values.

    `tags` are its positions, `counts` how many gaps each has, `gaps` the gaps one after another, each the number of one
    of `reasons`: the fact without value, and the entered fields behind it.
    """

    tags: tuple[str, ...]
    counts: np.ndarray
    gaps: np.ndarray
    reasons: Sequence[tuple[str, str]]

    @classmethod
    def of(cls, db: Database) -> Behind:
        """Those of an open register whose facts were built."""
        # In one text: a row fetched costs more than a line split off.
        (told,) = db.conn.execute(
            "SELECT group_concat(gap_reason || char(9) || column_name || char(9) || fields, char(10)) FROM gap_reason"
        ).fetchone()
        reasons = [line.split("\t") for line in (told or "").splitlines()]
        rows = db.conn.execute("SELECT tag, gap_reasons FROM facts").fetchall()
        # Lists of whole numbers in JSON, as facts.build writes them: no reader is as quick as this.
        lists = [own[1:-1] for _, own in rows]
        whole = ",".join(filter(None, lists))
        gaps = np.fromstring(whole, np.int64, sep=",")
        # Up to the end of a list there are as many commas as numbers.
        commas = np.cumsum(np.frombuffer(f",{whole},".encode(), np.uint8) == ord(",")) - 1
        ends = np.cumsum([len(own) + 1 if own else 0 for own in lists])
        numbers = np.array([number for number, *_ in reasons], np.int64)
        place = np.zeros(1 + numbers.max(initial=0), np.int64)
        place[numbers] = np.arange(len(numbers))
        return cls(
            tuple(tag for tag, _ in rows),
            np.diff(commas[ends], prepend=0),
            place[gaps],
            [(name, fields) for _, name, fields in reasons],
        )


@dataclass(frozen=True)
class _Open:
    """Places where verdicts wait for a field: row and field of each, and those verdicts' rules as bits."""

    rows: np.ndarray
    fields: np.ndarray
    bits: np.ndarray


_Read = tuple[Sequence[str], np.ndarray]  # the facts that rules read, and for each those rules as bits


class _Fields:
    """The entered fields met, each with a number."""

    def __init__(self) -> None:
        self.numbers: dict[str, int] = {}

    def number(self, name: str) -> int:
        return self.numbers.setdefault(name, len(self.numbers))

    @cache  # noqa: B019 - lives as long as one count
    def listed(self, names: str) -> tuple[int, ...]:
        """The numbers of fields that stand in one text."""
        return tuple(self.number(name) for name in names.split(", ") if name)


def unknown(db: Database, audit: Audit, behind: Mapping[str, Behind]) -> dict[str, list[tuple]]:
    """For each register, the blank fields that unknown verdicts on positions read: positions, verdicts, majors."""
    table = audit.verdicts
    left = table.outcomes == CANT_TELL
    asked = np.flatnonzero(left.any(axis=0)).tolist()
    if not asked:
        return {mark: [] for mark in behind}
    opened, fields = _words(left), _Fields()
    read = sorted({name for col in asked for name in table.rules[col].columns if name in columns.FACTS})
    reading = _words(np.array([[name in r.columns for r in table.rules] for name in read], bool)) & _words(
        left.any(axis=0)[None, :]
    )
    parts = [
        *_entered(db, table, opened, (read, reading), fields),
        _derived(behind, table, opened, (read, reading), fields),
        _left_open(audit, asked, fields),
    ]
    return _counted(parts, table, list(behind), list(fields.numbers))


def _words(truths: np.ndarray) -> np.ndarray:
    """Each row of truths as bits in a few integers."""
    packed = np.packbits(truths, axis=1, bitorder="little")
    return np.ascontiguousarray(np.pad(packed, ((0, 0), (0, -packed.shape[1] % 8)))).view(np.uint64)


def _blanks(db: Database, table: Verdicts, names: Sequence[str]) -> np.ndarray:
    """Which facts are blank: a row for each that was judged, a column for each name."""
    parts = [names[at : at + WORD_BITS] for at in range(0, len(names), WORD_BITS)]
    packed = ["|".join(f"(({n} IS NULL)<<{bit})" for bit, n in enumerate(own)) for own in parts]
    rows = db.conn.execute(f"SELECT {', '.join(['tag', *packed])} FROM facts").fetchall()
    found = np.zeros((len(table.tags), len(names)), bool)
    places = [table.row(tag) for tag, *_ in rows]
    for number, own in enumerate(parts):
        words = np.array([row[number + 1] for row in rows], np.int64)
        at = number * WORD_BITS
        found[places, at : at + len(own)] = (words[:, None] >> np.arange(len(own))) & 1
    return found


def _entered(db: Database, table: Verdicts, opened: np.ndarray, read: _Read, fields: _Fields) -> Iterator[_Open]:
    """Blank facts that somebody enters are themselves the field."""
    own = [(name, by) for name, by in zip(*read, strict=True) if columns.FACTS[name].origin != "derived"]
    blank = _blanks(db, table, [name for name, _ in own])
    for at, (name, by) in enumerate(own):
        rows = np.flatnonzero(blank[:, at])
        bits = opened[rows] & by
        kept = bits.any(axis=1)
        yield _Open(rows[kept], np.full(int(kept.sum()), fields.number(name)), bits[kept])


def _derived(behind: Mapping[str, Behind], table: Verdicts, opened: np.ndarray, asked: _Read, fields: _Fields) -> _Open:
    """A calculated fact is blank for want of the fields behind it; each that is blank has its gap."""
    read, reading = asked
    column = {name: at for at, name in enumerate(read) if columns.FACTS[name].origin == "derived"}
    # Plants of a group have many reasons in common.
    numbers: dict[tuple[str, str], int] = {}
    rows, gaps = (np.concatenate(parts) for parts in zip(*_gaps(behind, table, numbers), strict=True))
    at = np.array([column.get(name, -1) for name, _ in numbers], np.int64)
    kept = at[gaps] >= 0
    rows, gaps = rows[kept], gaps[kept]
    bits = opened[rows] & reading[at[gaps]]
    kept = bits.any(axis=1)
    rows, gaps, bits = rows[kept], gaps[kept], bits[kept]
    # Each gap once for every field behind it.
    lists = [fields.listed(names) if own >= 0 else () for own, (_, names) in zip(at, numbers, strict=True)]
    lengths = np.array([len(one) for one in lists], np.int64)
    starts, flat = np.cumsum(lengths) - lengths, np.array([f for one in lists for f in one], np.int64)
    times = lengths[gaps]
    each = np.repeat(np.arange(len(gaps)), times)
    within = np.arange(len(each)) - np.repeat(np.cumsum(times) - times, times)
    return _Open(rows[each], flat[starts[gaps[each]] + within], bits[each])


def _gaps(
    behind: Mapping[str, Behind], table: Verdicts, numbers: dict[tuple[str, str], int]
) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    """For each register the row of every gap, and the number of its reason; new ones into `numbers`."""
    for mark, own in behind.items():
        ending = f"{MARK}{mark}" if mark else ""
        rows = np.array([table.row(f"{tag}{ending}") for tag in own.tags], np.int64)
        number = np.array([numbers.setdefault(reason, len(numbers)) for reason in own.reasons], np.int64)
        yield np.repeat(rows, own.counts), number[own.gaps] if len(number) else own.gaps


def _left_open(audit: Audit, asked: Iterable[int], fields: _Fields) -> _Open:
    """The blanks whose assumed values leave verdicts open."""
    table, column_of = audit.verdicts, {audit.verdicts.rules[col].id: col for col in asked}
    left = (table.outcomes == CANT_TELL) & (table.stand_ins != 0)[:, None]
    found = []
    for col in asked:
        own = np.flatnonzero(left[:, col])
        for a in audit.may_not_judge(table.rules[col]) if own.size else ():
            used = own[(table.stand_ins[own] >> a.bit & 1).astype(bool)]
            found.append((used, np.full(len(used), fields.number(a.column)), np.full(len(used), col)))
    for (tag, rule), names in audit.unproven.items():
        row, at = table.row(tag), column_of.get(rule)
        if at is not None and left[row, at]:
            found += ((np.array([row]), np.array([fields.number(name)]), np.array([at])) for name in names)
    rows, names, cols = np.concatenate([np.array(one, np.int64) for one in found], axis=1) if found else _NONE
    return _Open(rows, names, _words(np.eye(len(table.rules), dtype=bool))[cols])


def _counted(
    parts: Sequence[_Open], table: Verdicts, marks: Sequence[str], names: Sequence[str]
) -> dict[str, list[tuple]]:
    """The rows of the table `unknown` of each register."""
    rows, fields, bits = (np.concatenate([getattr(part, n) for part in parts]) for n in ("rows", "fields", "bits"))
    keys = rows * len(names) + fields
    order = np.argsort(keys, kind="stable")
    keys, begins = np.unique(keys[order], return_index=True)
    bits = np.bitwise_or.reduceat(bits[order], begins, axis=0) if len(begins) else bits
    majors = _words(np.array([[rule.grade == "major" for rule in table.rules]], bool))
    numbers = {mark: number for number, mark in enumerate(marks)}
    register = np.array([numbers[tag.partition(MARK)[2]] for tag in table.tags], np.int64)
    places = register[keys // max(1, len(names))] * len(names) + keys % max(1, len(names))
    counts = [
        np.bincount(places, weights, minlength=len(marks) * len(names)).astype(int).reshape(len(marks), -1).tolist()
        for weights in (None, _ones(bits), _ones(bits & majors))
    ]
    told = sorted((name, at) for at, name in enumerate(names))
    return {
        mark: [
            (name, _table_of(name), *(counted[number][at] for counted in counts))
            for name, at in told
            if counts[0][number][at]
        ]
        for number, mark in enumerate(marks)
    }


def _ones(words: np.ndarray) -> np.ndarray:
    """How many bits are set in each row."""
    return _ONES[words.view(np.uint8)].sum(axis=1)


@cache
def _table_of(name: str) -> str:
    return columns.column(name).table
