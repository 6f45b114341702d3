"""Rows of facts from rows of the base: stand-ins, calculations, reasons for gaps, input hash."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from math import nan

import numpy as np

from register import columns
from register.facts.assumptions import Assumption
from register.facts.base import BASE
from register.facts.derived import derive, entered_behind
from register.facts.gaps import Arrays, reasons, worded
from register.facts.method import Method

# How sure a study can be depends on what was entered, not on what stands in for it.
OF_THE_ENTERED = ("study_certainty",)


def made(
    rows: list[tuple], method: Method, exempt: Mapping[str, frozenset[str]], numbers: dict
) -> Iterator[tuple]:
    """Rows of facts from base rows, and the numbers of new reasons for gaps into `numbers`.

    `exempt` are, for a column with a stand-in, the keys of the rows where it does not apply.
    """
    lists: dict[str, Iterable] = dict(zip(BASE, zip(*rows, strict=True), strict=True))
    stand_ins, known = completed(lists, method, exempt)
    gap_reasons = _gap_reasons(known, method, numbers)
    seed = method.hash.encode()
    hashes = (hashlib.blake2b(repr(row).encode(), digest_size=12, key=seed[:64]).hexdigest()
              for row in rows)  # fmt: skip
    # SQLite takes NaN as NULL, and binding it is three times as quick as binding None.
    bound = ([nan if v is None else v for v in lists[name]] for name in columns.FACTS)
    return zip(*bound, stand_ins.tolist(), gap_reasons, hashes, strict=True)


def completed(
    lists: dict[str, Iterable], method: Method, exempt: Mapping[str, frozenset[str]], *,
    only: frozenset[str] | None = None,
) -> tuple[np.ndarray, Arrays]:  # fmt: skip
    """Put stand-ins and calculations into `lists`, which has the columns of the base.

    Parameters
    ----------
    method, exempt : as for `made`.
    only : the columns wanted; what does not lead to them is left out.

    Returns
    -------
    (the stand-ins used in each row, as bits; what the calculations read and gave).
    """
    stand_ins = np.zeros(len(lists["tag"]), np.int64)
    worked_out = {a for a in method.assumptions if a.from_column not in (None, *BASE)}
    _fill(lists, stand_ins, set(method.assumptions) - worked_out, exempt)
    _work_out(lists, method, only=frozenset(OF_THE_ENTERED))
    of_the_entered = {name: lists[name] for name in OF_THE_ENTERED}
    # A stand-in that is worked out may rest on another one, as inertia does on poles.
    more = bool(worked_out)
    while more:
        _work_out(lists, method, only=frozenset(a.from_column for a in worked_out))
        more = _fill(lists, stand_ins, worked_out, exempt)
    known = _work_out(lists, method, only=only)
    lists |= of_the_entered
    return stand_ins, known


def _fill(
    lists: dict[str, Iterable], stand_ins: np.ndarray, assumptions: set[Assumption],
    exempt: Mapping[str, frozenset[str]],
) -> bool:  # fmt: skip
    """Put stand-ins into `lists` and mark them in `stand_ins`; whether there were any."""
    stood_in = {a: _stood_in(a, lists, exempt[a.column]) for a in assumptions}
    for assumption, (values, used) in stood_in.items():
        lists[assumption.column] = values
        stand_ins[used] |= np.int64(1) << assumption.bit
    return any(used.any() for _, used in stood_in.values())


def _work_out(
    lists: dict[str, Iterable], method: Method, only: frozenset[str] | None = None
) -> Arrays:
    """Every calculation, or those behind `only`; what they give is put into `lists` too."""
    rows = len(lists["tag"])
    known = {name: _array(lists[name], name) for name in _asked()}
    derived = derive(known, method.tables, only=only)
    derived = {name: np.broadcast_to(v, rows) for name, v in derived.items()}
    lists |= {name: [None if v != v else v for v in column.tolist()]
              for name, column in derived.items()}  # fmt: skip
    return known | derived


@cache
def _asked() -> tuple[str, ...]:
    """The base columns that any calculation asks for."""
    return tuple(sorted(frozenset().union(*(entered_behind(d.name) for d in columns.DERIVED))))


def _array(values: Iterable, name: str) -> np.ndarray:
    if columns.FACTS[name].is_number:
        return np.array(values, dtype=float)
    array = np.empty(len(values), object)
    array[:] = values
    return array


def _stood_in(a: Assumption, lists: dict, exempt: frozenset[str]) -> tuple[list, np.ndarray]:
    """The column with its blanks filled, and where it was; only in rows that are there."""
    key = columns.TABLES[columns.FACTS[a.column].table].key
    own = zip(*(lists[name] for name in key), strict=True)
    others = lists[a.from_column] if a.from_column else (a.value,) * len(lists[a.column])
    filled, used = [], []
    for value, other, parts, kind in zip(
        lists[a.column], others, own, lists["device_kind"], strict=True
    ):
        # Settings that nobody has read yet are those of a device that is there.
        stands = (
            value is None and other is not None and parts[0] is not None
            and (not a.only_for or kind in a.only_for)
            and (not exempt or " | ".join(map(str, parts)) not in exempt)
        )  # fmt: skip
        filled.append(other if stands else value)
        used.append(stands)
    return filled, np.array(used, bool)


def _gap_reasons(known: Arrays, method: Method, numbers: dict) -> list[str]:
    """For each row the numbers of its gaps' reasons, as a JSON list; new reasons get a number."""
    per_row: list[list[int]] = [[] for _ in next(iter(known.values()))]
    stood_in_by = {a.column: a.from_column for a in method.assumptions if a.from_column}
    for name, why in reasons(known, method.tables, stood_in_by).items():
        texts, which = worded(why)
        own = [numbers.setdefault((name, *text), len(numbers) + 1) for text in texts]
        for row, reason in zip(why.rows.tolist(), which.tolist(), strict=True):
            per_row[row].append(own[reason])
    return [str(own) for own in per_row]
