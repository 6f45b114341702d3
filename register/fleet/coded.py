"""A table of all summaries as arrays: each text as the number of its word, so that millions of rows take little."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from register.fleet.kept import Kept


@dataclass(frozen=True)
class Coded:
    """Columns by name; `words` are those of a column of texts, which itself tells the number of each row's word."""

    columns: dict[str, np.ndarray]
    words: dict[str, list[str]]

    def grouped(self, names: Iterable[str]) -> Iterator[np.ndarray]:
        """The rows that have the same words in some columns, for each such combination; rows keep their order."""
        what = np.zeros(len(self.columns["plant"]), np.int64)
        for name in names:
            what = what * len(self.words[name]) + self.columns[name]
        order = np.argsort(what, kind="stable")
        yield from np.split(order, np.flatnonzero(np.diff(what[order])) + 1) if len(order) else ()

    def word(self, name: str, row: int) -> str:
        """The text of a column in one row."""
        return self.words[name][self.columns[name][row]]


def coded(
    kept: Kept, table: str, keys: Sequence[tuple[str, str]], texts: Sequence[str], others: Sequence[str]
) -> Coded:
    """A table of some summaries.

    Parameters
    ----------
    keys : plant and day of each summary.
    texts, others : the columns of text, where a blank is an empty one, and those of numbers, where it is NaN.
    """
    numbers: dict[str, dict[str, int]] = {name: {} for name in ("plant", *texts)}
    parts: dict[str, list[np.ndarray]] = {name: [np.zeros(0, np.int32)] for name in (*numbers, *others)}
    for part in kept.read(table, keys, (*texts, *others)):
        for name, number in numbers.items():
            found = part[name].combine_chunks().dictionary_encode("encode")
            own = [number.setdefault(word or "", len(number)) for word in found.dictionary.to_pylist()]
            parts[name].append(np.array(own, np.int32)[found.indices.to_numpy()])
        for name in others:
            parts[name].append(part[name].to_numpy())
    return Coded({name: np.concatenate(own) for name, own in parts.items()}, {n: list(w) for n, w in numbers.items()})
