"""Triggers that record every change to the register, whoever makes it."""

from __future__ import annotations

from register.columns import TABLES, Table
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


def _json(value: str) -> str:
    """SQL for a value as JSON, a number whole: SQLite's own functions round it to 15 digits.

    Infinity, which another program can write and JSON has no word for, is a number beyond all that there are.
    """
    infinite = f"WHEN abs({value}) = 9e999 THEN iif({value} > 0, '9e999', '-9e999')"
    return f"CASE WHEN typeof({value}) <> 'real' THEN json_quote({value}) {infinite} ELSE printf('%!.17g', {value}) END"


def _object(value: str) -> str:
    """SQL for rows of `name` and a value as one JSON object; NULL of no row."""
    return f"""'{{' || group_concat('"' || name || '":' || {_json(value)}, ',') || '}}'"""


def _listed(table: Table, **rows: str) -> str:
    """SQL for a row for each column: its `name`, and under each word its value in OLD or NEW.

    SQLite takes every trigger apart whenever a register is opened: each column is named here once, and what is
    done with it stands once behind them all.
    """
    names = [column.name for column in table.columns]
    first = ", ".join([f"'{names[0]}' AS name", *(f"{row}.{names[0]} AS {word}" for word, row in rows.items())])
    others = (", ".join([f"'{name}'", *(f"{row}.{name}" for row in rows.values())]) for name in names[1:])
    return " UNION ALL SELECT ".join([f"SELECT {first}", *others])


def _whole(table: Table, row: str) -> str:
    return f"(SELECT {_object('was')} FROM ({_listed(table, was=row)}))"


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
    # The plus keeps SQLite from comparing texts as numbers, by the kind of another column in the list.
    differs = (
        f"SELECT {_object('was')} AS before, {_object('became')} AS after"
        f" FROM ({_listed(table, was='old', became='new')}) WHERE +was IS NOT +became"
    )
    return [
        f"CREATE TRIGGER {name}_inserted AFTER INSERT ON {name} BEGIN {into}, '{name}',"
        f" {_key(table, 'new')}, {_tag(table, 'new')}, NULL, 'insert', NULL, {entered}; END",
        f"CREATE TRIGGER {name}_updated AFTER UPDATE ON {name} BEGIN {into}, '{name}', {_key(table, 'new')},"
        f" {_tag(table, 'new')}, {_tag(table, 'old')}, 'update', before, after FROM ({differs})"
        " WHERE before IS NOT NULL; END",
        f"CREATE TRIGGER {name}_deleted AFTER DELETE ON {name} BEGIN {into}, '{name}',"
        f" {_key(table, 'old')}, NULL, {_tag(table, 'old')}, 'delete', {_whole(table, 'old')},"
        " NULL; END",
    ]


def triggers() -> list[str]:
    """DDL of the triggers of every table whose history is kept."""
    return [sql for table in KEPT.values() for sql in _triggers(table)]
