"""The starts behind a report's findings, thinned to what a small chart can show."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np
from sqlite_utils import Database

from register.audit.finding import Finding
from register.audit.outline import StartCourse
from register.facts.derived import STUDIED
from register.starts import load_case, study
from register.starts.model import Course

MOST = 200  # positions; each takes room in the page
POINTS = 72


def courses(db: Database, found: Iterable[Finding], *, measured_only: bool = False) -> dict[str, StartCourse]:
    """The start at each position where a finding is based on its study, the first `MOST` of them."""
    studied = (f.at for f in found if STUDIED.intersection(v.column for v in f.values))
    tags = list(dict.fromkeys(studied))[:MOST]
    made: dict[str, StartCourse] = {}
    for case, course, outcome in study.courses_of(load_case.of_positions(db, tags, measured_only=measured_only)):
        made[case.values["tag"]] = _thinned(course, outcome, case.values)
    return made


def _thinned(course: Course, outcome: str, values: Mapping[str, Any]) -> StartCourse:
    """`POINTS` moments of a start, evenly apart in time."""
    at = np.linspace(course.time_s[0], course.time_s[-1], POINTS)

    def series(known: np.ndarray, places: int = 2) -> tuple[float, ...]:
        return tuple(np.round(np.interp(at, course.time_s, known), places).tolist())

    return StartCourse(
        time_s=tuple(np.round(at, 3).tolist()),
        speed_pct=series(course.speed_pct),
        current_xfla=series(course.current_xfla, 3),
        voltage_pct=series(course.bus_pct),
        outcome=outcome,
        limit_xfla=values["current_limit_xfla"],
        dip_limit_pct=values["dip_limit_pct"],
    )
