"""Verdicts of all plants, counted by plant and rule."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from register.fleet.kept import Kept

if TYPE_CHECKING:
    import pyarrow

OUTCOMES = ("failed", "passed", "cant_tell", "inapplicable", "provisional")
TEXTS = ("by", "rule", "grade", "harm")


@dataclass(frozen=True)
class Counts:
    """Plants × rules for each outcome, by one set of rules; `grades` and `harms` are the rules' own."""

    rules: tuple[str, ...]
    grades: tuple[str, ...]
    harms: tuple[str, ...]
    of: dict[str, np.ndarray]

    def total(self, outcome: str, *, grade: str | None = None, harm: str | None = None) -> np.ndarray:
        """For each plant how many verdicts came out so, of one grade and harm if asked."""
        asked = [
            (grade is None or g == grade) and (harm is None or h == harm)
            for g, h in zip(self.grades, self.harms, strict=True)
        ]
        return self.of[outcome][:, np.array(asked, bool)].sum(axis=1)


def counts(kept: Kept, keys: Sequence[tuple[str, str]], plants: Sequence[str]) -> dict[str, Counts]:
    """The verdicts of some plants, by `own` and `fleet` rules where there are such.

    Parameters
    ----------
    keys : plant and day of the summaries.
    plants : those that could be judged, in the order of the rows.
    """
    place = {plant: number for number, plant in enumerate(plants)}
    seen: dict[str, dict[str, tuple[str, str]]] = {}
    parts = []
    for part in kept.read("verdicts", keys, (*TEXTS, *OUTCOMES)):
        coded = {name: part[name].combine_chunks().dictionary_encode() for name in ("plant", *TEXTS)}
        words = {name: column.dictionary.to_pylist() for name, column in coded.items()}
        codes = {name: column.indices.to_numpy() for name, column in coded.items()}
        rows = np.array([place[plant] for plant in words["plant"]])[codes["plant"]]
        _remember(seen, words, codes)
        parts.append((rows, words, codes, {name: _numbers(part, name) for name in OUTCOMES}))
    made = {by: _empty(own, len(plants)) for by, own in seen.items()}
    for rows, words, codes, numbers in parts:
        for by, own in made.items():
            if by in words["by"]:
                column_of = {rule: n for n, rule in enumerate(own.rules)}
                columns = np.array([column_of.get(rule, -1) for rule in words["rule"]])[codes["rule"]]
                mine = codes["by"] == words["by"].index(by)
                for name in OUTCOMES:
                    np.add.at(own.of[name], (rows[mine], columns[mine]), numbers[name][mine])
    return made


def _numbers(part: pyarrow.Table, name: str) -> np.ndarray:
    return part[name].combine_chunks().to_numpy().astype(np.int32)


def _remember(seen: dict, words: dict[str, list[str]], codes: dict[str, np.ndarray]) -> None:
    """Grade and harm of each rule; of rules of one name those of the first plant count."""
    sizes = tuple(len(words[name]) for name in TEXTS)
    # Each combination as one number: counting these is quicker than sorting rows.
    met = np.flatnonzero(np.bincount(np.ravel_multi_index(tuple(codes[name] for name in TEXTS), sizes)))
    for by, rule, grade, harm in zip(*(which.tolist() for which in np.unravel_index(met, sizes)), strict=True):
        own = seen.setdefault(words["by"][by], {})
        own.setdefault(words["rule"][rule], (words["grade"][grade], words["harm"][harm]))


def _empty(rules: dict[str, tuple[str, str]], plants: int) -> Counts:
    named = sorted(rules)
    grades, harms = (tuple(rules[rule][n] for rule in named) for n in (0, 1))
    return Counts(tuple(named), grades, harms, {n: np.zeros((plants, len(named)), np.int32) for n in OUTCOMES})
