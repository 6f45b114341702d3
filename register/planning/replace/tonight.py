"""Whether a load can run on its bypass tonight: rules, facts and study of that start, together.

Nothing is judged here: the rules about the bypass are, and this strings them into an answer.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from register.audit.judge import Audit, opened_verdict, run
from register.planning.model import Part, Tonight
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Outcome
from register.starts import load_case as cases
from register.starts.model import FAILOVER, Study
from register.starts.study import of_case
from register.store.database import opened
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
TESTED = "bypass/bypass-tested"
OF_THE_START = tuple(CONDITIONS)[:2]
# A rule's sentence says what is wrong; where nothing is, this does.
MET = {
    "start-study/failover-accelerates": "by the study of that start",
    "bypass/path-has-overload": "it has one of its own; read its setting and class there, they are not kept here",
    "bypass/path-has-line-protection": "it has its own",
}
NO_WAY = ("none", "internal only")
# fmt: off
FIGURES = ("outcome", "time_s", "peak_xfla", "peak_a", "dip_pct", "motor_heat_pct",
           "main_breaker_pct", "torque_margin_pct")
# fmt: on
DIRECT = "across-the-line"


def tonight(
    path: Path, tag: str, *, today: date, site_rules: Path | None = None, measured_only: bool = False
) -> Tonight:
    """The answer for one position of the register in a file.

    Raises StartrollError for an unknown tag.
    """
    pack = load_pack(site_folder=site_rules)
    with opened(path, write=os.access(path, os.W_OK)) as db:
        case = cases.at(db, tag, {}, measured_only=measured_only)
        study = of_case(case, FAILOVER)
        audit = run(db, pack, today=today, measured_only=measured_only, tags=[tag])
        tried = tuple(_tried(db, audit, tag))
        parts = (_way(case.values, study), *_judged(db, audit, tag, case.values, study))
    limit = pack.limits["first_half_cycle"].value
    return Tonight(
        tag=tag,
        description=case.values["description"] or "",
        today=today.isoformat(),
        how=study.how,
        parts=parts,
        figures=_figures(study),
        certainty=study.certainty_words,
        mind=(*_mind(case.values, study, limit), *tried),
        assumed=study.assumed,
    )


def _way(values: Mapping[str, Any], study: Study) -> Part:
    """Whether there is a bypass at all, and one whose start can be worked out."""
    name = "there is a bypass"
    if values["bypass_arrangement"] is None:
        return Part(
            name, None, "nobody has noted whether there is one", "", False, ("bypass_arrangement", "bypass_starts_by")
        )
    if values["bypass_arrangement"] in NO_WAY:
        inside = "; an internal bypass carries the running current only"
        return Part(name, False, study.why_not + inside * (values["bypass_arrangement"] != "none"))
    words = f"{values['bypass_arrangement']}, started {values['bypass_starts_by'] or 'unknown how'}"
    if study.start is None:
        return Part(name, None, f"{words}; its start can't be worked out: {study.why_not}", "", False, study.to_read)
    return Part(name, True, words)


def _judged(db: Database, audit: Audit, tag: str, values: Mapping[str, Any], study: Study) -> Iterator[Part]:
    """The conditions that rules judge, where they apply and the bypass is known."""
    if values["bypass_arrangement"] in (None, *NO_WAY):
        return
    for rule, name in CONDITIONS.items():
        outcome = audit.outcome(tag, rule)
        # Why its start can't be worked out is told already.
        if outcome is Outcome.INAPPLICABLE or (study.start is None and rule in OF_THE_START):
            continue
        told = opened_verdict(db, audit, tag, rule)
        met = {Outcome.PASSED: True, Outcome.FAILED: False}.get(outcome)
        words = MET.get(rule, told.sentence) if met else told.sentence
        words = "too little is known" if met is None else words
        yield Part(name, met, words, rule, audit.is_provisional(tag, rule), told.to_read)


def _figures(study: Study) -> tuple:
    if study.start is None:
        return ()
    return tuple(f for f in study.start.figures if f.name in FIGURES)


def _mind(values: Mapping[str, Any], study: Study, first_half_cycle: float) -> Iterator[str]:
    """What to mind before and while it runs so."""
    by, start = values["bypass_starts_by"], study.start
    if start is not None and start.has("peak_a"):
        peak = start.figure("peak_a").value
        yield from _instantaneous(values, first_half_cycle * peak)
    if by == DIRECT and values["surge_risk"] == "yes":
        yield "The pipework hammers at such a start and stop: throttle the discharge, keep clear."
    if by == DIRECT and values["coupling"] == "belt":
        yield "Belts slip and glaze at such a start: look at them, guards on."
    if values["device_kind"] == "drive":
        yield "Without its drive the motor turns at full speed: see that the process withstands that."
    if values["bypass_arrangement"] == "two-contactor":
        yield "The failed device stays connected on the line side: its terminals are live."
    if values["starts_per_hour"] is not None and by == DIRECT:
        yield f"It is asked to start {shown(values['starts_per_hour'], '1/h')}: leave it running."


def _tried(db: Database, audit: Audit, tag: str) -> Iterator[str]:
    """What the latest test of the bypass is worth."""
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
