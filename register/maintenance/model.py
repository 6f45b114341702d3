"""What the maintenance programme concludes: conditions, intervals, what falls due. No database is known here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

OVERDUE, DUE, LATER, CANT_TELL = "overdue", "due", "later", "can't tell"
STATES = (OVERDUE, DUE, CANT_TELL, LATER)
TASK, ACTION, CONCESSION = "task", "action", "concession"
# What a task needs, the most demanding first: who has an outage can do all that stand below it.
NEEDS = ("outage of the lineup", "panel open", "stopped", "running", "in store")
# What belongs to a lineup and not to a position.
OF_LINEUP_ONLY = ("lineup", "main breaker")
PHYSICAL, CRITICALITY, ENVIRONMENT = "physical", "criticality", "environment"
CONDITIONS = (PHYSICAL, CRITICALITY, ENVIRONMENT)
ENTERED, OF_LINEUP, PROPOSED, UNKNOWN = "entered", "entered for the lineup", "proposed", "unknown"


@dataclass(frozen=True, slots=True)
class Interval:
    """One task of the programme: how often, by the condition that governs; None where the table is blank.

    `about` is what has to be there for it, `needs` what has to be arranged, `protects` whom or what it guards.
    `layer` is `shipped` or `site`.
    """

    task: str
    about: str
    needs: str
    protects: str
    months: tuple[int | None, int | None, int | None]
    source: str
    seen: str
    where: str
    layer: str

    def between(self, conditions: tuple[int, ...]) -> tuple[int, int | None]:
        """Shortest and longest interval in months, whichever of these conditions governs.

        A worse condition is never looked at less often than a milder one: so a blank lies between its neighbours. The
        shortest is 0 and the longest None where nothing bounds them.

        >>> row = Interval("cleaning", "starting device", "panel open", "machine", (12, 12, None), "", "", "", "site")
        >>> row.between((1,)), row.between((3,)), row.between((2, 3))
        ((12, 12), (0, 12), (0, 12))
        """
        bounds = [self._bounds(condition) for condition in conditions]
        longest = [high for _, high in bounds]
        return min(low for low, _ in bounds), None if None in longest else max(m for m in longest if m is not None)

    def _bounds(self, condition: int) -> tuple[int, int | None]:
        exact = self.months[condition - 1]
        if exact is not None:
            return exact, exact
        worse = [m for m in self.months[condition:] if m is not None]
        milder = [m for m in self.months[: condition - 1] if m is not None]
        return max(worse, default=0), min(milder, default=None)


@dataclass(frozen=True, slots=True)
class Condition:
    """One of the three conditions: 1, 2 or 3, or None; how it is known, on what, and what to read where it is not."""

    name: str
    value: int | None
    how: str
    basis: str
    read: str = ""


@dataclass(frozen=True, slots=True)
class Conditions:
    """The three conditions of a position or a lineup; the worst of them governs."""

    tag: str
    area: str
    bus: str
    each: tuple[Condition, ...]

    @property
    def governing(self) -> int | None:
        """The worst of the three; None while one that is unknown could be worse."""
        return self.possible[0] if len(self.possible) == 1 else None

    @property
    def possible(self) -> tuple[int, ...]:
        """Every condition that may govern: from the worst that is known up to 3 where one is unknown."""
        known = [c.value for c in self.each if c.value is not None]
        worst = max(known, default=1)
        return (worst,) if len(known) == len(self.each) else tuple(range(worst, 4))

    @property
    def proposed(self) -> bool:
        """True where the worst is proposed, and nobody has entered it."""
        worst = self.possible[-1]
        return not any(c.value == worst and c.how in (ENTERED, OF_LINEUP) for c in self.each)

    @property
    def read(self) -> tuple[str, ...]:
        """The fields that would decide; none where the worst is known."""
        return () if self.governing else tuple(c.read for c in self.each if c.value is None)


@dataclass(frozen=True, slots=True)
class Due:
    """Something that falls due at a position: a task of the programme, a corrective action, the end of a concession.

    Days are ISO 8601, '' where unknown. It falls due on `earliest_on` where that is `latest_on`, and between them
    where a condition or an interval is not known. `tag` is the position, or names the lineup or the device in store:
    `subject` says which.
    """

    kind: str
    tag: str
    area: str
    bus: str
    what: str
    needs: str
    protects: str
    last_on: str
    last_result: str
    counted_from: str
    interval: str
    condition: int | None
    proposed: bool
    earliest_on: str
    latest_on: str
    state: str
    why: str
    read: tuple[str, ...] = ()
    assumes: str = ""
    number: int | None = None
    subject: str = "position"

    @property
    def on(self) -> str:
        """The day to plan for: the last possible one of what is overdue, else the first."""
        return self.latest_on if self.state == OVERDUE else self.earliest_on


@dataclass(frozen=True, slots=True)
class DueList:
    """All that falls due up to a day, and what cannot be judged yet; `asked` are the tasks whose interval is blank."""

    register_id: str
    site: str
    today: str
    until: str
    area: str
    bus: str
    items: tuple[Due, ...]
    asked: tuple[str, ...]

    @property
    def counts(self) -> Mapping[str, int]:
        """How many of each state."""
        return {state: sum(item.state == state for item in self.items) for state in STATES}

    def ahead(self, item: Due) -> str:
        """`30 days` or `60 days` where it falls due within so many, `overdue` where it did; '' beyond."""
        if item.state == OVERDUE:
            return OVERDUE
        if item.state != DUE:
            return ""
        days = (date.fromisoformat(item.on) - date.fromisoformat(self.today)).days
        return next((f"{most} days" for most in (30, 60) if days <= most), "")


@dataclass(frozen=True, slots=True)
class AreaYear:
    """How the tasks that fell due in an area came out; `unknown` where the interval is."""

    area: str
    on_time: int
    late: int
    missed: int
    unknown: int

    @property
    def on_time_pct(self) -> float | None:
        """Share done on time of those that are known, in per cent; None where none is."""
        known = self.on_time + self.late + self.missed
        return 100 * self.on_time / known if known else None


@dataclass(frozen=True, slots=True)
class TaskYear:
    """What the checks of one task found: the share that failed with its exact 90 % interval, and what it speaks for."""

    task: str
    about: str
    done: int
    failed: int
    low: float | None
    high: float | None
    proposal: str

    @property
    def name(self) -> str:
        """The task, with what it is about where that is a lineup: a position may have the same."""
        return f"{self.task}, {self.about}" if self.about in OF_LINEUP_ONLY else self.task


@dataclass(frozen=True, slots=True)
class OpenActions:
    """Open corrective actions of one age, and how many of them are overdue."""

    age: str
    open: int
    overdue: int


@dataclass(frozen=True, slots=True)
class YearOfWork:
    """A year of the programme; `never_recorded` counts tasks that apply and have no record that counts."""

    since: str
    today: str
    areas: tuple[AreaYear, ...]
    never_recorded: int
    tasks: tuple[TaskYear, ...]
    actions: tuple[OpenActions, ...]


@dataclass(frozen=True, slots=True)
class RuleOutcome:
    """Failures that followed where a rule had failed and where it had passed, and what they say.

    Years are position-years until the next kept audit or the first failure. `ratio` is the one rate over the other
    with the ends of its 90 % interval; None where nothing was counted to have one.
    """

    rule: str
    modes: tuple[str, ...]
    failures_failed: int
    years_failed: float
    failures_passed: int
    years_passed: float
    ratio: float | None
    low: float | None
    high: float | None
    says: str


@dataclass(frozen=True, slots=True)
class BackTest:
    """Every rule of the kept audits against the failures since; so many as `by_chance` would be told apart by luck."""

    audits: tuple[str, ...]
    today: str
    failures: int
    rules: tuple[RuleOutcome, ...]
    by_chance: float
