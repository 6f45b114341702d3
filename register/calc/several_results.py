"""A calculation that asks for much and gives several results at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from register.calc.word_match import known

Part = Callable[..., np.ndarray]


def bundle(
    *, asks: tuple[str, ...], gives: tuple[str, ...], rests_on: Mapping[str, tuple[Part, ...]], mixed: bool = False
) -> Callable[[Callable], Callable]:
    """Mark a calculation that takes the columns and tables `asks` and returns a mapping of `gives`.

    `rests_on` has, for each result, the parts that must all be known: small calculations that give
    a number where theirs are, NaN where not. So the fields missing behind a costly result are
    found without working it out. Where the results are `mixed` each comes of all that is asked,
    and the parts only tell what is worth reading.
    """

    def mark(function: Callable) -> Callable:
        function.asks, function.gives = asks, gives
        function.rests_on, function.mixed = rests_on, mixed
        return function

    return mark


def part(*asks: str) -> Callable[[Part], Part]:
    """Mark a part and what it asks for."""

    def mark(function: Part) -> Part:
        function.asks = asks
        return function

    return mark


def each(*names: str) -> Part:
    """The part that is known where every one of these columns is."""

    @part(*names)
    def all_there(**values: np.ndarray) -> np.ndarray:
        there = [_there(np.atleast_1d(column)) for column in values.values()]
        return np.where(np.all(np.broadcast_arrays(*there), axis=0), 1.0, np.nan)

    return all_there


def _there(column: np.ndarray) -> np.ndarray:
    return known(column) if column.dtype == object else ~np.isnan(column)
