"""Comparing columns of words, where None is unknown and equals nothing."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np


def said(words: np.ndarray, *choices: str) -> np.ndarray:
    """True where the word is one of these."""
    words = np.asarray(words, object)
    return np.logical_or.reduce([np.equal(words, choice).astype(bool) for choice in choices])


def known(words: np.ndarray) -> np.ndarray:
    """True where there is a word."""
    return ~np.equal(np.asarray(words, object), None).astype(bool)


def read_each(words: np.ndarray, reader: Callable[[str], float]) -> np.ndarray:
    """The number that `reader` finds in each word, each distinct one read once; NaN for None."""
    words = np.asarray(words, object)
    flat = words.ravel().tolist()
    numbers = {word: np.nan if word is None else reader(word) for word in set(flat)}
    return np.array([numbers[word] for word in flat], float).reshape(words.shape)
