"""The sample plants: their files, and a register made of each."""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import sqlite_utils

from register.columns import COLUMNS, TABLES
from register.intake.take_in import take_in
from register.store.database import create, opened

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
PLANTS = ("demo-plant", "small-plant")
sys.path.insert(0, str(SAMPLES))


def table_files(folder: Path) -> list[Path]:
    """The plant's tables, without the list of faults."""
    return sorted(path for path in folder.glob("*.csv") if path.stem in TABLES)


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def site_of(folder: Path) -> dict[str, object]:
    """The one row of the plant's site, less its blanks."""
    row = rows(folder / "site.csv")[0]
    return {k: float(v) if COLUMNS[k].is_number else v for k, v in row.items() if v}


class Sample:
    """One plant: its folder, its register in a file, what the intake said."""

    def __init__(self, plant: str, folder: Path) -> None:
        self.folder = SAMPLES / plant
        self.path = folder / f"{plant}.db"
        site = site_of(self.folder)
        create(self.path, site)
        self.plan, self.applied = take_in(self.path, table_files(self.folder), reason="sample", author="test")
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
