"""A calculation that asks for much and gives several results at once."""

from __future__ import annotations

from collections.abc import Callable


def bundle(
    *, asks: tuple[str, ...], gives: tuple[str, ...], ready: Callable | None = None
) -> Callable[[Callable], Callable]:
    """Mark a calculation that takes the columns and tables `asks` and returns a mapping of `gives`.

    `ready` takes the same and gives a number where all that is asked is known, NaN where not: so
    the fields missing behind a costly calculation are found without doing it.
    """

    def mark(function: Callable) -> Callable:
        function.asks, function.gives, function.ready = asks, gives, ready
        return function

    return mark
