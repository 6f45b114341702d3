"""The answer if a load can run on its bypass tonight: from the rules, the facts and the study of that start.

Nothing is judged here: the rules about the bypass are, and this puts them together.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from sqlite_utils import Database

from register.audit.findings import opened_verdict
from register.audit.judge import Audit
from register.audit.session import Session
from register.planning.model import Condition, Tonight
from register.rulebook.model import Outcome
from register.starts import load_case as cases
from register.starts.model import FAILOVER, Study
from register.starts.study import of_case
from register.text import shown

# What has to hold before the line is put on, in the order in which a person asks.
CONDITIONS = {
    "start-study/failover-accelerates": "it comes up to speed",
    "bypass/path-start-within-limits": "bus, breaker, motor and load withstand the start",
    "bypass/contactor-rated-to-start": "the contactor is one that may start it",
    "bypass/drive-bypass-motor-fits": "motor and load withstand the line without the drive",
    "bypass/path-has-overload": "an overload guards the motor meanwhile",
    "bypass/path-has-line-protection": "line protection stands in the path",
}
# Known to few: they stop it where they fail, and are pointed out where nobody has read them.
ITS_OVERLOAD = {
    "bypass/path-overload-set": "the bypass's overload is set for the motor",
    "bypass/path-class-lets-it-start": "its trip class lets the motor start",
}
TESTED = "bypass/bypass-tested"
OF_THE_START = tuple(CONDITIONS)[:2]
# A rule's sentence says what is wrong; where nothing is, this does.
MET = {
    "start-study/failover-accelerates": "by the study of that start",
    "bypass/path-start-within-limits": "the figures below lie within their bounds",
    "bypass/contactor-rated-to-start": "by its rating and category",
    "bypass/drive-bypass-motor-fits": "voltage, frequency and full speed suit both",
    "bypass/path-has-overload": "one of its own, or one that stands in both paths",
    "bypass/path-has-line-protection": "it has its own",
    "bypass/path-overload-set": "by its setting and the nameplate",
    "bypass/path-class-lets-it-start": "by its class and the study of that start",
}
NO_BYPASS = ("none", "internal only")
# fmt: off
FIGURES = ("outcome", "time_s", "peak_xfla", "peak_a", "dip_pct", "motor_heat_pct",
           "main_breaker_pct", "torque_margin_pct")
# fmt: on
DIRECT = "across-the-line"


def tonight(session: Session, tag: str) -> Tonight:
    """The answer for one position of an open register.

    Raises StartrollError for an unknown tag.
    """
    db, pack = session.db, session.pack
    case = cases.at(db, tag, {}, measured_only=session.measured_only)
    study = of_case(case, FAILOVER)
    audit = session.audit(tags=[tag])
    tried = tuple(_tried(db, audit, tag))
    conditions = (_has_bypass(case.values, study), *_judged(db, audit, tag, case.values, study))
    limit = pack.limits["first_half_cycle"].value
    return Tonight(
        tag=tag,
        description=case.values["description"] or "",
        today=session.today.isoformat(),
        how=study.how,
        conditions=conditions,
        figures=_figures(study),
        certainty=study.certainty_words,
        mind=(*_mind(case.values, study, limit), *_unread(case.values), *tried),
        assumed=study.assumed,
    )


def _has_bypass(values: Mapping[str, Any], study: Study) -> Condition:
    """The condition that there is a bypass, and one whose start can be computed."""
    name, arrangement = "there is a bypass", values["bypass_arrangement"]
    if arrangement is None:
        fields = ("bypass_arrangement", "bypass_starts_by")
        return Condition(name, None, "nobody has noted whether there is one", to_read=fields)
    if arrangement == "none":
        return Condition(name, False, study.why_not)
    if arrangement in NO_BYPASS:
        return Condition(name, False, f"{study.why_not}; an internal bypass carries the running current only")
    words = f"{arrangement}; starts by: {values['bypass_starts_by'] or 'unknown'}"
    if study.start is None:
        words = f"{words}; its start can't be worked out: {study.why_not}"
        return Condition(name, None, words, to_read=study.to_read)
    return Condition(name, True, words)


def _judged(db: Database, audit: Audit, tag: str, values: Mapping[str, Any], study: Study) -> Iterator[Condition]:
    """The conditions that rules judge, where they apply and the bypass is known."""
    if values["bypass_arrangement"] in (None, *NO_BYPASS):
        return
    for rule, name in (CONDITIONS | ITS_OVERLOAD).items():
        outcome = audit.outcome(tag, rule)
        if rule in ITS_OVERLOAD and outcome is Outcome.CANT_TELL:
            continue
        # Why its start can't be computed has been said already.
        if outcome is Outcome.INAPPLICABLE or (study.start is None and rule in OF_THE_START):
            continue
        verdict = opened_verdict(db, audit, tag, rule)
        met = {Outcome.PASSED: True, Outcome.FAILED: False}.get(outcome)
        words = {True: MET[rule], False: verdict.sentence, None: "too little is known"}[met]
        yield Condition(name, met, words, rule, audit.is_provisional(tag, rule), verdict.to_read)


def _figures(study: Study) -> tuple:
    if study.start is None:
        return ()
    return tuple(f for f in study.start.figures if f.name in FIGURES)


def _mind(values: Mapping[str, Any], study: Study, first_half_cycle: float) -> Iterator[str]:
    """The points to mind before and while it runs so."""
    by, start = values["bypass_starts_by"], study.start
    if start is not None and start.has("peak_a"):
        peak = start.figure("peak_a").value
        yield from _instantaneous(values, first_half_cycle * peak)
    if by == DIRECT and values["surge_risk"] == "yes":
        yield "The pipework hammers at such a start and stop: throttle the discharge, keep clear."
    if by == DIRECT and values["coupling"] == "belt":
        yield "Belts slip and glaze at such a start: look at them, guards on."
    if values["device_kind"] == "drive" and by not in (None, "drive"):
        yield "Without its drive the motor turns at full speed: see that the process withstands that."
    if values["bypass_arrangement"] == "two-contactor":
        yield "The failed device stays connected on the line side: its terminals are live."
    if values["starts_per_hour"] is not None and by == DIRECT:
        yield f"It is asked to start {shown(values['starts_per_hour'], '1/h')}: leave it running."


def _unread(values: Mapping[str, Any]) -> Iterator[str]:
    """What to read of the bypass's own overload before it is trusted."""
    names = [name for name in ("bypass_overload_set_a", "bypass_trip_class") if values[name] is None]
    if values["bypass_own_overload"] == "yes" and names:
        yield f"Nobody has read how the bypass's overload is set: read {' and '.join(names)} there first."


def _tried(db: Database, audit: Audit, tag: str) -> Iterator[str]:
    """The worth of the latest test of the bypass."""
    outcome = audit.outcome(tag, TESTED)
    if outcome is Outcome.FAILED:
        yield f"{opened_verdict(db, audit, tag, TESTED).sentence} Bump it first."
    elif outcome is Outcome.CANT_TELL:
        yield "The bypass was never recorded as tried: bump it, and watch the direction."


def _instantaneous(values: Mapping[str, Any], first_a: float) -> Iterator[str]:
    """Where an instantaneous trip, set for the eased start, may open at this one."""
    set_a, kind = values["instantaneous_a"], values["protection_kind"] or ""
    if set_a is not None and set_a < first_a:
        yield (
            f"The line protection's instantaneous trip is set to {shown(set_a, 'A')}, and the "
            f"first half cycle may reach {shown(round(first_a), 'A')}: it may open."
        )
    elif set_a is None and "breaker" in kind:
        yield (
            f"The first half cycle may reach {shown(round(first_a), 'A')}: read instantaneous_a, "
            "at which the line protection opens."
        )
