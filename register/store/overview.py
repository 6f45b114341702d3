"""The few figures behind a report's pictures that are no verdicts: measures, ages, withdrawn models, kept audits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from sqlite_utils import Database

from register.store.audits import kept_audits

# Rule → what there is, and what it is held against; both columns of the facts, in one unit.
MEASURES = {
    "line-protection/device-withstands-fault": ("short_circuit_rating_ka", "fault_current_ka"),
    "overload/set-within-nameplate": ("overload_set_max_a", "overload_set_a"),
    "duty/starts-within-motor": ("starts_per_hour_limit", "starts_per_hour"),
    "settings/limit-enough-to-start": ("current_limit_xfla", "lowest_limit_xfla"),
    "sizing/current-covers-motor": ("derated_current_a", "fla_a"),
}


@dataclass(frozen=True, slots=True)
class PastAudit:
    """A kept audit in three numbers: the majors that failed, what was unknown, of how many that apply."""

    day: str
    majors: int
    unknown: int
    asked: int


@dataclass(frozen=True, slots=True)
class Withdrawn:
    """A model that is sold no longer, or not for long: where it is installed, what lies in store, what follows it."""

    model: str
    lifecycle: str
    positions: int
    in_store: int
    successor: str | None


@dataclass(frozen=True, slots=True)
class Overview:
    """What a page draws beside the verdicts.

    `measures` has for each rule, by tag, how many times what is asked there is; `made` counts the installed
    devices by the year they were made (None where nobody knows), those withdrawn apart; `kinds` has each
    position's kind of device.
    """

    measures: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    made: Mapping[int | None, tuple[int, int]] = field(default_factory=dict)
    withdrawn: tuple[Withdrawn, ...] = ()
    audits: tuple[PastAudit, ...] = ()
    kinds: Mapping[str, str] = field(default_factory=dict)


def overview(db: Database) -> Overview:
    """Return the figures of a register whose facts were built."""
    return Overview(
        measures=_measures(db),
        made={year: (all_, gone) for year, all_, gone in db.execute(_MADE)},
        withdrawn=tuple(Withdrawn(*row) for row in db.execute(_WITHDRAWN)),
        audits=tuple(_past(audit.today, audit.counts) for audit in kept_audits(db)),
        kinds=dict(db.execute("SELECT tag, device_kind FROM facts WHERE device_kind IS NOT NULL").fetchall()),
    )


_MADE = """
    SELECT CAST(substr(made_on, 1, 4) AS INTEGER) AS year, count(*), count(*) FILTER (WHERE lifecycle = 'withdrawn')
    FROM device JOIN model USING (model)
    WHERE tag IS NOT NULL AND device_status IS NOT 'scrapped' GROUP BY year ORDER BY year
"""
_WITHDRAWN = """
    SELECT model, lifecycle, positions, in_store, successor FROM models_withdrawn
    ORDER BY in_store >= positions, lifecycle DESC, positions DESC, model
"""


def _measures(db: Database) -> dict[str, dict[str, float]]:
    """By rule and tag, what there is over what is asked; only where both are known."""
    names = [name for pair in MEASURES.values() for name in pair]
    found: dict[str, dict[str, float]] = {rule: {} for rule in MEASURES}
    for tag, *values in db.execute(f"SELECT tag, {', '.join(names)} FROM facts"):
        pairs = zip(values[::2], values[1::2], strict=True)
        for rule, (there_is, asked) in zip(MEASURES, pairs, strict=True):
            if there_is is not None and asked:
                found[rule][tag] = there_is / asked
    return found


def _past(day: str, counts: Mapping[str, Mapping[str, int]]) -> PastAudit:
    sums = {outcome: sum(by[outcome] for by in counts.values()) for outcome in ("failed", "cant-tell", "passed")}
    return PastAudit(day, counts["major"]["failed"], sums["cant-tell"], sum(sums.values()))
