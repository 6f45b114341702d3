"""Triggers that record every change to the register, whoever makes it."""

from __future__ import annotations

from register.columns import TABLES, Column, Table
from register.columns.model import table as made
from register.columns.model import text

# Why a value is missing has a history too: `illegible` today, read from the papers later.
BLANK = made(
    "blank",
    "why a value is missing",
    "table_name row_key column_name",
    text("table_name", "table"),
    text("row_key", "row"),
    text("column_name", "column"),
    text("reason", "why"),
    text("noted_on", "day"),
    text("noted_by", "who"),
)
KEPT: dict[str, Table] = {**TABLES, BLANK.name: BLANK}


def _tag(table: Table, row: str) -> str:
    return f"{row}.tag" if any(c.name == "tag" for c in table.columns) else "NULL"


def _key(table: Table, row: str) -> str:
    return " || ' | ' || ".join(f"{row}.{name}" for name in table.key)


def _json(column: Column, row: str) -> str:
    """SQL for a value as JSON, a number whole: SQLite's own functions round it to 15 digits.

    Infinity, which another program can write and JSON has no word for, is a number beyond all that there are.
    """
    value = f"{row}.{column.name}"
    if column.kind != "real":
        return f"json_quote({value})"
    infinite = f"WHEN abs({value}) = 9e999 THEN iif({value} > 0, '9e999', '-9e999')"
    return f"CASE WHEN {value} IS NULL THEN 'null' {infinite} ELSE printf('%!.17g', {value}) END"


def _object(table: Table, row: str) -> str:
    """SQL for the columns that differ between OLD and NEW, as one JSON object."""
    parts = " UNION ALL ".join(
        f"SELECT '{c.name}' AS c, {_json(c, row)} AS v WHERE old.{c.name} IS NOT new.{c.name}" for c in table.columns
    )
    return f"""(SELECT '{{' || group_concat('"' || c || '":' || v, ',') || '}}' FROM ({parts}))"""


def _whole(table: Table, row: str) -> str:
    pairs = " || ',' || ".join(f"""'"{c.name}":' || {_json(c, row)}""" for c in table.columns)
    return f"('{{' || {pairs} || '}}')"


def _triggers(table: Table) -> list[str]:
    """DDL of one table's triggers; differences are found with IS NOT, so NULL counts.

    An insert records its key alone: the row is the present one with later changes undone. Only the
    notes on blanks, which are short, are recorded whole.
    """
    into = (
        "INSERT INTO change(change_set, at, table_name, row_key, tag, tag_before, action,"
        " before, after) SELECT (SELECT change_set FROM open_change_set),"
        " strftime('%Y-%m-%dT%H:%M:%fZ', 'now')"
    )
    name = table.name
    entered = _whole(table, "new") if table is BLANK else "NULL"
    differs = " OR ".join(f"old.{c.name} IS NOT new.{c.name}" for c in table.columns)
    return [
        f"CREATE TRIGGER {name}_inserted AFTER INSERT ON {name} BEGIN {into}, '{name}',"
        f" {_key(table, 'new')}, {_tag(table, 'new')}, NULL, 'insert', NULL, {entered}; END",
        f"CREATE TRIGGER {name}_updated AFTER UPDATE ON {name} WHEN {differs} BEGIN {into},"
        f" '{name}', {_key(table, 'new')}, {_tag(table, 'new')}, {_tag(table, 'old')}, 'update',"
        f" {_object(table, 'old')}, {_object(table, 'new')}; END",
        f"CREATE TRIGGER {name}_deleted AFTER DELETE ON {name} BEGIN {into}, '{name}',"
        f" {_key(table, 'old')}, NULL, {_tag(table, 'old')}, 'delete', {_whole(table, 'old')},"
        " NULL; END",
    ]


def triggers() -> list[str]:
    """DDL of the triggers of every table whose history is kept."""
    return [sql for table in KEPT.values() for sql in _triggers(table)]
