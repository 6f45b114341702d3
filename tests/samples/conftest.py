"""The sample plants as registers, each made once."""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import pytest
import sqlite_utils
from register.rulebook.load import load_pack

from register.audit import run
from register.columns import TABLES
from register.store.database import create, opened
from register.store.intake import take_in

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
PLANTS = ("demo-plant", "small-plant")
TODAY = date(2026, 11, 25)
sys.path.insert(0, str(SAMPLES))


def table_files(folder: Path) -> list[Path]:
    """The plant's tables, without the list of faults."""
    return sorted(path for path in folder.glob("*.csv") if path.stem in TABLES)


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


class Sample:
    """One plant: its folder, its register in a file, what the intake said."""

    def __init__(self, plant: str, folder: Path) -> None:
        self.folder = SAMPLES / plant
        self.path = folder / f"{plant}.db"
        site = {k: v for k, v in rows(self.folder / "site.csv")[0].items() if v}
        create(self.path, site)
        self.plan, self.applied = take_in(
            self.path, table_files(self.folder), reason="sample", author="test"
        )
        self.seeded = {(r["tag"], r["rule"]) for r in rows(self.folder / "seeded.csv")}

    @contextmanager
    def copy(self) -> Iterator[sqlite_utils.Database]:
        """The register in memory, to be spoilt."""
        with opened(self.path) as db:
            memory = sqlite_utils.Database(memory=True)
            db.conn.backup(memory.conn)
        memory.conn.execute("PRAGMA foreign_keys = ON")
        yield memory
        memory.conn.close()


@pytest.fixture(scope="session")
def pack():
    return load_pack()


@pytest.fixture(scope="session", params=PLANTS)
def sample(request, tmp_path_factory) -> Sample:
    return Sample(request.param, tmp_path_factory.mktemp(request.param))


@pytest.fixture(scope="session")
def demo(tmp_path_factory) -> Sample:
    return Sample("demo-plant", tmp_path_factory.mktemp("demo"))


@pytest.fixture(scope="session")
def audit(sample, pack):
    with sample.copy() as db:
        return run(db, pack, today=TODAY)
