"""The facts of one position, with some values tried: the same way as all facts, nothing kept."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlite_utils import Database

from register import columns
from register.facts import changes
from register.facts.assumptions import Assumption
from register.facts.base import BASE, base_sql
from register.facts.derived import entered_behind
from register.facts.fact_rows import made
from register.facts.method import Method, method_hash

if TYPE_CHECKING:
    from register.calc.standard_table import Table

_TABLE_OF = {name: column.table for name, column in BASE.items()}
_KEYS = tuple(
    (key, table.name)
    for table in columns.TABLES.values()
    for key in table.key
    if key in BASE and table.name in _TABLE_OF.values()
)


NOT_YET = "9999-12-31"


@dataclass(frozen=True)
class Trial:
    """The facts of one position: values by column, stand-ins used, fields behind each gap."""

    tag: str
    values: Mapping[str, Any]
    tried: Mapping[str, Any]
    assumed: Mapping[str, Assumption]
    gaps: Mapping[str, tuple[str, ...]]

    def to_read(self, names: Iterable[str]) -> tuple[str, ...]:
        """The entered fields to read so that these columns get a value, each once."""
        fields: dict[str, None] = {}
        for name in names:
            if self.values[name] is None:
                derived = columns.FACTS[name].origin == "derived"
                fields |= dict.fromkeys(self.gaps.get(name, ()) if derived else (name,))
        return tuple(fields)


def trial(
    db: Database,
    tags: Iterable[str],
    *,
    tables: Mapping[str, Table],
    assumptions: Iterable[Assumption],
    measured_only: bool = False,
    tried: Mapping[str, Any] | None = None,
) -> list[Trial]:
    """The facts of some positions, in order of tag, as they would be with those values.

    Parameters
    ----------
    db : an open register; it is only read, even when it could be written.
    tags : the positions.
    tables, assumptions, measured_only : as for `build.refresh`.
    tried : base columns and the values they would have, at each of the positions.
    """
    everywhere = {tag: tried or {} for tag in tags}
    return trials(db, everywhere, tables=tables, assumptions=assumptions, measured_only=measured_only)


def trials(
    db: Database,
    tried: Mapping[str, Mapping[str, Any]],
    *,
    tables: Mapping[str, Table],
    assumptions: Iterable[Assumption],
    measured_only: bool = False,
) -> list[Trial]:
    """The same with other values at each position: `tried` gives them by tag."""
    used = () if measured_only else tuple(assumptions)
    method = Method(tables, used, method_hash(tables, used))
    changes.hold(db.conn, tried)
    base = (dict(zip(BASE, row, strict=True)) for row in db.conn.execute(base_sql(touched_only=True)))
    rows = [with_values(row, tried[row["tag"]]) for row in base]
    if not rows:
        return []
    numbers: dict[tuple[str, str, str], int] = {}
    facts = list(made(rows, method, changes.not_applicable(db.conn, used), numbers))
    fields = {number: (name, behind) for (name, behind, _), number in numbers.items()}
    return [_trial(row, used, fields, tried) for row in facts]


def with_values(row: Mapping[str, Any], tried: Mapping[str, Any]) -> tuple:
    """A row of the base with values tried; what they stand on is there, if only for the trial."""
    values = {**row, **tried}
    if not entered_behind("start_outcome").isdisjoint(tried):
        # A start that was seen was another one.
        values["settings_since_on"] = NOT_YET
    blank = [(key, table) for key, table in _KEYS if values[key] is None]
    if blank:
        there = {_TABLE_OF[name] for name, value in tried.items() if value is not None}
        for key in (key for key, table in blank if table in there):
            values[key] = f"tried at {values['tag']}"
    return tuple(values.values())


def _trial(
    row: tuple, assumptions: tuple[Assumption, ...], fields: dict, tried: Mapping[str, Mapping[str, Any]]
) -> Trial:
    *known, bits, reasons, _ = row
    values = {n: None if v != v else v for n, v in zip(columns.FACTS, known, strict=True)}
    behind = (fields[number] for number in json.loads(reasons))
    return Trial(
        tag=values["tag"],
        values=values,
        tried=tried[values["tag"]],
        assumed={a.column: a for a in assumptions if bits >> a.bit & 1},
        gaps={name: tuple(f for f in names.split(", ") if f) for name, names in behind},
    )
