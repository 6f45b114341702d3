"""Why a calculated fact has no value: the entered fields that would have to be collected.

A blank parameter counts only when it matters. That is found by trying: with every other blank
filled by a typical value, is there still no result? Then this one is needed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from math import sqrt
from typing import Any

import numpy as np

from register import columns
from register.columns.model import Column
from register.facts.base import BASE
from register.facts.derived import derive, entered_behind, is_mixed, order, parameters, parts_of, results
from register.facts.tried_blanks import NONE, Arrays, Trial, called, missing, tried

# By calculation and by what it was given: whether anything is blank, what is needed, what may be enough.
Before = dict[Callable, dict[tuple, list[bool]]]

_NEVER = np.False_

# A 10 hp pump motor, for the columns whose range has no typical middle.
# fmt: off
TYPICAL: dict[str, float | str] = {
    "power_kw": 7.457, "motor_voltage_v": 460, "phases": 3, "motor_frequency_hz": 60, "poles": 4,
    "speed_rpm": 1755, "fla_a": 12.5, "service_factor": 1.15, "temperature_rise_c": 80,
    "efficiency_pct": 91.7, "power_factor": 0.82, "locked_rotor_ratio": 6.5, "rated_current_a": 16,
    "ambient_c": 40, "altitude_m": 100, "load_inertia_kgm2": 0.5, "ct_primary_a": 25,
    "duty_code": "AC-53b: 3.5-15 : 345", "trip_classes": "10, 20",
    "device_enclosure": "NEMA 4X", "enclosure_need": "NEMA 1", "motor_enclosure": "TEFC",
    "panel_enclosure": "NEMA 4X", "fuse_class_required": "J, CC", "description": "No 2 stock pump",
    "control_protocol": "Modbus RTU", "protocols": "Modbus RTU",
    "bus_voltage_v": 480, "motors_on_device": 2, "other_motors_a": 12.5, "site_ambient_c": 40,
    "transformer_kva": 1500, "transformer_z_pct": 5.75, "cable_length_m": 50, "cable_r_ohm_per_km": 0.5,
    "cable_x_ohm_per_km": 0.1, "load_torque_pct": 80, "load_breakaway_pct": 20, "breakdown_torque_pct": 240,
    "locked_rotor_torque_pct": 180, "current_limit_xfla": 4, "initial_voltage_pct": 60, "ramp_s": 10,
    # A start is seen after all was put in and set.
    "measured_start_on": "2026-11-02", "load_test_on": "2026-11-02",
}
# fmt: on
# So many typical positions are tried; the words of a closed list take turns in them.
TURNS = 12
FEW = 500  # rows, of which it is looked up whether they were tried before
REMEMBERED = 50_000

_BEHIND: frozenset[str] = frozenset().union(*(entered_behind(d.name) for d in columns.DERIVED))
FIELDS = tuple(name for name in BASE if name in _BEHIND)
_PLACE = {name: i for i, name in enumerate(FIELDS)}


@dataclass(frozen=True)
class Why:
    """Why one fact is missing at some rows: a column of each matrix for each of `FIELDS`.

    `needed` must all be read; of `either` one or some are enough; `check` are known, yet give no result.
    """

    rows: np.ndarray
    needed: np.ndarray
    either: np.ndarray
    check: np.ndarray

    @classmethod
    def none(cls, rows: np.ndarray) -> Why:
        """No reason yet at those rows."""
        return cls(rows, *np.zeros((3, rows.size, len(FIELDS)), bool))

    def merge(self, other: Why) -> None:
        """Take over the reasons of another at the rows that both have."""
        ours, theirs = _met(self.rows, other.rows)
        for name in ("needed", "either", "check"):
            own, more = getattr(self, name), getattr(other, name)
            if not more.any():
                continue
            if ours.size == own.shape[0]:  # all of them, as mostly: in place is three times as quick
                own |= more[theirs]
            else:
                own[ours] |= more[theirs]

    def blame(self, at: np.ndarray, field: str, stand_in: Why | None, *, how: str) -> None:
        """Blame a blank field at some of the rows, or what would let its assumed value be worked out."""
        named = getattr(self, how)
        if stand_in is not None:
            ours, theirs = _met(self.rows[at], stand_in.rows)
            behind = stand_in.needed[theirs]
            behind[:, _PLACE[field]] = False
            better = behind.any(axis=1)
            named[at[ours[better]]] |= behind[better]
            at = np.delete(at, ours[better])
        named[at, _PLACE[field]] = True

    def add(self, at: np.ndarray, behind: Why, *, how: str) -> None:
        """Take on the reasons of a calculated parameter at some of the rows."""
        there = np.searchsorted(behind.rows, self.rows[at])
        getattr(self, how)[at] |= behind.needed[there]
        self.either[at] |= behind.either[there]
        self.check[at] |= behind.check[there]


def _met(rows: np.ndarray, others: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Where the rows that both have stand in each; both are in order."""
    place = np.searchsorted(others, rows)
    there = np.flatnonzero(place < others.size)
    there = there[others[place[there]] == rows[there]]
    return there, place[there]


