"""The different ones among many rows: what is alike is worked out once."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np


def distinct(columns: Iterable[np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    """The first of the rows that are alike, and for each row which of those it is like.

    Parameters
    ----------
    columns : of one length; numbers with NaN, or objects.

    Examples
    --------
    >>> distinct([np.array([2.0, np.nan, 2.0, np.nan]), np.array(["a", None, "a", "b"], object)])
    (array([0, 1, 3]), array([0, 1, 0, 2]))
    """
    coded = np.column_stack([_codes(column) for column in columns])
    whole = np.ascontiguousarray(coded).view(np.dtype((np.void, coded[0].nbytes)))[:, 0]
    _, first, which = np.unique(whole, return_index=True, return_inverse=True)
    return first, which


def _codes(values: np.ndarray) -> np.ndarray:
    """A number for each value, the same for the same."""
    if values.dtype != object:
        return np.where(np.isnan(values), np.nan, values + 0.0).view(np.int64)
    flat = values.tolist()
    numbers = {value: number for number, value in enumerate(dict.fromkeys(flat))}
    return np.fromiter(map(numbers.__getitem__, flat), np.int64, len(flat))
