"""The settings sheet: how a device is set at its position, and on which values that is based."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from sqlite_utils import Database

from register import columns
from register.audit.session import Session
from register.facts.whatif import Variant
from register.planning.model import RuleResult, SettingLine, Sheet
from register.planning.replace.installed import HERE, Installed, installed
from register.planning.settings import checklist
from register.planning.settings.basis import BASES, OF_KIND
from register.planning.settings.options import MOVED as OF_THE_START
from register.planning.settings.settings import NEEDS, Settings, chosen
from register.planning.settings.tried_starts import EXCEEDED
from register.planning.trials import Trials
from register.rulebook.model import Grade, Outcome
from register.starts import load_case as cases
from register.starts.load_case import Case
from register.starts.model import OWN, Figure, Input, Study
from register.starts.study import of_case
from register.starts.words import not_a_cage
from register.store.origins import origin_of
from register.store.queries import position
from register.text import shown

# fmt: off
MOTOR = (
    "power_kw", "motor_voltage_v", "fla_a", "service_factor", "speed_rpm", "locked_rotor_ratio",
    "hot_stall_s", "load_kind", "start_condition", "starts_per_hour",
)
# fmt: on
DEVICE = (
    "rated_current_a",
    "duty_code",
    "current_limit_min_xfla",
    "current_limit_max_xfla",
    "trip_classes",
    "start_modes",
)
# The line protection, and what it is held against.
PROTECTION = {
    "protection_kind": ("line_protection_kind",),
    "protection_rating_a": ("line_protection_max_a", "branch_limit_a"),
    "instantaneous_a": ("start_peak_a",),
    "semiconductor_fuses": ("semiconductor_fuse_required",),
    "short_circuit_rating_ka": ("fault_current_ka",),
    "interrupting_ka": ("fault_current_ka",),
}
MAJOR = str(Grade.MAJOR)
OF_THE_CHECKLIST = "commissioning/"
# fmt: off
FIGURES = ("outcome", "time_s", "peak_xfla", "peak_a", "dip_pct", "motor_heat_pct", "overload",
           "duty_s", "main_breaker_pct", "torque_margin_pct")
# fmt: on


def sheet(session: Session, tag: str, *, device: str | None = None, model: str | None = None) -> Sheet:
    """The settings sheet of the device at a position of an open register, or of another tried there.

    Parameters
    ----------
    device, model : the serial of another device, or a catalogue model, to be tried instead.

    Raises StartrollError for an unknown tag, device or model, and where none is installed.
    """
    db, pack, today, measured_only = session.db, session.pack, session.today, session.measured_only
    there = installed(db, tag, device=device, model=model, today=today.isoformat())
    bare = cases.at(db, tag, there.tried, measured_only=measured_only)
    settings = chosen({name: [bare.values[name]] for name in NEEDS}, pack=pack)
    case = cases.at(db, tag, there.tried | settings.at(0), measured_only=measured_only)
    case = replace(case, origins=_origins(db, tag) | _brought(there))
    parts = _Parts(there, bare, settings, case, of_case(case, OWN))
    trials = Trials(db, [tag], pack=pack, today=today, measured_only=measured_only)
    rules = tuple(_rules(trials, parts, there.tried | settings.at(0)))
    return replace(_sheet(db, parts, today), rules=rules)


@dataclass(frozen=True)
class _Parts:
    """The parts of a sheet: the device, the facts without its settings and with them, and the start."""

    there: Installed
    bare: Case
    settings: Settings
    case: Case
    study: Study

    def input(self, name: str) -> Input:
        """A value with its origin; what the device brings comes from its papers or its plate."""
        made = self.case.input(name)
        if name in self.there.tried and made.origin == "tried":
            return replace(made, origin=self.case.origins.get(name, "tried"))
        return made


def _origins(db: Database, tag: str) -> dict[str, str]:
    held = (n for against in PROTECTION.values() for n in against)
    wanted = {*MOTOR, *DEVICE, *PROTECTION, *held, *(n for b in BASES.values() for n in b.shown)}
    entered = [n for n in wanted if n in columns.COLUMNS]
    return {name: text for (_, name), text in origin_of(db, [tag], entered).items()}


def _brought(there: Installed) -> dict[str, str]:
    return {name: f"{there.words}, {there.source}" for name in there.tried}


def _sheet(db: Database, parts: _Parts, today: date) -> Sheet:
    values = parts.case.values
    lines = tuple(_lines(parts))
    shown_ = dict.fromkeys((*MOTOR, *DEVICE, *(i.column for line in lines for i in line.based_on)))
    steps = checklist.of(position(db, values["tag"]), parts.there, today=today, expected=_expected(_figures(parts)))
    return Sheet(
        site=values["site"] or "",
        today=today.isoformat(),
        tag=values["tag"],
        description=values["description"] or "",
        place=", ".join(p for p in (values["area"], values["bus"]) if p),
        device=parts.there.words,
        source=parts.there.source,
        motor=tuple(parts.input(n) for n in (*MOTOR, *DEVICE) if values[n] is not None),
        lines=lines,
        figures=_figures(parts),
        why_no_start=_why_no_start(parts),
        exceeded=tuple(EXCEEDED[name] for name in parts.settings.exceeds(0)),
        protection=tuple(_protection(parts)),
        assumed=tuple(
            parts.input(n)
            for n in parts.case.trial.assumed
            if n in shown_ or n in {i.column for i in parts.study.inputs}
        ),
        checklist=steps,
        practice=values["practice"] or "",
    )


def _lines(parts: _Parts) -> Iterator[SettingLine]:
    """The settings that this device has here, chosen or not."""
    made = parts.settings.at(0)
    now = parts.bare.values if parts.there.source == HERE else {}
    there = parts.bare.values
    for name, basis in BASES.items():
        if not parts.settings.sought[name][0]:
            continue
        column = columns.FACTS[name]
        basis = OF_KIND.get((there["device_kind"], name), basis)
        yield SettingLine(
            column=name,
            sentence=column.sentence,
            value=made.get(name),
            unit=column.unit,
            now=now.get(name),
            why=basis.words,
            based_on=tuple(parts.input(n) for n in basis.shown if there[n] is not None),
            to_read=() if name in made else _to_read(parts.bare, basis.needs),
        )


def _rules(trials: Trials, parts: _Parts, changes: Mapping[str, Any]) -> Iterator[RuleResult]:
    """The major rules that fail, or are unknown, with this device set so; its checks apart."""
    variant = Variant(parts.case.trial.tag, changes)
    judged = trials.judge([variant])
    provisional, known = judged.provisional(0), trials.pack.rule
    failed, open_ = (
        [known(r) for r in judged.having(0, outcome, MAJOR) if not r.startswith(OF_THE_CHECKLIST)]
        for outcome in (Outcome.FAILED, Outcome.CANT_TELL)
    )
    for rule in failed:
        yield RuleResult(rule.id, MAJOR, Outcome.FAILED.word, rule.title_failed, provisional=rule.id in provisional)
    fields = trials.to_read(variant, [rule.id for rule in open_])
    for rule in open_:
        yield RuleResult(rule.id, MAJOR, Outcome.CANT_TELL.word, rule.title, to_read=fields[rule.id])


def _to_read(bare: Case, needs: tuple[str, ...]) -> tuple[str, ...]:
    """The fields behind what a setting needs; where all are known, one contradicts another."""
    if "lowest_limit_xfla" in needs and not_a_cage(bare.values["motor_type"]):
        return ("motor_type",)
    return bare.trial.to_read(needs) or needs[:1]


def _why_no_start(parts: _Parts) -> str:
    """The reason why the start with these settings can't be worked out; empty where it is."""
    if other := not_a_cage(parts.bare.values["motor_type"]):
        return other
    unknown = [n for n in parts.settings.unknown(0) if n in OF_THE_START]
    if unknown:
        return f"it depends on what is unknown: {', '.join(unknown)}"
    return parts.study.why_not


