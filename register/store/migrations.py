"""The register's form, one step after another; a step that was released is never changed."""

from __future__ import annotations

import sqlite3

from register.columns import TABLES, Column, Table
from register.store import origins
from register.store.triggers import all_triggers

SQL_TYPE = {"text": "TEXT", "date": "TEXT", "real": "REAL", "integer": "INTEGER"}

INTERNAL = (
    "CREATE TABLE change_set (change_set INTEGER PRIMARY KEY, made_on TEXT NOT NULL, author TEXT,"
    " reason TEXT NOT NULL, source_file TEXT, source_hash TEXT) STRICT",
    "CREATE TABLE open_change_set (only_one INTEGER PRIMARY KEY CHECK (only_one = 1),"
    " change_set INTEGER NOT NULL REFERENCES change_set) STRICT",
    "CREATE TABLE change (change_id INTEGER PRIMARY KEY, change_set INTEGER REFERENCES change_set,"
    " at TEXT NOT NULL, table_name TEXT NOT NULL, row_key TEXT NOT NULL, tag TEXT,"
    " tag_before TEXT, action TEXT NOT NULL, before TEXT, after TEXT) STRICT",
    "CREATE INDEX change_by_tag ON change(tag)",
    "CREATE INDEX change_by_row ON change(table_name, row_key) WHERE action = 'update'",
    "CREATE TABLE found (table_name TEXT NOT NULL, row_key TEXT NOT NULL, column_name TEXT"
    " NOT NULL, found_text TEXT, source_file TEXT, source_cell TEXT, unit_from TEXT,"
    " change_set INTEGER REFERENCES change_set,"
    " PRIMARY KEY (table_name, row_key, column_name, change_set)) STRICT",
    "CREATE TABLE blank (table_name TEXT NOT NULL, row_key TEXT NOT NULL, column_name TEXT"
    " NOT NULL, reason TEXT NOT NULL CHECK (reason IN ('not surveyed', 'illegible',"
    " 'not published', 'not applicable')), noted_on TEXT, noted_by TEXT,"
    " PRIMARY KEY (table_name, row_key, column_name)) STRICT",
)

AUDITS = (
    "CREATE TABLE audit (audit_id INTEGER PRIMARY KEY, made_at TEXT NOT NULL, made_by TEXT"
    " NOT NULL, today TEXT NOT NULL, change_id INTEGER NOT NULL, change_set INTEGER NOT NULL"
    " REFERENCES change_set, program_version TEXT NOT NULL, method_hash TEXT NOT NULL,"
    " pack_hash TEXT NOT NULL, register_hash TEXT NOT NULL, limits TEXT NOT NULL,"
    " scope TEXT NOT NULL, rules TEXT NOT NULL, counts TEXT NOT NULL) STRICT",
    "CREATE TABLE verdict (audit_id INTEGER NOT NULL REFERENCES audit, tag TEXT NOT NULL,"
    " outcomes TEXT NOT NULL, provisional TEXT NOT NULL, PRIMARY KEY (audit_id, tag)) STRICT",
    "CREATE TABLE finding (audit_id INTEGER NOT NULL REFERENCES audit, tag TEXT NOT NULL,"
    " rule TEXT NOT NULL, grade TEXT NOT NULL, provisional TEXT NOT NULL, margin REAL,"
    " detail TEXT NOT NULL, PRIMARY KEY (audit_id, tag, rule)) STRICT",
)

PACKS = (
    "CREATE TABLE content (content_hash TEXT PRIMARY KEY, bytes BLOB NOT NULL) STRICT",
    "CREATE TABLE pack_file (pack_hash TEXT NOT NULL, path TEXT NOT NULL, content_hash TEXT"
    " NOT NULL REFERENCES content, PRIMARY KEY (pack_hash, path)) STRICT, WITHOUT ROWID",
)

PLACES = (
    "CREATE INDEX record_by_tag ON record(tag)",
    "CREATE INDEX event_by_tag ON event(tag)",
    "CREATE INDEX device_by_model ON device(model)",
    "CREATE INDEX device_by_status ON device(device_status)",
    "CREATE UNIQUE INDEX one_motor_a_position ON motor(tag) WHERE tag IS NOT NULL AND motor_status IS NOT 'scrapped'",
    "CREATE UNIQUE INDEX one_device_a_position ON device(tag)"
    " WHERE tag IS NOT NULL AND device_status IS NOT 'scrapped'",
)


def m001(connection: sqlite3.Connection) -> None:
    """Every table of the data dictionary, its history and its provenance."""
    for table in TABLES.values():
        connection.execute(_create(table))
    for sql in (*INTERNAL, *AUDITS, *PACKS, *origins.TABLES, *PLACES, *all_triggers()):
        connection.execute(sql)


STEPS = (m001,)
VERSION = len(STEPS)


def _create(table: Table) -> str:
    lines = [_column(table, column) for column in table.columns]
    if len(table.key) > 1:
        lines.append(f"PRIMARY KEY ({', '.join(table.key)})")
    return f"CREATE TABLE {table.name} ({', '.join(lines)}) STRICT"


def _column(table: Table, column: Column) -> str:
    sql = f"{column.name} {SQL_TYPE[column.kind]}"
    if table.key == (column.name,):
        sql += " PRIMARY KEY"
    if column.required:
        sql += " NOT NULL"
    if column.choices:
        words = ", ".join(f"'{word}'" for word in column.choices)
        sql += f" CHECK ({column.name} IN ({words}))"
    if column.references:
        sql += f" REFERENCES {column.references} ON UPDATE CASCADE"
    return sql
