"""A finding: one rule failed at one position, with all that an electrician needs to act."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import inf
from typing import Any, Generic, TypeVar

from register.audit.concessions import USED, Standing
from register.columns import SUBJECTS
from register.columns.source import Source

RECORDS = 2  # the last tier
_NOWHERE: Mapping[str, tuple[str, ...]] = {}  # one for all: there are many unknown verdicts
MOST_OF_RECORDS = 10.0


@dataclass(frozen=True, slots=True)
class Value:
    """A value that a verdict is based on: `origin` says where it came from."""

    column: str
    value: Any
    unit: str
    origin: str


@dataclass(frozen=True, slots=True)
class Priority:
    """Three factors, all shown, and their product, for records at most 10; `words` say what each stands for.

    `tier` comes before the product: 0 what hurts people or burns, 1 what stops a machine, 2 records.
    """

    grade: float
    criticality: float
    margin: float
    words: tuple[str, str, str] = ("grade", "criticality", "margin")
    harm: str = "machine"
    tier: int = 1

    @property
    def product(self) -> float:
        """grade × criticality × margin; of records at most 10."""
        return min(self.grade * self.criticality * self.margin, MOST_OF_RECORDS if self.tier == RECORDS else inf)

    def explained(self) -> str:
        """The product and its factors: `45.9 = 9 (major) × 3 (critical) × 1.7 (missed by 67 %)`."""
        factors = zip((self.grade, self.criticality, self.margin), self.words, strict=True)
        capped = f", at most {MOST_OF_RECORDS:g}" if self.tier == RECORDS else ""
        return f"{self.product:.3g} = " + " × ".join(f"{f:.3g} ({word})" for f, word in factors) + capped


class _Identified:
    """What is told apart by rule and place, and may be conceded."""

    __slots__ = ()
    tag: str
    rule: str
    subject: str
    concession: Standing | None

    @property
    def identity(self) -> tuple[str, str]:
        """What makes it the same finding in another audit."""
        return self.rule, self.at

    @property
    def at(self) -> str:
        """Where it was found, told apart from what else has the same key."""
        return SUBJECTS[self.subject].named(self.tag)

    @property
    def conceded(self) -> bool:
        """True when a concession holds for it: it is shown, and counted apart."""
        return self.concession is not None and self.concession.status == USED


@dataclass(frozen=True, slots=True)
class Found(_Identified):
    """A failed verdict that is not opened: what puts it in its place among the others, and what to do.

    The fields are those of a `Finding`.
    """

    tag: str
    rule: str
    title: str
    grade: str
    margin: float | None
    priority: Priority
    action: str
    caution: str
    subject: str = "position"
    causes: tuple[str, ...] = ()
    concession: Standing | None = None


@dataclass(frozen=True, slots=True)
class Finding(_Identified):
    """One verdict opened; a finding proper is a failed one. Its identity is (rule, where).

    `tag` is the key of what the rule is about: of another `subject` than a position, a bus or the
    serial of a device in store. A finding `on_trial` does not count.
    `to_read` names the entered fields that would decide it, where it is unknown; `elsewhere` at
    which positions, of a field that is not to be collected at `tag` itself. `outside` says why
    the rule does not reach it; `causes` what it may have in common with others. `concession` is the one that
    speaks of it, whether it is used or void.
    """

    tag: str
    rule: str
    title: str
    grade: str
    outcome: str
    sentence: str
    clauses: tuple[tuple[str, str, bool | None], ...]
    values: tuple[Value, ...]
    margin: float | None
    margin_unit: str
    limits: dict[str, tuple[float | None, str, str]]
    stand_ins: tuple[str, ...]
    why: str
    action: str
    caution: str
    basis: tuple[Source, ...]
    priority: Priority
    to_read: tuple[str, ...] = ()
    concession: Standing | None = None
    place: dict[str, Any] = field(default_factory=dict)
    subject: str = "position"
    on_trial: bool = False
    elsewhere: dict[str, tuple[str, ...]] = field(default_factory=dict)
    outside: str = ""
    causes: tuple[str, ...] = ()

    @property
    def provisional(self) -> bool:
        """True when it assumes a value."""
        return bool(self.stand_ins)


@dataclass(frozen=True, slots=True)
class Unknown:
    """One rule that is unknown at one position, and the fields that would decide it.

    `elsewhere` tells of a field where it is to be collected, if not at `tag` itself.
    """

    tag: str
    rule: str
    grade: str
    fields: tuple[str, ...]
    note: str = ""
    subject: str = "position"
    elsewhere: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: _NOWHERE)

    @property
    def at(self) -> str:
        """Where it is unknown, told apart from what else has the same key."""
        return SUBJECTS[self.subject].named(self.tag)


F = TypeVar("F", bound=Found | Finding)


@dataclass(frozen=True, slots=True)
class Group(Generic[F]):
    """The finding to be settled first, and those that may well go with it."""

    lead: F
    consequences: tuple[F, ...] = ()

    @property
    def findings(self) -> tuple[F, ...]:
        """All of them, the lead first."""
        return (self.lead, *self.consequences)
