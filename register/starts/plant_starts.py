"""The starts of a whole plant, from its facts, which are built only where something changed."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator

from sqlite_utils import Database

from register.calc.stress import TRIPS as TRIPPING
from register.calc.study import STATES
from register.facts.assumptions import load_assumptions, mask_for
from register.facts.build import every_gap, refresh
from register.facts.standard_tables import load_tables
from register.resources import rules_folder
from register.starts.model import PlantStart
from register.starts.words import CAGE, CHECK, outcome_words
from register.store.queries import positions

TRIPS = STATES[TRIPPING]
# fmt: off
SHOWN = (
    "tag", "description", "area", "bus", "motor_type", "study_certainty", "start_outcome", "start_time_s",
    "start_time_short_s", "start_time_long_s", "start_peak_xfla", "start_dip_pct",
    "start_motor_heat_pct", "start_motor_heat_low_pct", "start_overload_state", "lowest_limit_xfla", "failover_outcome",
    "stand_ins",
)
# fmt: on


def starts(
    db: Database,
    *,
    area: str | None = None,
    bus: str | None = None,
    measured_only: bool = False,
    progress: Callable[[int, int], None] | None = None,
) -> list[PlantStart]:
    """The start at every position of an open register, by its own device.

    Parameters
    ----------
    area, bus : only those.
    measured_only : use no assumed value.
    progress : told the rows of facts done, of how many, while any are built.
    """
    assumptions = load_assumptions(rules_folder() / "assumptions.yml")
    tags = [row["tag"] for row in positions(db, area=area, bus=bus)]
    refresh(db, tables=load_tables(), assumptions=assumptions, measured_only=measured_only, progress=progress)
    mask = mask_for(("start_outcome", "start_time_s"), assumptions)
    return list(_read(db, tags, mask))


def _read(db: Database, tags: list[str], mask: int) -> Iterator[PlantStart]:
    behind = every_gap(db)
    rows = db.conn.execute(
        f"SELECT {', '.join(SHOWN)} FROM facts WHERE tag IN (SELECT value FROM json_each(?)) ORDER BY tag",
        (json.dumps(tags),),
    )
    for row in rows:
        yield _start(dict(zip(SHOWN, row, strict=True)), mask, behind)


def _start(row: dict, mask: int, behind: Callable[[str, str], tuple[str, ...]]) -> PlantStart:
    outcome = row["start_outcome"]
    heat = row["start_motor_heat_low_pct"]
    told = outcome and outcome_words(
        outcome, trips=row["start_overload_state"] == TRIPS, hot=heat is not None and heat > 100.0
    )
    # One phase, or what else makes a study impossible though figures came out.
    studied = outcome is not None and row["study_certainty"] != "X" and row["motor_type"] in CAGE
    return PlantStart(
        tag=row["tag"],
        description=row["description"] or "",
        area=row["area"] or "",
        bus=row["bus"] or "",
        certainty=(row["study_certainty"] or "X") if studied else "X",
        provisional=studied and bool(row["stand_ins"] & mask),
        outcome=told if studied else None,
        time_s=row["start_time_s"],
        time_low_s=row["start_time_short_s"],
        time_high_s=row["start_time_long_s"],
        peak_xfla=row["start_peak_xfla"],
        dip_pct=row["start_dip_pct"],
        motor_heat_pct=row["start_motor_heat_pct"] if outcome == "starts" else None,
        overload=row["start_overload_state"],
        lowest_limit_xfla=row["lowest_limit_xfla"],
        failover_outcome=row["failover_outcome"],
        to_read=_to_read(row, behind, studied=studied),
    )


def _to_read(row: dict, behind: Callable[[str, str], tuple[str, ...]], *, studied: bool) -> tuple[str, ...]:
    if studied:
        return ()
    return (behind(row["tag"], "start_outcome") or CHECK) if row["motor_type"] in CAGE else ("motor_type",)
