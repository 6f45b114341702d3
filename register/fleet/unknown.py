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
        reasons = db.conn.execute("SELECT gap_reason, column_name, fields FROM gap_reason").fetchall()
        rows = db.conn.execute("SELECT tag, gap_reasons FROM facts").fetchall()
        # Lists of whole numbers in JSON, as facts.build writes them: no reader is as quick as this.
        lists = [own[1:-1] for _, own in rows]
        whole = ",".join(filter(None, lists))
        gaps = np.fromstring(whole, np.int64, sep=",")
        # Up to the end of a list there are as many commas as numbers.
        commas = np.cumsum(np.frombuffer(f",{whole},".encode(), np.uint8) == ord(",")) - 1
        ends = np.cumsum([len(own) + 1 if own else 0 for own in lists])
        place = np.zeros(1 + max((number for number, *_ in reasons), default=0), np.int64)
        place[[number for number, *_ in reasons]] = np.arange(len(reasons))
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
    blank = _blanks(db, table, read)
    parts = [
        *_entered(opened, blank, read, reading, fields),
        *(_derived(own, mark, table, (opened, blank, read, reading), fields) for mark, own in behind.items()),
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


def _entered(
    opened: np.ndarray, blank: np.ndarray, read: Sequence[str], reading: np.ndarray, fields: _Fields
) -> Iterator[_Open]:
    """Blank facts that somebody enters are themselves the field."""
    for at, name in enumerate(read):
        if columns.FACTS[name].origin != "derived":
            rows = np.flatnonzero(blank[:, at])
            bits = opened[rows] & reading[at]
            kept = bits.any(axis=1)
            yield _Open(rows[kept], np.full(int(kept.sum()), fields.number(name)), bits[kept])


def _derived(
    own: Behind,
    mark: str,
    table: Verdicts,
    asked: tuple[np.ndarray, np.ndarray, Sequence[str], np.ndarray],
    fields: _Fields,
) -> _Open:
    """A calculated fact is blank for want of the fields behind it."""
    opened, blank, read, reading = asked
    column = {name: at for at, name in enumerate(read) if columns.FACTS[name].origin == "derived"}
    at = np.array([column.get(name, -1) for name, _ in own.reasons], np.int64)
    ending = f"{MARK}{mark}" if mark else ""
    rows = np.repeat(np.array([table.row(f"{tag}{ending}") for tag in own.tags], np.int64), own.counts)
    kept = at[own.gaps] >= 0
    rows, gaps = rows[kept], own.gaps[kept]
    bits = opened[rows] & reading[at[gaps]]
    kept = blank[rows, at[gaps]] & bits.any(axis=1)
    rows, gaps, bits = rows[kept], gaps[kept], bits[kept]
    # Each gap once for every field behind it.
    lists = [fields.listed(names) if at[n] >= 0 else () for n, (_, names) in enumerate(own.reasons)]
    lengths = np.array([len(one) for one in lists], np.int64)
    starts, flat = np.cumsum(lengths) - lengths, np.array([f for one in lists for f in one], np.int64)
    times = lengths[gaps]
    each = np.repeat(np.arange(len(gaps)), times)
    within = np.arange(len(each)) - np.repeat(np.cumsum(times) - times, times)
    return _Open(rows[each], flat[starts[gaps[each]] + within], bits[each])


def _left_open(audit: Audit, asked: Iterable[int], fields: _Fields) -> _Open:
    """The blanks whose assumed values leave verdicts open."""
    table = audit.verdicts
    found: list[tuple[int, int, int]] = []
    for col in asked:
        rule = table.rules[col]
        if audit.leaves_open(rule):
            for row in np.flatnonzero((table.outcomes[:, col] == CANT_TELL) & (table.stand_ins != 0)).tolist():
                found += ((row, fields.number(name), col) for name in audit.left_open(table.tags[row], rule))
    rows, names, cols = np.array(found, np.int64).reshape(-1, 3).T
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
