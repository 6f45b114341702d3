"""A calculation tried with some of its blanks filled by typical values: which of them matter."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from register import columns
from register.facts.derived import parameters

Arrays = dict[str, np.ndarray]
Filled = Callable[[str], np.ndarray]

NONE = np.array(None, object)
AT_ONCE = 20_000  # rows tried, and some more: a call costs as much as thousands of them


def missing(values: np.ndarray) -> np.ndarray:
    """Where a column has no value: NaN among numbers, None among words."""
    if values.dtype == object:
        return np.equal(values, NONE)
    return np.isnan(values)


def tried(trial: Trial) -> tuple[np.ndarray, Arrays, Arrays]:
    """Where anything is blank; by parameter where it is needed, and where it is one of some that may be enough."""
    blank = trial.blank
    any_blank = np.any([np.zeros(trial.size, bool), *blank.values()], axis=0)

    def but(left_out: str) -> Filled:
        return lambda name: blank[name] & (name != left_out)

    def with_one(more: str) -> Filled:
        return lambda name: needed[name] | (blank[name] & (name == more))

    (fills,) = trial.results((lambda name: blank[name], any_blank))
    helped = fills.any(0)
    without = trial.results(*((but(name), at & helped) for name, at in blank.items()))
    # Where no typical value helps, what is blank is still all that a person can go and read.
    needed = {name: at & ~(fills & left).any(0) for (name, at), left in zip(blank.items(), without, strict=True)}
    (enough,) = trial.results((lambda name: needed[name], any_blank))
    open_still = any_blank & ~enough.any(0)
    rest = {name: at & ~needed[name] & open_still for name, at in blank.items()}
    each = trial.results(*((with_one(name), at) for name, at in rest.items()))
    alone = {name: one.any(0) for name, one in zip(rest, each, strict=True)}
    # Where no single one is enough, as with a test and its day, each is worth reading.
    none_alone = ~np.any([np.zeros(trial.size, bool), *alone.values()], axis=0)
    return any_blank, needed, {name: at & (alone[name] | none_alone) for name, at in rest.items()}


class Trial:
    """One function, tried with some of its blank parameters filled."""

    def __init__(self, function: Callable, values: Arrays, tables: Mapping[str, Any], probes: Arrays) -> None:
        names = parameters(function)
        self.function = function
        self.values = {name: values[name] for name in names if name in columns.FACTS}
        self.tables = {
            name: tables[name.removesuffix("_table").replace("_", "-")] for name in names if name not in columns.FACTS
        }
        self.blank = {name: at for name, v in self.values.items() if (at := missing(v)).any()}
        self.turns = list(dict.fromkeys(zip(*(probes[name].tolist() for name in self.blank), strict=True))) or [()]
        typical = zip(self.blank, zip(*self.turns, strict=True), strict=True)
        self.typical = {name: np.array(values, probes[name].dtype) for name, values in typical}
        self.size = len(next(iter(values.values())))

    def results(self, *asked: tuple[Filled, np.ndarray]) -> list[np.ndarray]:
        """For each that is asked, by turn, whether there is a result where the blanks that it says are filled.

        Only the rows that it names are tried; the others count as without result.
        """
        found = [np.zeros((len(self.turns), self.size), bool) for _ in asked]
        batch: list[tuple[np.ndarray, dict[str, np.ndarray], np.ndarray]] = []
        waiting = 0
        for (filled, at), into in zip(asked, found, strict=True):
            rows = np.flatnonzero(at)
            if rows.size:
                batch.append((rows, {name: filled(name)[rows] for name in self.blank}, into))
                waiting += rows.size * len(self.turns)
            if waiting > AT_ONCE:
                self._fill_in(batch)
                batch, waiting = [], 0
        if batch:
            self._fill_in(batch)
        return found

    def _fill_in(self, batch: list[tuple[np.ndarray, dict[str, np.ndarray], np.ndarray]]) -> None:
        """Try rows, every one with the values of every turn, all in one call; write down where there is a result."""
        many = len(self.turns)
        rows = np.concatenate([np.tile(at, many) for at, _, _ in batch])
        turn = np.concatenate([np.repeat(np.arange(many), at.size) for at, _, _ in batch])
        args = {name: values[rows] for name, values in self.values.items()}
        for name in self.blank:
            masks = np.concatenate([np.tile(mask[name], many) for _, mask, _ in batch])
            args[name] = np.where(masks, self.typical[name][turn], args[name])
        there = ~missing(called(self.function, args, self.tables, rows.size))
        begin = 0
        for at, _, into in batch:
            into[:, at] = there[begin : begin + many * at.size].reshape(many, at.size)
            begin += many * at.size


def called(function: Callable, args: Arrays, tables: Mapping[str, Any], size: int) -> np.ndarray:
    """What a calculation gives, as long as that."""
    with np.errstate(all="ignore"):
        return np.broadcast_to(np.asarray(function(**args, **tables)), size)
