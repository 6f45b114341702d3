"""Small packs to try the engine with, and tables of facts made of a few values."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest

from register.rulebook.load.pack import load_pack
from register.rulebook.tables import facts_table

PACKS = Path(__file__).parent / "packs"


@pytest.fixture(scope="session")
def small():
    return load_pack(PACKS / "small")


@pytest.fixture(scope="session")
def sited():
    return load_pack(PACKS / "small", PACKS / "site")


@pytest.fixture
def folder(tmp_path):
    """A copy of the small pack, to break."""
    return Path(shutil.copytree(PACKS / "small", tmp_path / "pack"))


@pytest.fixture
def facts():
    """Makes a connection with one row of facts for each of some mappings."""

    def made(*rows):
        connection = sqlite3.connect(":memory:")
        connection.execute(facts_table())
        for number, row in enumerate(rows):
            row = {"tag": f"P-{number}", "practice": "us"} | row
            marks = ", ".join(f":{name}" for name in row)
            connection.execute(f"INSERT INTO facts ({', '.join(row)}) VALUES ({marks})", row)
        connection.commit()
        return connection

    return made
