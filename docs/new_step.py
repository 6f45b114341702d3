"""Write the next step: what the dictionary has and the steps have not.

    .venv/bin/python docs/new_step.py NAME

Run it after a change of the dictionary, of a view or of the history triggers. The file it writes is frozen when a
version with it is released; until then, delete it and run this again.
"""

from __future__ import annotations

import hashlib
import re
import sys
import textwrap
from collections.abc import Iterator

from sqlite_utils import Database

from register.columns import TABLES, Column, Table
from register.store.migrations import FOLDER, bring_up, shown, step_files

SQL_TYPE = {"text": "TEXT", "date": "TEXT", "real": "REAL", "integer": "INTEGER"}
WORD_GONE = """\
-- A word that left a closed list: replace it in the SELECT below (CASE … WHEN … END), and in the history: UPDATE change
-- SET before = replace(before, '"COLUMN":"OLD"', '"COLUMN":"NEW"'), after = replace(after, …)"""


def fingerprint() -> str:
    """The last line of the newest step: when views or triggers change, registers need a step to get them."""
    return f"-- views and triggers: {hashlib.sha256(repr(list(shown())).encode()).hexdigest()[:16]}"


def differences() -> list[str]:
    """The SQL that brings the form of the steps to that of the dictionary; [] when they agree."""
    db = Database(memory=True)
    bring_up(db)
    return [sql for table in TABLES.values() for sql in _of_table(db, table)]


def _of_table(db: Database, table: Table) -> Iterator[str]:
    wanted = {column.name: _definition(table, column) for column in table.columns}
    if not db.table(table.name).exists():
        key = [f"PRIMARY KEY ({', '.join(table.key)})"] if len(table.key) > 1 else []
        yield f"CREATE TABLE {table.name} ({', '.join([*wanted.values(), *key])}) STRICT"
        return
    there = _definitions(db.table(table.name).schema)
    for name in wanted.keys() - there.keys():
        if table.column(name).required:
            sys.exit(f"{table.name}.{name}: rows that exist have no value; a new column cannot be required")
    yield from (f"ALTER TABLE {table.name} ADD COLUMN {sql}" for name, sql in wanted.items() if name not in there)
    gone = there.keys() - wanted.keys() - {"PRIMARY"}
    if gone:
        yield f"-- Not in the dictionary: {table.name}.{', '.join(sorted(gone))}. Rename by hand, in `change` too."
    if any(there[name] != wanted[name] for name in there.keys() & wanted.keys()):
        yield from _rebuilt(db, table, there | wanted)


def _rebuilt(db: Database, table: Table, columns: dict[str, str]) -> Iterator[str]:
    """A closed list cannot be altered in place: the table is made again, its rows are copied."""
    names = ", ".join(name for name in columns if name != "PRIMARY")
    key = columns.pop("PRIMARY", None)
    yield WORD_GONE
    yield f"CREATE TABLE rebuilt ({', '.join([*columns.values(), *([key] if key else [])])}) STRICT"
    yield f"INSERT INTO rebuilt ({names}) SELECT {names} FROM {table.name}"
    yield f"DROP TABLE {table.name}"
    yield f"ALTER TABLE rebuilt RENAME TO {table.name}"
    indexes = "SELECT sql FROM sqlite_schema WHERE type = 'index' AND tbl_name = ? AND sql > ''"
    yield from (sql for (sql,) in db.execute(indexes, [table.name]))


def _definitions(schema: str) -> dict[str, str]:
    """Column → its definition in the text of a table; the table's own key stands under `PRIMARY`."""
    body = schema[schema.index("(") + 1 : schema.rindex(")")]
    parts = re.findall(r"(?:[^,()]|\((?:[^()]|\([^()]*\))*\))+", body)
    return {part.split()[0]: part.strip() for part in parts}


def _definition(table: Table, column: Column) -> str:
    sql = f"{column.name} {SQL_TYPE[column.kind]}"
    if table.key == (column.name,):
        sql += " PRIMARY KEY"
    if column.required:
        sql += " NOT NULL"
    if table.one_of[:1] == (column.name,):
        blank = " + ".join(f"({name} IS NULL)" for name in table.one_of)
        sql += f" CHECK ({blank} = {len(table.one_of) - 1})"
    if column.choices:
        words = ", ".join(f"'{word}'" for word in column.choices)
        sql += f" CHECK ({column.name} IN ({words}))"
    if column.references:
        sql += f" REFERENCES {column.references} ON UPDATE CASCADE"
    return sql


def step_text(sentence: str, lines: list[str]) -> str:
    """The text of a step, wrapped for reading."""
    wrapped = [
        line
        if line.startswith("--")
        else textwrap.fill(f"{line};", 118, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False)
        for line in lines
    ]
    return "\n".join([f"-- {sentence}", *wrapped, fingerprint()]) + "\n"


def main(name: str) -> None:
    """Write the step of that name, or say that there is nothing to do."""
    lines = differences()
    if not lines and step_files()[-1].read_text("utf-8").endswith(f"{fingerprint()}\n"):
        sys.exit("the steps and the dictionary agree")
    path = FOLDER / f"{len(step_files()) + 1:03}_{name}.sql"
    path.write_text(step_text(name.replace("_", " "), lines), "utf-8")
    print(f"{path} written: read it, then commit it with the dictionary")


if __name__ == "__main__":
    main(sys.argv[1])
