"""What is told of candidates: for each position the best, with what speaks against them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Against:
    """One rule that a candidate fails, with the finding's sentence; or one that is unknown.

    Of the latter, `to_read` are the entered fields that would decide it.
    """

    rule: str
    grade: str
    title: str
    sentence: str = ""
    to_read: tuple[str, ...] = ()


@dataclass(frozen=True)
class Listed:
    """A candidate: which device, where it is, what it fails, what is unknown, what it needs.

    `serial` is empty for a new one. `where` says in words how it is to be had, `obtainable` whether
    it can be. `owed` are the titles of what is done once it is installed; `provisional` is how many
    of its verdicts assume a value.
    """

    model: str
    serial: str
    maker: str
    kind: str
    rated_current_a: float | None
    where: str
    obtainable: bool
    price: float | None
    lead_time_days: float | None
    fits: bool
    fails: tuple[Against, ...]
    cant_tell: tuple[Against, ...]
    lesser: tuple[Against, ...]
    forces: tuple[str, ...]
    owed: tuple[str, ...]
    provisional: int
    settings: Mapping[str, Any]


@dataclass(frozen=True)
class Never:
    """A major rule that none of those tried passes: `own` where no device affects it."""

    rule: str
    title: str
    sentence: str
    own: bool


@dataclass(frozen=True)
class Shortlist:
    """The best candidates for a position, out of so many tried; and what none of them can pass."""

    tag: str
    description: str
    stands: str
    motor: str
    currency: str
    today: str
    tried: int
    tried_stored: int
    candidates: tuple[Listed, ...]
    never: tuple[Never, ...]

    @property
    def best(self) -> Listed | None:
        """The first, where it can be had and fails no major rule."""
        first = self.candidates[0] if self.candidates else None
        return first if first and first.fits and first.obtainable else None

    @property
    def statement(self) -> str:
        """In a sentence: what goes in, or why nothing does."""
        if not self.candidates:
            return "Nothing could be tried: the register has no device in store and no model."
        if self.best:
            return f"{self.best.model} fails no major rule here."
        own = [n.title for n in self.never if n.own]
        device = [n.title for n in self.never if not n.own]
        parts = ["No candidate that can be had passes every major rule."]
        if own:
            parts.append(f"Whatever is installed here fails, until the position is corrected: {_row(own)}.")
        if device:
            parts.append(f"No device tried passes: {_row(device)}.")
        if not self.never:
            parts.append("Each fails another; the first fails the fewest.")
        if self.candidates[0].fits:
            parts = ["What would pass can no longer be bought, and none lies in store."]
        return " ".join(parts)


def _row(titles: list[str]) -> str:
    return "; ".join(titles)
