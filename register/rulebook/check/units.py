"""A small, honest algebra of the dictionary's units, for what a rule compares and adds.

A constant fits any unit. Units of one dimension and different size (A and kA, % and a plain
ratio) go together only where the expression holds the constant that converts them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations
from math import isclose, prod

from register.columns.units import SYMBOLS

# The unit of a limit that is not known yet: it fits any.
ANY = "?"

Powers = tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Unit:
    """Powers of base symbols and a size in them; `constants` are the numbers multiplied in."""

    powers: Powers = ()
    size: float = 1.0
    label: str = ""
    constants: tuple[float, ...] = ()
    fits_any: bool = False

    @property
    def plain(self) -> Unit:
        """The same unit, without memory of constants."""
        return replace(self, constants=())


def constant(value: float) -> Unit:
    """The unit of a number that stands in an expression."""
    return Unit(constants=(value,), fits_any=True)


@cache
def unit(text: str) -> Unit:
    """The unit of the dictionary's text for it: `kVA/hp`, `kg·m²`, `%/100 m`, or "".

    >>> unit("kVA/hp").powers
    (('A', 1), ('V', 1), ('W', -1))
    """
    if text == ANY:
        return Unit(fits_any=True)
    powers: dict[str, float] = {}
    size = 1.0
    for index, side in enumerate(text.split("/")):
        sign = -1 if index else 1
        for number, symbol in re.findall(r"([\d.]*) ?([^·\s\d]*)(?:·|$)", side):
            own, own_size = SYMBOLS.get(symbol, ({symbol: 1}, 1))
            size *= (own_size * float(number or 1)) ** sign
            for base, power in own.items():
                powers[base] = powers.get(base, 0) + sign * power
    return Unit(_tidy(powers), size, text)


def times(left: Unit, right: Unit) -> Unit:
    """The unit of a product."""
    powers = dict(left.powers)
    for base, power in right.powers:
        powers[base] = powers.get(base, 0) + power
    made = Unit(
        _tidy(powers),
        left.size * right.size,
        constants=left.constants + right.constants,
        fits_any=left.fits_any and right.fits_any,
    )
    return replace(made, label=_product_label(made, left, right))


def inverse(of: Unit) -> Unit:
    """The unit of 1 over it."""
    powers = tuple((base, -power) for base, power in of.powers)
    constants = tuple(1 / c for c in of.constants if c)
    made = Unit(powers, 1 / of.size, constants=constants, fits_any=of.fits_any)
    return replace(made, label=_label(made))


def root(of: Unit) -> Unit:
    """The unit of its square root."""
    powers = tuple((base, power / 2) for base, power in of.powers)
    made = Unit(powers, of.size**0.5, fits_any=of.fits_any)
    return replace(made, label=_label(made))


def together(left: Unit, right: Unit) -> Unit | None:
    """The unit in which the two can be compared or added; None when they cannot.

    >>> together(times(constant(1000), unit("kA")), unit("A")).label
    'A'
    >>> together(unit("kA"), unit("A")) is None
    True
    """
    if left.fits_any or right.fits_any:
        return (right if left.fits_any else left).plain
    if left.powers != right.powers:
        return None
    ratio = left.size / right.size
    if isclose(ratio, 1) or _converts(right.constants, 1 / ratio):
        return left.plain
    return right.plain if _converts(left.constants, ratio) else None


def sum_of(left: Unit, right: Unit, *, minus: bool) -> Unit | None:
    """The unit of a sum or a difference; a difference of temperatures is in kelvin."""
    celsius, kelvin = unit("°C"), unit("K")
    if left.powers == celsius.powers:
        if minus and (right.fits_any or right.powers == celsius.powers):
            return kelvin
        if right.powers == kelvin.powers:
            return celsius
    return together(left, right)


def _tidy(powers: dict[str, float]) -> Powers:
    return tuple(sorted((base, power) for base, power in powers.items() if power))


def _converts(constants: tuple[float, ...], ratio: float) -> bool:
    return any(
        isclose(prod(some), ratio) for count in range(1, len(constants) + 1) for some in combinations(constants, count)
    )


def _product_label(made: Unit, left: Unit, right: Unit) -> str:
    """How to write a product: as the one factor that has a unit, or by its powers."""
    for one, other in ((left, right), (right, left)):
        if other.fits_any:
            return one.label
    for one, other in ((left, right), (right, left)):
        if not other.powers and other.size == 1:
            return one.label
    return _label(made)


def _label(made: Unit) -> str:
    """How to write a unit that has no name yet: as a known one, or spelt out."""
    for text, (powers, size) in SYMBOLS.items():
        if _tidy(powers) == made.powers and isclose(size, made.size):
            return text
    spelt = "·".join(b if p == 1 else f"{b}^{p:g}" for b, p in made.powers)
    return spelt if made.size == 1 else f"{made.size:.4g} {spelt}".strip()
