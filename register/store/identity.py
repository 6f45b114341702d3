"""The register's own number, by which what was taken along (a round, a copy) is known again."""

from __future__ import annotations

from sqlite_utils import Database


def register_id(db: Database) -> str:
    """The number that this register was given when it was made; a copy has the same."""
    return str(db.execute("SELECT register_id FROM identity").fetchone()[0])
