"""A table of a standard, and how a value is looked up in it: what is not in it is NaN."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, eq=False)
class Table:
    """A table of a standard: its columns, and where they are published.

    `sure` is A where two copies agree, B where one was seen, C where it stands from memory; `seen`
    says how, in the words of `register.columns.source`, and `where` in which copy.
    Numbers are float columns with NaN where the table has a dash; words are object columns.
    """

    name: str
    title: str
    source: str
    edition: str
    sure: str
    columns: Mapping[str, np.ndarray]
    seen: str = ""
    where: str = ""

    def __reduce__(self) -> tuple:
        # To another process it goes with a plain mapping: one that is read-only can't be sent.
        said = (self.name, self.title, self.source, self.edition, self.sure)
        return Table, (*said, dict(self.columns), self.seen, self.where)

    def near(self, column: str, values: np.ndarray, *, within: float) -> np.ndarray:
        """Row whose ascending column is nearest each value, -1 if off by more than that share."""
        keys, values = self.columns[column], np.asarray(values, float)
        above = np.clip(np.searchsorted(keys, values), 1, len(keys) - 1)
        rows = np.where(values - keys[above - 1] < keys[above] - values, above - 1, above)
        return np.where(np.abs(values - keys[rows]) <= within * keys[rows], rows, -1)

    def of(self, column: str, words: np.ndarray) -> np.ndarray:
        """Row that has each word in that column, -1 where there is none."""
        places = {word: row for row, word in enumerate(self.columns[column])}
        words = np.asarray(words, object)
        flat = words.ravel().tolist()
        if flat and flat.count(flat[0]) == len(flat):
            return np.full(words.shape, places.get(flat[0], -1))
        rows = [places.get(word, -1) for word in flat]
        return np.array(rows, int).reshape(words.shape)

    def at(self, rows: np.ndarray, column: str) -> np.ndarray:
        """Values of a column at those rows; NaN at row -1."""
        return np.append(self.columns[column], np.nan)[rows]

    def among(self, rows: np.ndarray, columns: Mapping[float, str], key: np.ndarray) -> np.ndarray:
        """Values at those rows, of the column that each key stands for; NaN for any other key."""
        found = np.full(np.broadcast_shapes(np.shape(rows), np.shape(key)), np.nan)
        for number, column in columns.items():
            found = np.where(np.equal(key, number), self.at(rows, column), found)
        return found