def _figures(parts: _Parts) -> tuple[Figure, ...]:
    if parts.study.start is None or _why_no_start(parts):
        return ()
    return tuple(f for f in parts.study.start.figures if f.name in FIGURES)


def _expected(figures: tuple[Figure, ...]) -> str:
    """The figures that the start under load should show, in words."""
    found = {f.name: f for f in figures}
    if "time_s" not in found:
        return ""
    time, peak = found["time_s"], found["peak_a"]
    high = shown(time.high, "s") if isinstance(time.high, str) else f"{time.high:.1f} s"
    return f"Expected: {time.low:.1f} to {high}, up to {shown(round(peak.value), 'A')}."


def _expects(values: Mapping[str, Any], name: str) -> bool:
    """True where a blank is one to collect: fuses have no instantaneous trip."""
    return name != "instantaneous_a" or "breaker" in (values["protection_kind"] or "breaker")


def _protection(parts: _Parts) -> Iterator[SettingLine]:
    """The line protection, with what it is held against."""
    values: Mapping[str, Any] = parts.case.values
    for name, against in PROTECTION.items():
        column = columns.FACTS[name]
        based_on = tuple(parts.input(n) for n in against if values[n] is not None)
        if values[name] is None and (not based_on or not _expects(values, name)):
            continue
        yield SettingLine(
            column=name,
            sentence=column.sentence,
            value=values[name],
            unit=column.unit,
            now=None,
            why="",
            based_on=based_on,
            to_read=(name,) if values[name] is None else (),
        )