def reasons(values: Arrays, tables: Mapping[str, Any], stood_in_by: Mapping[str, str] | None = None) -> dict[str, Why]:
    """For each calculated column, at the rows where it is missing, why.

    `stood_in_by` tells of an entered column which other one is assumed for it: where that one is
    missing too, what would give it is named, because it is mostly the easier to read.
    """
    probes, before = _by(tuple(tables.items()))
    if sum(map(len, before.values())) > REMEMBERED:
        before.clear()
    search = _Search(values, tables, probes, stood_in_by or {}, before)
    # What is based on parts asks for assumed values that the others lead to.
    for function in sorted(order(), key=lambda f: bool(parts_of(f)) and not is_mixed(f)):
        for name in results(function):
            rows = np.flatnonzero(missing(values[name]))
            if rows.size:
                search.found[name] = search.of_result(function, name, rows)
    return search.found


class _Search:
    """The search for reasons, which adds to those of earlier calculations."""

    def __init__(
        self, values: Arrays, tables: Mapping[str, Any], probes: Arrays, stood_in_by: Mapping, before: Before
    ) -> None:
        self.values, self.tables, self.probes = values, tables, probes
        self.stood_in_by = stood_in_by
        self.found: dict[str, Why] = {}
        self.parts: dict[Callable, Why] = {}
        self.codes: Arrays = {}
        self.before = before

    def of_result(self, function: Callable, name: str, rows: np.ndarray) -> Why:
        """Why one result is missing; where all its parts are known, look at the first again."""
        if name not in parts_of(function):
            return self.of(function, rows)
        why, parts = Why.none(rows), parts_of(function)[name]
        for part in parts:
            if part not in self.parts:
                self.parts[part] = self.of(part, self._without(part))
            why.merge(self.parts[part])
        at_fault = [_PLACE[name] for p in parameters(parts[0]) for name in entered_behind(p)]
        why.check[np.ix_(~(why.needed | why.either | why.check).any(axis=1), at_fault)] = True
        return why

    def _without(self, part: Callable) -> np.ndarray:
        size = len(next(iter(self.values.values())))
        args = {name: self.values[name] for name in parameters(part)}
        return np.flatnonzero(missing(called(part, args, {}, size)))

    def of(self, function: Callable, rows: np.ndarray) -> Why:
        """Why a calculation gives nothing at those rows; rows that are alike to it are tried once."""
        why = Why.none(rows)
        asked = [name for name in parameters(function) if name in columns.FACTS]
        first, which = self._alike(asked, rows)
        any_blank, needed, rest = self._tried(function, asked, rows[first])
        known = [_PLACE[name] for p in asked for name in entered_behind(p)]
        why.check[np.ix_(~any_blank[which], known)] = True
        for name in needed:
            self._blame(why, np.flatnonzero(needed[name][which]), name, how="needed")
            self._blame(why, np.flatnonzero(rest[name][which]), name, how="either")
        return why

    def _tried(self, function: Callable, asked: list[str], rows: np.ndarray) -> tuple[np.ndarray, Arrays, Arrays]:
        """What comes of trying those rows; few rows may have been tried before in this process, and are not again."""
        values = {name: self.values[name][rows] for name in asked}
        if rows.size > FEW:
            return tried(Trial(function, values, self.tables, self.probes))
        before = self.before.setdefault(function, {})
        # NaN is not the same as NaN: None is.
        plain = (np.where(missing(column), NONE, column).tolist() for column in values.values())
        keys = list(zip(*plain, strict=True))
        new = [at for at, key in enumerate(keys) if key not in before]
        if new:
            trial = Trial(function, {name: column[new] for name, column in values.items()}, self.tables, self.probes)
            any_blank, needed, rest = tried(trial)
            told = [any_blank, *(made.get(name, _NEVER) for made in (needed, rest) for name in asked)]
            lines = np.column_stack([np.broadcast_to(column, len(new)) for column in told]).tolist()
            before.update(zip((keys[at] for at in new), lines, strict=True))
        lines = [before[key] for key in keys]
        any_blank, *each = np.array(lines, bool).reshape(len(keys), 1 + 2 * len(asked)).T
        needed, rest = (dict(zip(asked, half, strict=True)) for half in (each[: len(asked)], each[len(asked) :]))
        named = [name for name in asked if needed[name].any() or rest[name].any()]
        return any_blank, {name: needed[name] for name in named}, {name: rest[name] for name in named}

    def _alike(self, names: list[str], rows: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """The first of those rows that are alike in some columns, and which of these each row is like."""
        whole = np.zeros(rows.size, np.int64)
        for name in names:
            if name not in self.codes:
                self.codes[name] = _codes(self.values[name])
            own = self.codes[name][rows]
            # Numbered anew each time, so that the number of a combination stays small.
            whole = np.unique(whole * (own.max(initial=0) + 1) + own, return_inverse=True)[1]
        _, first, which = np.unique(whole, return_index=True, return_inverse=True)
        return first, which

    def _blame(self, why: Why, at: np.ndarray, name: str, *, how: str) -> None:
        if name in BASE:
            why.blame(at, name, self.found.get(self.stood_in_by.get(name, "")), how=how)
        else:
            why.add(at, self.found[name], how=how)


def _codes(values: np.ndarray) -> np.ndarray:
    """A number for each value, the same for the same."""
    if values.dtype != object:
        return np.unique(values, return_inverse=True)[1]
    flat = values.tolist()
    numbers = {value: number for number, value in enumerate(dict.fromkeys(flat))}
    return np.fromiter(map(numbers.__getitem__, flat), np.int64, len(flat))


@lru_cache(maxsize=4)
def _by(tables: tuple[tuple[str, Any], ...]) -> tuple[Arrays, Before]:
    """Typical values of every column, calculated ones included, one for each turn; what was tried with them."""
    base = {name: typical(BASE[name]) for name in FIELDS}
    return base | derive(base, dict(tables)), {}


@cache
def typical(column: Column) -> np.ndarray:
    """Values of a column at `TURNS` typical positions; the words of a closed list take turns."""
    if column.choices:
        turns = [column.choices[turn % len(column.choices)] for turn in range(TURNS)]
        return np.array(turns, object)
    if not column.is_number:
        return np.array([TYPICAL.get(column.name, "2026-01-01")] * TURNS, object)
    low, high = column.low or 0.0, column.high or 0.0
    middle = sqrt(low * high) if low > 0 else (low + high) / 2
    return np.full(TURNS, float(TYPICAL.get(column.name, middle)))


def worded(why: Why) -> tuple[list[tuple[str, str]], np.ndarray]:
    """The distinct reasons as (fields, note), and which of them each row has."""
    bits = np.packbits(np.concatenate([why.needed, why.either, why.check], axis=1), axis=1)
    whole = np.ascontiguousarray(bits).view(np.dtype((np.void, bits.shape[1])))[:, 0]
    _, first, which = np.unique(whole, return_index=True, return_inverse=True)
    return [_words(why, row) for row in first], which


def _words(why: Why, row: int) -> tuple[str, str]:
    def named(matrix: np.ndarray) -> str:
        return ", ".join(FIELDS[i] for i in np.flatnonzero(matrix))

    notes = []
    either = why.either[row] & ~why.needed[row]
    if either.any():
        notes.append(f"some of these may be enough: {named(either)}")
    # What is known is only worth a second look where nothing is left to be read.
    check = why.check[row] & ~(why.needed[row] | why.either[row]).any()
    if check.any():
        notes.append(f"known, yet they give no result; check: {named(check)}")
    every = why.needed[row] | why.either[row] | check
    return named(every), "; ".join(notes)
