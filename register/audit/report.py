"""The report as one object: everything counted and sorted, nothing formatted."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace

from register import columns
from register.audit.actions import Followed
from register.audit.concessions import Standing
from register.audit.finding import Finding, Group, Unknown
from register.audit.outline import AreaCount, Evidence, LineupCount, Outline, RuleCount, Scope, grades_of
from register.audit.priority import most_pressing_first
from register.audit.root_causes import grouped
from register.audit.verify import ToVerify

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
class Report(Outline):
    """All of an audit that any reader is shown, whatever the medium: every finding opened."""

    findings: tuple[Finding, ...]
    groups: tuple[Group[Finding], ...] = ()
    areas: tuple[AreaCount, ...] = ()
    fields: tuple[FieldToRead, ...] = ()


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
    fields = fields_to_read(unknowns)
    return Report(
        scope=scope,
        grades=grades_of(rules),
        rules=rules,
        areas=tuple(areas),
        findings=findings,
        fields=fields,
        to_collect=bool(fields),
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
