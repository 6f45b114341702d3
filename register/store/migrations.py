"""The register's form, one frozen step after another; a step that was released is never changed.

A step is a file of `steps/`: SQL as text, never made from the dictionary when it runs, because the dictionary goes on
and the step must not. What only shows or records the tables (views, history triggers) follows the dictionary: it is
dropped before the steps and made anew behind them, so that a new column is in the history from its first day.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from sqlite_utils import Database
from sqlite_utils.migrations import Migrations

from register.store.triggers import triggers
from register.store.views import VIEWS

FOLDER = Path(__file__).with_name("steps")


def step_files() -> list[Path]:
    """The steps in their order."""
    return sorted(FOLDER.glob("[0-9]*.sql"))


VERSION = len(step_files())


def statements(step: str) -> Iterator[str]:
    """Each statement of a step on one line; in the file it ends with `;` at the end of a line."""
    text = "\n".join(line for line in step.splitlines() if not line.startswith("--"))
    # SQLite keeps the text of a table as it was given: wrapping it in the file must leave no trace in the register.
    return (" ".join(sql.split()) for sql in f"{text}\n".split(";\n") if sql.strip())


def bring_up(db: Database) -> None:
    """Run the steps that a register has not had; belongs inside a transaction, with foreign keys off."""
    form = db.conn.execute("PRAGMA user_version").fetchone()[0]
    made = dict(shown())
    for name, sql in made.items():
        db.conn.execute(f"DROP {sql.split()[1]} IF EXISTS {name}")
    # A step that builds a table again renames it; references of other tables to the old name must stay as they are.
    db.conn.execute("PRAGMA legacy_alter_table = ON")
    steps = Migrations("startroll")
    for number, path in enumerate(step_files(), 1):
        steps(name=path.stem)(_step(path, had=number <= form))
    steps.apply(db)
    db.conn.execute("PRAGMA legacy_alter_table = OFF")
    for sql in made.values():
        db.conn.execute(sql)
    db.conn.execute(f"PRAGMA user_version = {VERSION}")


def _step(path: Path, *, had: bool) -> Any:
    """One step; of one that version 0.1.0 ran, before there was a list of them, only the record is made."""

    def run(db: Database) -> None:
        for sql in () if had else statements(path.read_text("utf-8")):
            db.conn.execute(sql)

    return run


def shown() -> Iterator[tuple[str, str]]:
    """Name and DDL of every history trigger and every view."""
    for sql in triggers():
        yield sql.split()[2], sql
    for view in VIEWS:
        yield view.name, f"CREATE VIEW {view.name} AS {view.sql}"
