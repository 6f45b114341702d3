"""Rows of facts from rows of the base: assumed values, calculations, reasons for missing values, input hash."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from math import nan
from typing import Any

import numpy as np

from register import columns
from register.calc.word_match import said
from register.facts.assumptions import Assumption
from register.facts.base import BASE
from register.facts.derived import Calculation, Kept, derive, entered_behind, needed_for, parameters
from register.facts.method import Method
from register.facts.missing import Arrays, missing, reasons, worded

# How sure a study can be depends on what was entered, not on what is assumed for it.
OF_THE_ENTERED = ("study_certainty",)


def made(rows: list[tuple], method: Method, exempt: Mapping[str, frozenset[str]], numbers: dict) -> Iterator[tuple]:
    """Rows of facts from base rows, and the numbers of new reasons for missing values into `numbers`.

    `exempt` are, for a column with an assumed value, the keys of the rows where it does not apply.
    """
    lists: dict[str, Sequence[Any]] = dict(zip(BASE, zip(*rows, strict=True), strict=True))
    stand_ins, known = completed(lists, method, exempt)
    gap_reasons = _gap_reasons(known, method, numbers)
    seed = method.hash.encode()
    hashes = (hashlib.blake2b(repr(row).encode(), digest_size=12, key=seed[:64]).hexdigest() for row in rows)
    # SQLite takes NaN as NULL, and binding it is three times as quick as binding None.
    bound = ([nan if v is None else v for v in lists[name]] for name in columns.FACTS)
    return zip(*bound, stand_ins.tolist(), gap_reasons, hashes, strict=True)


def completed(
    lists: dict[str, Sequence[Any]],
    method: Method,
    exempt: Mapping[str, frozenset[str]],
    *,
    only: frozenset[str] | None = None,
    alike: bool = False,
) -> tuple[np.ndarray, Arrays]:
    """Put assumed values and calculations into `lists`, which has the columns of the base.

    Parameters
    ----------
    method, exempt : as for `made`.
    only : the columns wanted; what does not lead to them is left out.
    alike : that many rows are the same but for a few columns, so that it pays to look for those.

    Returns
    -------
    (the assumed values used in each row, as bits; what the calculations read and gave).
    """
    rows = len(lists["tag"])
    stand_ins = np.zeros(rows, np.int64)
    worked_out = {a for a in method.assumptions if a.from_column not in (None, *BASE)}
    known = {name: _array(lists[name], name) for name in (*_asked(), *_beside(method))}

    kept: dict[Calculation, Kept] = {}  # an assumed value touches few of the calculations

    def work_out(wanted: frozenset[str] | None) -> Arrays:
        made_now = derive(known, method.tables, only=wanted, alike=alike, kept=kept)
        return {name: np.broadcast_to(v, rows) for name, v in made_now.items()}

    filled = _fill(known, lists, stand_ins, set(method.assumptions) - worked_out, exempt)
    of_the_entered = work_out(frozenset(OF_THE_ENTERED))
    # An assumed value that is worked out may be based on another one, as inertia does on poles.
    more = bool(worked_out)
    while more:
        known |= work_out(frozenset(a.from_column for a in worked_out if a.from_column))
        now_filled = _fill(known, lists, stand_ins, worked_out, exempt)
        filled, more = filled | now_filled, bool(now_filled)
    derived = work_out(only)
    known |= derived
    lists |= {name: known[name].tolist() for name in (*filled, *derived)}
    lists |= {name: of_the_entered[name].tolist() for name in OF_THE_ENTERED}
    return stand_ins, known


def read_for(only: frozenset[str], assumptions: Iterable[Assumption]) -> frozenset[str]:
    """The columns of the base that `completed` reads to give the columns wanted, beside the keys of its tables."""
    ends = {name for a in assumptions for name in (a.column, a.from_column, "device_kind") if name}
    wanted = only | ends | set(OF_THE_ENTERED)
    asked = {name for calculation in needed_for(wanted) for name in parameters(calculation)}
    return frozenset(name for name in asked | wanted if name in BASE)


def _fill(
    known: Arrays,
    lists: Mapping[str, Sequence[Any]],
    stand_ins: np.ndarray,
    assumptions: set[Assumption],
    exempt: Mapping[str, frozenset[str]],
) -> set[str]:
    """Put assumed values into `known` and mark them in `stand_ins`; the columns where there were any."""
    used = {a: _stands(a, known, lists, exempt[a.column]) for a in assumptions}
    others: dict[Assumption, Any] = {a: known[a.from_column] if a.from_column else a.value for a in assumptions}
    for a in (a for a in assumptions if used[a].any()):
        known[a.column] = np.where(used[a], others[a], known[a.column])
        stand_ins[used[a]] |= np.int64(1) << a.bit
    return {a.column for a in assumptions if used[a].any()}


def _beside(method: Method) -> tuple[str, ...]:
    """The base columns that only assumed values ask for."""
    named = {n for a in method.assumptions for n in (a.column, a.from_column, "device_kind")}
    return tuple(sorted(n for n in named if n in BASE and n not in _asked()))


@cache
def _asked() -> tuple[str, ...]:
    """The base columns that any calculation asks for."""
    return tuple(sorted(frozenset().union(*(entered_behind(d.name) for d in columns.DERIVED))))


def _array(values: Sequence[Any], name: str) -> np.ndarray:
    if columns.FACTS[name].is_number:
        return np.array(values, dtype=float)
    array = np.empty(len(values), object)
    array[:] = values
    return array


def _stands(a: Assumption, known: Arrays, lists: Mapping[str, Sequence[Any]], exempt: frozenset[str]) -> np.ndarray:
    """Where an assumed value stands for a blank; only in rows that are there."""
    key = columns.TABLES[columns.FACTS[a.column].table].key
    # Settings that nobody has read yet are those of a device that is there.
    stands = missing(known[a.column]) & ~missing(_array(lists[key[0]], key[0]))
    if a.from_column:
        stands &= ~missing(known[a.from_column])
    if a.only_for:
        stands &= said(known["device_kind"], *a.only_for)
    for row in np.flatnonzero(stands).tolist() if exempt else ():
        stands[row] = " | ".join(str(lists[name][row]) for name in key) not in exempt
    return stands


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
