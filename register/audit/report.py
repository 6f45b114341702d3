"""The report as one object: everything counted and sorted, nothing formatted."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from register import columns
from register.audit.actions import Followed
from register.audit.concessions import VOID, Standing
from register.audit.finding import Finding, Group, Unknown
from register.audit.priority import most_pressing_first
from register.audit.root_causes import grouped
from register.audit.scores import Tally
from register.audit.verify import ToVerify
from register.errors import CONCESSION_LAPSED, DONE, FINDINGS, TOO_MUCH_UNKNOWN, Problem, StartrollError
from register.rulebook.model import Limit, Override, Rule

GRADES = ("major", "minor", "observation")
OUTCOMES = ("failed", "cant-tell", "passed", "inapplicable")

READ_AT = {
    "site": "the plant's design basis",
    "bus": "the lineup's nameplate or the power study",
    "position": "the process, with its operator",
    "motor": "the motor's nameplate",
    "model": "the device maker's catalogue",
    "device": "the device's nameplate",
    "setting": "the device's own display",
    "protection": "the starter's cubicle",
    "bypass": "the starter's cubicle",
    "control": "the control diagram",
    "record": "the maintenance records",
}
READ_ELSEWHERE = {
    "model": "the device's nameplate",
    "motor_installed_on": "the maintenance records",
    "device_installed_on": "the maintenance records",
    "stored_since": "the store's records",
    "ambient_c": "the place itself, on a hot day",
    "altitude_m": "a map",
    "device_place": "the place itself",
    "motor_place": "the place itself",
    "running_current_a": "a clamp meter, by licensed people",
    "device_connection": "the starter's cubicle",
    "motors_on_device": "the starter's cubicle",
    "output_filter": "the starter's cubicle",
    "restart_hurts": "the machine's risk assessment",
    "relay_for_drive": "the relay maker's papers",
    "phase_loss_trip": "the relay or device maker's papers",
    "last_powered_on": "the store's records",
    "spares_in_store": "the store's records",
    "capacitor_kvar": "the starter's cubicle",
    "capacitor_side": "the starter's cubicle",
    "device_kind": "the starter's cubicle",
    "bus": "the lineup's own list",
    "cable_ampacity_a": "the cable schedule",
    "cable_length_m": "the cable schedule",
    "load_inertia_kgm2": "the driven machine's papers",
    "load_breakaway_pct": "the driven machine's papers",
    "load_torque_pct": "the driven machine's papers",
    "load_curve": "the driven machine's papers",
    "starts_per_hour_limit": "the motor maker's papers",
    "locked_rotor_torque_pct": "the motor maker's papers",
    "breakdown_torque_pct": "the motor maker's papers",
    "hot_stall_s": "the motor maker's papers",
    "cold_stall_s": "the motor maker's papers",
    "rotor_inertia_kgm2": "the motor maker's papers",
}


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
class FieldToRead:
    """A blank that keeps verdicts open, where to read it, and how much hangs on it."""

    column: str
    sentence: str
    unit: str
    read_at: str
    verdicts: int
    majors: int
    tags: tuple[str, ...]


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
class Report:
    """All of an audit that any reader is shown, whatever the medium."""

    scope: Scope
    grades: dict[str, dict[str, int]]
    rules: tuple[RuleCount, ...]
    areas: tuple[AreaCount, ...]
    findings: tuple[Finding, ...]
    fields: tuple[FieldToRead, ...]
    provisional: int
    lineups: tuple[LineupCount, ...] = ()
    on_trial: tuple[RuleCount, ...] = ()
    concessions: tuple[Standing, ...] = ()
    actions: tuple[Followed, ...] = ()
    to_verify: tuple[ToVerify, ...] = ()
    evidence: Evidence = Evidence()
    groups: tuple[Group, ...] = ()

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
    def lapsed(self) -> tuple[Finding, ...]:
        """The findings that stand again because their concession is void."""
        return tuple(f for f in self.findings if f.concession is not None and f.concession.status == VOID)


def report(
    scope: Scope,
    rules: Iterable[RuleCount],
    findings: Iterable[Finding],
    unknowns: Iterable[Unknown],
    *,
    areas: Iterable[AreaCount] = (),
    lineups: Iterable[LineupCount] = (),
    on_trial: Iterable[RuleCount] = (),
    concessions: Iterable[Standing] = (),
    actions: Iterable[Followed] = (),
    to_verify: Iterable[ToVerify] = (),
    evidence: Evidence | None = None,
    doubting: Iterable[str] = (),
) -> Report:
    """Count and sort what a run concluded.

    Parameters
    ----------
    scope : what was judged.
    rules : one count a rule.
    findings, unknowns : the failed and the undecided verdicts that the report shows.
    areas, lineups : how each of them stands.
    on_trial : one count a rule that does not count yet.
    concessions, actions : how each of them stands on that day.
    to_verify : the clauses that nobody has seen yet.
    evidence : what lies behind the counts, for the reports that show it.
    doubting : the rules that doubt a value; such a finding leads those of its cause.
    """
    rules = tuple(rules)
    findings = tuple(sorted(findings, key=most_pressing_first))
    unknowns = tuple(unknowns)
    return Report(
        scope=scope,
        grades=_by_grade(rules),
        rules=rules,
        areas=tuple(areas),
        findings=findings,
        fields=fields_to_read(unknowns),
        provisional=sum(rule.provisional for rule in rules),
        lineups=tuple(lineups),
        on_trial=tuple(on_trial),
        concessions=tuple(concessions),
        actions=tuple(actions),
        to_verify=tuple(to_verify),
        evidence=replace(evidence or Evidence(), unknowns=unknowns),
        groups=grouped(findings, doubting),
    )


def read_at(name: str) -> str:
    """Where a person reads the value of a column."""
    elsewhere = READ_ELSEWHERE.get(name)
    return elsewhere or READ_AT.get(columns.column(name).table, "the plant's records")


def _by_grade(rules: tuple[RuleCount, ...]) -> dict[str, dict[str, int]]:
    totals = {grade: dict.fromkeys(OUTCOMES, 0) for grade in GRADES}
    for rule in rules:
        for outcome in OUTCOMES:
            totals[rule.grade][outcome] += rule.counts[outcome]
    return totals


def fields_to_read(unknowns: Iterable[Unknown]) -> tuple[FieldToRead, ...]:
    """The blanks behind unknown verdicts, those with the most majors first."""
    waiting: dict[str, list[Unknown]] = defaultdict(list)
    for unknown in unknowns:
        for name in unknown.fields:
            waiting[name].append(unknown)
    fields = []
    for name, verdicts in waiting.items():
        column = columns.column(name)
        fields.append(
            FieldToRead(
                column=name,
                sentence=column.sentence,
                unit=column.unit,
                read_at=read_at(name),
                verdicts=len(verdicts),
                majors=sum(v.grade == "major" for v in verdicts),
                tags=tuple(sorted({t for v in verdicts for t in v.elsewhere.get(name, (v.tag,))})),
            )
        )
    return tuple(sorted(fields, key=lambda f: (-f.majors, -f.verdicts, f.column)))


def check_grade(grade: str) -> None:
    """Raise StartrollError when there is no such grade."""
    if grade not in GRADES:
        raise StartrollError(Problem(f"{grade!r} is not a grade", f"one of {', '.join(GRADES)}", "--grade"))


def exit_code(report: Report, *, grade: str, allow_unknown_pct: float | None) -> int:
    """How an audit ends.

    4 when a concession for a finding of `grade` or graver is void; else 1 when such a finding
    stands without one; else 3 when more than that % is unknown; else 0.
    """
    check_grade(grade)
    grave = GRADES[: GRADES.index(grade) + 1]
    if any(finding.grade in grave for finding in report.lapsed):
        return CONCESSION_LAPSED
    if any(report.standing[g] for g in grave):
        return FINDINGS
    verdicts = report.scope.verdicts
    cant_tell = sum(report.grades[g]["cant-tell"] for g in GRADES)
    if allow_unknown_pct is not None and 100 * cant_tell > allow_unknown_pct * verdicts:
        return TOO_MUCH_UNKNOWN
    return DONE
