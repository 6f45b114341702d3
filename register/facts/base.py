"""The base of the facts: everything entered about a position, side by side in one row."""

from __future__ import annotations

from register import columns
from register.columns.model import Column
from register.errors import Problem
from register.facts import context
from register.store.database import NOTICES

BASE: dict[str, Column] = {name: column for name, column in columns.FACTS.items() if column.origin != "derived"}
TOUCHED = "temp.touched"

MOST = 1e300
_ODD = "numbers that are infinite or out of their column's range, which another program wrote, are judged as unknown"

# What separates day, number and result of a record where they are packed to be compared at once.
_SEPARATOR = "char(31)"
_ID_DIGITS = 12


def _kinds() -> dict[str, str]:
    """The record kinds, by the stem of their two columns."""
    kinds = columns.TABLES["record"].column("record_kind").choices
    return {kind.replace(" ", "_"): kind for kind in kinds}


def _selected(column: Column) -> str:
    name = column.name
    if name in context.SQL:
        return f"{context.SQL[name]} AS {name}"
    if column.table != "record":
        return f'"{column.table}".{name}'
    stem = name.removesuffix("_on").removesuffix("_result")
    cut = f"instr(checks.{stem}, {_SEPARATOR})"
    if name.endswith("_on"):
        return f"substr(checks.{stem}, 1, {cut} - 1) AS {name}"
    return f"substr(checks.{stem}, {cut} + {_ID_DIGITS} + 2) AS {name}"


def _latest_checks(only: str) -> str:
    """One row a position: for each kind the latest record, packed as day, number, result.

    The greatest packed text is the latest record: so one pass over the records finds the latest of every kind, day and
    result together.
    """
    packed = f"done_on || {_SEPARATOR} || printf('%0{_ID_DIGITS}d', record_id) || {_SEPARATOR} || result"
    latest = ",\n".join(
        f"max(CASE record_kind WHEN '{kind}' THEN {packed} END) AS {stem}" for stem, kind in _kinds().items()
    )
    return f"SELECT tag, {latest} FROM record {only} GROUP BY tag"


_NUMBERS = [(at, c) for at, c in enumerate(BASE.values()) if c.is_number and c.origin != "derived"]


def believed(rows: list[tuple]) -> list[tuple]:
    """The base rows without the numbers that no entry would have been allowed to hold: infinite, or out of range.

    Another program wrote them; a rule can't tell by them, and asks for the field.
    """
    by_column = list(zip(*rows, strict=True))
    wrong: dict[int, dict[int, None]] = {}
    for at, column in _NUMBERS if rows else ():
        there = [v for v in by_column[at] if v is not None]
        low, high = (-MOST if column.low is None else column.low), (MOST if column.high is None else column.high)
        if there and (min(there) < low or max(there) > high):
            for row, value in enumerate(by_column[at]):
                if value is not None and not low <= value <= high:
                    wrong.setdefault(row, {})[at] = None
    if not wrong:
        return rows
    NOTICES.append(Problem(_ODD, "startroll verify REGISTER names each, with its place"))
    return [
        tuple(None if at in wrong[row] else value for at, value in enumerate(values)) if row in wrong else values
        for row, values in enumerate(rows)
    ]


def base_sql(*, touched_only: bool = False) -> str:
    """The query of the base rows, in order of tag: of all positions, or of those in `touched`.

    What is scrapped stands nowhere; of the settings of a device the latest counts, of the records
    of each kind the latest, and of two on one day the one entered last.
    """
    selected = ",\n".join(_selected(column) for column in BASE.values())
    # A restriction on the outer query would not reach into the grouped one, so it stands in both.
    only = f"WHERE tag IN (SELECT tag FROM {TOUCHED})" if touched_only else ""
    return f"""
SELECT {selected}
FROM (SELECT * FROM position {only}) AS position
LEFT JOIN (SELECT * FROM site LIMIT 1) AS site ON 1
LEFT JOIN bus ON bus.bus = position.bus
LEFT JOIN motor ON motor.tag = position.tag AND motor.motor_status IS NOT 'scrapped'
LEFT JOIN device ON device.tag = position.tag AND device.device_status IS NOT 'scrapped'
LEFT JOIN model ON model.model = device.model
LEFT JOIN setting ON setting.device = device.device AND setting.setting_recorded_on = (
    SELECT max(setting_recorded_on) FROM setting AS other WHERE other.device = device.device)
LEFT JOIN protection ON protection.tag = position.tag
LEFT JOIN bypass ON bypass.tag = position.tag
LEFT JOIN control ON control.tag = position.tag
LEFT JOIN ({_latest_checks(only)}) AS checks ON checks.tag = position.tag
{context.JOINS}
ORDER BY position.tag
"""
