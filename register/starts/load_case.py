"""One position made ready for a study: its facts with values tried, and where they came from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from sqlite_utils import Database

from register import columns
from register.calc.study import Start, failover_study, limit_study, start_study
from register.errors import Problem, StartrollError
from register.facts.assumptions import load_assumptions
from register.facts.base import BASE
from register.facts.derived import entered_behind, results
from register.facts.origins import origin
from register.facts.standard_tables import load_tables
from register.facts.whatif import Trial, Variant, WhatIf
from register.resources import rules_folder
from register.starts import model
from register.store.origins import origin_of
from register.store.queries import positions, rows_at

STUDIES = (start_study, failover_study, limit_study)
ASKED = tuple(n for n in dict.fromkeys(name for study in STUDIES for name in study.asks) if not n.endswith("_table"))
BESIDE = (
    "phases",
    "motor_type",
    "start_seen",
    "measured_start_s",
    "measured_start_peak_a",
    "measured_start_curve",
    "duty_code",
    "fla_set_a",
    "dip_limit_pct",
    "current_limit_min_xfla",
    "current_limit_max_xfla",
)


@dataclass(frozen=True)
class Case:
    """The facts of one position as arrays of one, as a study asks for them."""

    trial: Trial
    origins: Mapping[str, str]
    facts: Mapping[str, Any]

    @property
    def values(self) -> Mapping[str, Any]:
        """The facts by column, None where unknown."""
        return self.trial.values

    def start(self, way: str) -> Start:
        """The start on its own device or on the bypass."""
        return Start.own(self.facts) if way == model.OWN else Start.failover(self.facts)

    def origin(self, name: str) -> str:
        """Where a value came from, in words."""
        if name in self.trial.tried:
            return "tried"
        return origin(
            name,
            self.values[name],
            tag=self.values["tag"],
            entered=self.origins.get(name),
            assumed=self.trial.assumed.get(name),
            among=self.values,
        )

    def input(self, name: str) -> model.Input:
        """A value with its unit and origin."""
        column = columns.FACTS[name]
        return model.Input(name, column.sentence, self.values[name], column.unit, self.origin(name))


def one(db: Database, tag: str, changes: Mapping[str, str] | None = None, *, measured_only: bool = False) -> Case:
    """One position of an open register, with values tried as a person writes them.

    Raises StartrollError for an unknown tag, and for every value tried that will not do.
    """
    return at(db, tag, values_of(changes or {}), measured_only=measured_only)


def at(db: Database, tag: str, tried: Mapping[str, Any], *, measured_only: bool = False) -> Case:
    """One position of an open register, with base columns tried at the values they would have.

    Raises StartrollError for an unknown tag.
    """
    rows_at(db, tag)
    return of_positions(db, [tag], tried, measured_only=measured_only)[0]


def of_bus(db: Database, bus: str, *, measured_only: bool = False) -> list[Case]:
    """Every position of a bus; StartrollError when the register knows no such bus."""
    tags = [row["tag"] for row in positions(db, bus=bus)]
    return of_positions(db, tags, measured_only=measured_only)


def of_positions(
    db: Database, tags: list[str], tried: Mapping[str, Any] | None = None, *, measured_only: bool = False
) -> list[Case]:
    """Some positions, in order of tag; origins are told where it is a single one."""
    tables = load_tables()
    assumptions = load_assumptions(rules_folder() / "assumptions.yml")
    what_if = WhatIf(db, tags, tables=tables, assumptions=assumptions, measured_only=measured_only)
    trials = what_if.trials([Variant(tag, tried or {}) for tag in what_if.base])
    origins = origin_of(db, tags, (*ASKED, *BESIDE)) if len(tags) == 1 else {}
    whole = {f"{name.replace('-', '_')}_table": table for name, table in tables.items()}
    told = {name: text for (_, name), text in origins.items()}
    arrays = _arrays([t.values for t in trials])
    each = ({name: values[at : at + 1] for name, values in arrays.items()} for at in range(len(trials)))
    return [Case(trial, told, facts | whole) for trial, facts in zip(trials, each, strict=True)]


def _arrays(rows: Sequence[Mapping[str, Any]]) -> dict[str, np.ndarray]:
    """Each fact as an array: numbers with NaN, words with None where unknown."""
    made = {}
    for name in rows[0] if rows else ():
        values = np.empty(len(rows), object)
        values[:] = [row[name] for row in rows]
        made[name] = values.astype(float) if columns.FACTS[name].is_number else values
    return made


def parted(texts: Iterable[str]) -> dict[str, str]:
    """Columns and values from `column=value`; StartrollError with all that is not so written."""
    from register.intake.correct import pairs  # what is typed needs all that reads lists; a study does not

    found, problems = pairs(texts, "--try")
    model.one_of([*problems, *_read(found)[1]])
    return found


def values_of(changes: Mapping[str, str]) -> dict[str, Any]:
    """What the values tried would be once entered; StartrollError with all that will not do."""
    made, problems = _read(changes)
    model.one_of(problems)
    return made


def _read(changes: Mapping[str, str]) -> tuple[dict[str, Any], list[Problem]]:
    from register.intake.correct import believed

    made: dict[str, Any] = {}
    problems: list[Problem] = []
    for name, text in changes.items():
        try:
            made[name] = believed(name, text)
        except StartrollError as error:
            problems += error.problems
            continue
        if name not in may_be_tried():
            near = columns.nearest(name, {n: columns.FACTS[n] for n in may_be_tried()})
            hint = f"nearest that has: {near}" if near else "docs/guide/start-study.md names them"
            problems.append(Problem(f"{name} has no effect on a start", hint))
    return made, problems


@cache
def may_be_tried() -> frozenset[str]:
    """The entered columns that a study is based on or is held against."""
    studied = [name for study in STUDIES for name in results(study)]
    behind = frozenset().union(*(entered_behind(name) for name in studied))
    keys = {key for table in columns.TABLES.values() for key in table.key}
    return frozenset(n for n in behind | set(BESIDE) if n in BASE) - keys
