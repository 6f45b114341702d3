"""An audit as a person looks at it first: all of it counted and sorted, nothing opened or formatted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from register.audit.actions import Followed
from register.audit.concessions import VOID, Standing
from register.audit.finding import Finding, Found, Group, Unknown
from register.audit.scores import Tally
from register.audit.verify import ToVerify
from register.errors import CONCESSION_LAPSED, DONE, FINDINGS, TOO_MUCH_UNKNOWN, Problem, StartrollError
from register.rulebook.model import Limit, Override, Rule

GRADES = ("major", "minor", "observation")
OUTCOMES = ("failed", "cant-tell", "passed", "inapplicable")


@dataclass(frozen=True, slots=True)
class Scope:
    """What was judged, when and by what; `judged` is (what, how many of it, by how many rules)."""

    site: str
    practice: str
    register: str
    today: str
    positions: int
    rules: int
    pack: str
    program: str
    measured_only: bool
    judged: tuple[tuple[str, int, int], ...] = ()

    @property
    def verdicts(self) -> int:
        """How many verdicts there are."""
        return sum(count * rules for _, count, rules in self.judged)


@dataclass(frozen=True, slots=True)
class RuleCount:
    """The four outcomes of one rule; they sum to the positions, or to what else it is about.

    `outside` are those of the inapplicable that lie where the rule does not reach.
    """

    rule: str
    title: str
    title_failed: str
    grade: str
    counts: dict[str, int]
    provisional: int
    subject: str = "position"
    outside: int = 0


@dataclass(frozen=True, slots=True)
class AreaCount(Tally):
    """How an area stands; lineups and what is in store have a line of their own."""

    area: str


@dataclass(frozen=True, slots=True)
class LineupCount(Tally):
    """How a lineup stands, with the positions that it feeds."""

    lineup: str


@dataclass(frozen=True, slots=True)
class Criteria:
    """What was judged by: the rules, the limits, and the site's overrides."""

    name: str
    version: str
    hash: str
    rules: tuple[Rule, ...]
    limits: tuple[Limit, ...]
    overrides: tuple[Override, ...]


@dataclass(frozen=True, slots=True)
class StartCourse:
    """One motor's start against time, thinned to what a small chart can show.

    All series are as long as `time_s`; current and limit in multiples of the motor's full-load
    current, speed in % of synchronous speed, voltage in % of the bus voltage before the start.
    `outcome` says in words how it ends; `limit_xfla` and `dip_limit_pct` are None where there is
    none.
    """

    time_s: tuple[float, ...]
    speed_pct: tuple[float, ...]
    current_xfla: tuple[float, ...]
    voltage_pct: tuple[float, ...]
    outcome: str
    limit_xfla: float | None = None
    dip_limit_pct: float | None = None


@dataclass(frozen=True, slots=True)
class Evidence:
    """What lies behind a report's counts.

    `verdicts` has for each tag one letter a rule, in the order of the report's rules: `P` passed,
    `F` failed, `?` can't tell, `-` inapplicable. `places` has for each tag its description, area,
    bus and criticality; `courses` the start of those that were studied.
    """

    unknowns: tuple[Unknown, ...] = ()
    verdicts: Mapping[str, str] = field(default_factory=dict)
    places: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    courses: Mapping[str, StartCourse] = field(default_factory=dict)
    criteria: Criteria | None = None


@dataclass(frozen=True, slots=True)
class Outline:
    """What the first screen of an audit shows.

    `to_collect` says whether a field can be read that would decide a verdict; of `evidence` only the
    criteria need be there.
    """

    scope: Scope
    grades: dict[str, dict[str, int]]
    rules: tuple[RuleCount, ...]
    findings: tuple[Found | Finding, ...]
    provisional: int
    to_collect: bool
    lineups: tuple[LineupCount, ...] = ()
    on_trial: tuple[RuleCount, ...] = ()
    concessions: tuple[Standing, ...] = ()
    actions: tuple[Followed, ...] = ()
    to_verify: tuple[ToVerify, ...] = ()
    evidence: Evidence = Evidence()
    groups: tuple[Group[Any], ...] = ()

    @property
    def conceded(self) -> dict[str, int]:
        """By grade, the findings for which a concession holds; they are among those failed."""
        counted = Counter(finding.grade for finding in self.findings if finding.conceded)
        return {grade: counted[grade] for grade in GRADES}

    @property
    def standing(self) -> dict[str, int]:
        """By grade, the findings for which none holds: someone has to act."""
        conceded = self.conceded
        return {grade: self.grades[grade]["failed"] - conceded[grade] for grade in GRADES}

    @property
    def lapsed(self) -> tuple[Found | Finding, ...]:
        """The findings that stand again because their concession is void."""
        return tuple(f for f in self.findings if f.concession is not None and f.concession.status == VOID)


def grades_of(rules: Iterable[RuleCount]) -> dict[str, dict[str, int]]:
    """How many verdicts of each grade come out so."""
    totals = {grade: dict.fromkeys(OUTCOMES, 0) for grade in GRADES}
    for rule in rules:
        for outcome in OUTCOMES:
            totals[rule.grade][outcome] += rule.counts[outcome]
    return totals


def check_grade(grade: str) -> None:
    """Raise StartrollError when there is no such grade."""
    if grade not in GRADES:
        raise StartrollError(Problem(f"{grade!r} is not a grade", f"one of {', '.join(GRADES)}", "--grade"))


def exit_code(outline: Outline, *, grade: str, allow_unknown_pct: float | None) -> int:
    """How an audit ends.

    4 when a concession for a finding of `grade` or graver is void; else 1 when such a finding
    stands without one; else 3 when more than that % is unknown; else 0.
    """
    check_grade(grade)
    grave = GRADES[: GRADES.index(grade) + 1]
    if any(finding.grade in grave for finding in outline.lapsed):
        return CONCESSION_LAPSED
    if any(outline.standing[g] for g in grave):
        return FINDINGS
    verdicts = outline.scope.verdicts
    cant_tell = sum(outline.grades[g]["cant-tell"] for g in GRADES)
    if allow_unknown_pct is not None and 100 * cant_tell > allow_unknown_pct * verdicts:
        return TOO_MUCH_UNKNOWN
    return DONE
